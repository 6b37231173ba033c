package probe

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// An offset past these is no correction but a broken sensor (common
// practice, no source).
const (
	offsetMostK  = 15
	offsetMostPa = 20e5
)

// slopeErrorMost is the greatest error of a sensor's slope; a wrong thermocouple type is off by
// more (common practice, no source).
const slopeErrorMost = 0.2

// Offset is what one sensor reads too much: reading less truth. It is taken
// off every reading of that channel on that board. With a slope error it is what the
// sensor reads too much at 0 °C (or at zero pressure), and SlopeError is how much
// more for each kelvin (or pascal) that it reads above.
type Offset struct {
	Board       uint64 // the logger's number; 0 for loggers that have none
	Channel     int
	Pressure    bool    // Offset and Uncertainty are pressures, not temperatures
	Offset      float64 // K or Pa
	SlopeError  float64 // K/K or Pa/Pa; 0: the same everywhere
	Uncertainty float64 // expanded, k = 2; K or Pa; NaN: not known
	Point       float64 // true value at which it was found, K or gauge Pa; NaN: not known
	Date        string  // year-month-day, may be empty
	Method      string
	Conditions  string
	Remark      string
}

// Excess is what the sensor reads too much when it reads value, K or gauge Pa.
func (o *Offset) Excess(value float64) float64 {
	if o.SlopeError == 0 {
		return o.Offset
	}
	if !o.Pressure {
		value -= zeroCK
	}
	return o.Offset + o.SlopeError*value
}

// Offsets is a file of offsets: those in force, and earlier ones.
type Offsets struct {
	List    []Offset
	History []Offset
}

// Find gives the offset of a channel on a board. It may be called on nil.
func (o *Offsets) Find(board uint64, channel int) (Offset, bool) {
	if o == nil {
		return Offset{}, false
	}
	for _, f := range o.List {
		if f.Board == board && f.Channel == channel {
			return f, true
		}
	}
	return Offset{}, false
}

// OldDays is after how long an offset is old: meter, plugs and wire change
// (common practice, no source).
const OldDays = 7

// AgeDays is how many days before now an offset was found; not ok without a
// date. A day to the future is 0, since the date may be that of another time
// zone.
func (o *Offset) AgeDays(now time.Time) (days int, ok bool) {
	then, err := time.ParseInLocation(time.DateOnly, o.Date, now.Location())
	if err != nil {
		return 0, false
	}
	if days = int(math.Floor(now.Sub(then).Hours() / 24)); days == -1 {
		days = 0
	}
	return days, true
}

// Format is those in force as the text of a file of their own: what a run log
// keeps.
func (o *Offsets) Format() string {
	var b strings.Builder
	b.WriteString(offsetsHead)
	for i := range o.List {
		b.WriteString(o.List[i].Format("offset"))
	}
	return b.String()
}

// BoardText is how files and screens write a logger's number.
func BoardText(board uint64) string { return fmt.Sprintf("0x%X", board) }

func (o Offset) text() string {
	if o.Pressure {
		return quantity.Pressure(o.Offset).String()
	}
	return quantity.Difference(o.Offset).String()
}

// ParseOffsets reads an offsets file: a list of
//
//	[[offset]]
//	board = "0x5A17C0DE"      # the logger's number
//	channel = 1
//	offset = "-1.2 °C"        # what the sensor reads too much; or "0.03 bar"
//	uncertainty = "0.3 °C"    # expanded, k = 2; this and the rest may be left out
//	gain = 0.004              # and so much more for each degree above 0 °C
//	point = "0 °C"            # true value at which it was found
//	date = 2026-05-01
//	method = "ice point"
//	conditions = "melting ice; 60 s"
//	remark = "new plug"
//
// Of several for one sensor the last is in force; the others, and those under
// [[history]] with the same keys, are kept and not used. The error is a *vessel.FileError, as for a profile.
func ParseOffsets(file string, data []byte) (*Offsets, error) {
	d, err := vessel.ReadDocument(file, data)
	if err != nil {
		return nil, err
	}
	out := &Offsets{}
	for _, s := range d.List("history") {
		out.History = append(out.History, readOffset(s))
	}
	for _, s := range d.List("offset") {
		out.put(readOffset(s), s)
	}
	if err := d.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// put puts an offset in force; the one that it replaces becomes history. One
// without a date is rather a slip of the channel's number.
func (o *Offsets) put(fresh Offset, s *vessel.Section) {
	for i := range o.List {
		if old := &o.List[i]; old.Board == fresh.Board && old.Channel == fresh.Channel {
			if fresh.Date == "" {
				s.Problem("channel", fmt.Sprintf("%d of board %s has an earlier offset", fresh.Channel, BoardText(fresh.Board)),
					"one offset a channel, or the date from which the later one counts", "date = 2026-05-01")
			}
			o.History = append(o.History, *old)
			*old = fresh
			return
		}
	}
	o.List = append(o.List, fresh)
}

func readOffset(s *vessel.Section) Offset {
	o := Offset{Board: readBoard(s), Channel: s.Whole("channel", 0, wire.ChannelMost-1, "channel = 1")}
	o.Offset, o.Pressure = readEither(s, "offset", "-1.2 °C", true)
	most, example := float64(offsetMostK), `offset = "-1.2 °C"`
	if o.Pressure {
		most, example = offsetMostPa, `offset = "0.03 bar"`
	}
	if math.Abs(o.Offset) > most {
		s.Problem("offset", fmt.Sprintf("is %s, too much for a sound sensor", o.text()),
			"a smaller offset: check or replace the sensor", example)
	}
	u, pressure := readEither(s, "uncertainty", "0.3 °C", false)
	if !math.IsNaN(u) && (pressure != o.Pressure || u < 0) {
		s.Problem("uncertainty", "does not belong to the offset", "the same quantity as the offset, not negative",
			`uncertainty = "0.3 °C"`)
	}
	o.Uncertainty = u
	if g, ok := s.Number("gain", -slopeErrorMost, slopeErrorMost, "gain = 0.004"); ok {
		o.SlopeError = g
	}
	o.Point = readPoint(s, o.Pressure)
	o.Conditions = s.TextOr("conditions", `conditions = "melting ice"`)
	o.Date = s.Day("date")
	o.Method = s.TextOr("method", `method = "ice point"`)
	o.Remark = s.TextOr("remark", `remark = "new plug"`)
	return o
}

// readPoint reads the true value at which an offset was found.
func readPoint(s *vessel.Section, pressure bool) float64 {
	if pressure {
		r := vessel.Range[quantity.Pressure]{Least: -1e6, Most: 1e9, Example: "0 bar"}
		return float64(vessel.QuantityOr(s, "point", quantity.ParsePressure, r, quantity.Pressure(math.NaN())))
	}
	r := vessel.Range[quantity.Temperature]{Least: 73.15, Most: 1873.15, Example: "0 °C"}
	return float64(vessel.QuantityOr(s, "point", quantity.ParseTemperature, r, quantity.Temperature(math.NaN())))
}

func readBoard(s *vessel.Section) uint64 {
	const example = `board = "0x5A17C0DE"`
	text := s.Text("board", example)
	board, err := strconv.ParseUint(text, 0, 64)
	if err != nil && text != "" {
		s.Problem("board", fmt.Sprintf("%q is no logger's number", text), "a number in quotes, as the logger's hello gives it", example)
	}
	return board
}

// readEither reads a temperature difference or a pressure; the unit tells which.
func readEither(s *vessel.Section, key, example string, required bool) (value float64, pressure bool) {
	parse := func(text string) (float64, error) {
		if d, err := quantity.ParseDifference(text); err == nil {
			return float64(d), nil
		}
		p, err := quantity.ParsePressure(text)
		if err == nil {
			pressure = true
			return float64(p), nil
		}
		if bad, ok := err.(*quantity.ParseError); ok {
			bad.Expected = "a temperature difference (°C, °F, K) or a pressure (bar, psi, kPa, MPa, Pa) with its unit"
		}
		return math.NaN(), err
	}
	r := vessel.Range[float64]{Least: math.Inf(-1), Most: math.Inf(1), Example: example}
	if required {
		return vessel.Quantity(s, key, parse, r), pressure
	}
	return vessel.QuantityOr(s, key, parse, r, math.NaN()), pressure
}
