package calibrate

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// Result is what was found of one sensor. Numbers are K or Pa.
type Result struct {
	Channel   int
	Role      vessel.Role
	Station   string
	Kind      vessel.Kind
	Reading   float64 // mean at rest
	Reference float64
	Offset    float64  // reading less reference
	U, K      float64  // expanded uncertainty of 95.45 %, and its coverage factor
	Refused   string   // why there is no offset; empty: it may be used
	Do        string   // and what to do
	Remarks   []string // what the operator should know before taking it
	Last      *probe.Offset
}

// Name is the sensor as people call it: "gas", "wall sun".
func (r *Result) Name() string { return strings.TrimSpace(string(r.Role) + " " + r.Station) }

// Results judges every sensor. Last are the offsets in force, nil for none;
// board is the logger's number.
func (c *Calibration) Results(last *probe.Offsets, board uint64) []Result {
	out := make([]Result, len(c.probes))
	for i := range c.probes {
		out[i] = c.result(&c.probes[i], last, board)
	}
	return out
}

func (c *Calibration) result(h *held, last *probe.Offsets, board uint64) Result {
	p := &h.reading
	nan := math.NaN()
	r := Result{Channel: p.Channel, Role: p.Role, Station: p.Station, Kind: p.Kind, Reading: nan, Reference: nan, Offset: nan, U: nan, K: nan}
	if o, ok := last.Find(board, p.Channel); ok {
		r.Last = &o
	}
	if h.rest.state != StateDone {
		r.Refused, r.Do = c.unfinished(h)
		return r
	}
	if c.Asks() {
		r.Refused, r.Do = "the reference is not known", "Type what the reference reads."
		return r
	}
	r.Reference = c.ref.Value
	r.Offset = h.rest.result.value - r.Reference
	if c.beside >= 0 {
		r.Offset, r.Reference = h.rest.result.value, meanOf(h.beside).value
	}
	r.Reading = r.Reference + r.Offset
	r.U, r.K = c.budget(h, r.Reading).Expanded()
	switch c.cfg.Method {
	case MethodZero:
		c.judgeZero(&r, h)
	case MethodSpan:
		c.judgeSpan(&r)
	default:
		c.judgeTemperature(&r)
	}
	return r
}

// unfinished says why a sensor has no result.
func (c *Calibration) unfinished(h *held) (why, do string) {
	if h.reading.Health != probe.HealthGood {
		return h.reading.Health.Means(), h.reading.Health.Do()
	}
	if h.refused != "" {
		return h.refused, h.do
	}
	unit, scale := UnitOf(c.cfg.Method.Pressure())
	l, wait := c.limits, "Wait longer, out of wind and sun."
	if c.cfg.Method.Pressure() {
		wait = "Wait until the pressure stands still."
	}
	line := h.rest.line
	if line.Scatter > l.Scatter {
		return fmt.Sprintf("scatters by %.3g %s, the limit is %.3g", line.Scatter/scale, unit, l.Scatter/scale),
			"Check plug, wire and screening, and that the probe lies still."
	}
	if math.Abs(line.Slope*60) > l.Drift {
		return fmt.Sprintf("still drifts by %+.2g %s a minute, the limit is %.2g", line.Slope*60/scale, unit, l.Drift/scale),
			wait
	}
	return "has not been at rest for long enough", wait
}

// budget lists the sources of uncertainty of a sensor's offset.
func (c *Calibration) budget(h *held, reading float64) Budget {
	out := Budget{{"scatter of the readings (type A)", h.rest.result.u, h.rest.result.dof}}
	// What still drifted over the averaging is still missing at its end.
	rest := (math.Abs(h.rest.drift.Slope) + h.rest.drift.SSlope) * c.limits.AverageS
	out = append(out, Component{"rest of the drift", within(rest), known})
	out = append(out, c.ref.Parts...)
	out = append(out, Component{"resolution", step(c.resolution(h, reading)), known})
	if ch, _ := c.cfg.Profile.ChannelAt(h.reading.Channel); ch.Kind.Thermocouple() && !ch.Compensated {
		out = append(out, Component{"cold junction", within(coldHalfK), known})
	}
	return out
}

// resolution is the least step of the sensor's readings in K or Pa, as seen in
// the raw values.
func (c *Calibration) resolution(h *held, reading float64) float64 {
	raw := float64(h.rawStep)
	ch, _ := c.cfg.Profile.ChannelAt(h.reading.Channel)
	switch ch.Kind {
	case vessel.KindCelsius:
		return raw * 1e-3
	case vessel.KindGauge:
		return raw
	case vessel.KindLoop:
		return raw / 16000 * float64(ch.FullScale)
	case vessel.KindRatiometric:
		// The raw full scale is not known here; 12 bits are the coarsest in use.
		return float64(ch.Supply) / 4095 / float64(ch.Span-ch.Zero) * float64(ch.FullScale)
	}
	s, err := probe.Sensitivity(ch.Kind, reading)
	if err != nil {
		return 0
	}
	return raw * 1e-9 / s
}

// UnitOf is the unit in which the texts here speak, and its size.
func UnitOf(pressure bool) (unit string, scale float64) {
	if pressure {
		return "bar", 1e5
	}
	return "°C", 1
}

// Correction is the entry of an offsets file; date is year-month-day.
func (c *Calibration) Correction(r *Result, board uint64, date, remark string) probe.Offset {
	text := c.ref.Text
	if c.beside >= 0 {
		text = fmt.Sprintf("beside channel %d at %.2f °C", c.cfg.Beside, r.Reference-zeroCK)
	}
	return probe.Offset{
		Board: board, Channel: r.Channel, Pressure: c.cfg.Method.Pressure(), Offset: r.Offset, Uncertainty: r.U,
		Point: r.Reference, Date: date, Method: c.cfg.Method.Name(),
		Conditions: fmt.Sprintf("%s; mean of %.0f s", text, c.limits.AverageS), Remark: remark,
	}
}

// apartLeastK is how far apart two points must lie for a gain (common
// practice, no source).
const apartLeastK = 20.0

// TwoPoints joins an earlier correction at another temperature with a later
// one: an offset at 0 °C and a gain. Both must be of one sensor and without a
// gain. The uncertainty is the greater of the two; between the points it is
// not more.
func TwoPoints(first, second probe.Offset) (probe.Offset, error) {
	switch {
	case first.Board != second.Board || first.Channel != second.Channel || first.Pressure || second.Pressure:
		return probe.Offset{}, fmt.Errorf("the two points are not of one thermometer")
	case math.IsNaN(first.Point) || first.SlopeError != 0:
		return probe.Offset{}, fmt.Errorf("channel %d: the earlier offset is not of a single known point; find that point first, then this one", first.Channel)
	case !(math.Abs(second.Point-first.Point) >= apartLeastK):
		return probe.Offset{}, fmt.Errorf("channel %d: the points %.1f °C and %.1f °C lie too close; a gain needs %.0f °C between them",
			first.Channel, first.Point-zeroCK, second.Point-zeroCK, apartLeastK)
	}
	readFirst, readSecond := first.Point+first.Offset, second.Point+second.Offset
	out := second
	out.SlopeError = (second.Offset - first.Offset) / (readSecond - readFirst)
	out.Offset = first.Offset - out.SlopeError*(readFirst-zeroCK)
	out.Uncertainty = math.Max(or(first.Uncertainty, 1), or(second.Uncertainty, 1))
	out.Method = "two points: " + first.Method + ", " + second.Method
	out.Conditions = fmt.Sprintf("%.2f °C and %.2f °C", first.Point-zeroCK, second.Point-zeroCK)
	if math.Abs(out.SlopeError) > slopeErrorMost {
		return out, fmt.Errorf("channel %d: reads %.0f %% too much a degree, which is no gain but another type of thermocouple or a fault", first.Channel, 100*out.SlopeError)
	}
	return out, nil
}

const slopeErrorMost = 0.1
