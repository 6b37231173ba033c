package wire

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ExampleHeader is a header that TextLines understands.
const ExampleHeader = "time_ms,pressure_counts/4095,gas_nv,junction_mc"

// headerError says what is wrong with the header of a logger that prints lines: with a
// column, from 1 and as it stands there, or with all of it (0).
func headerError(header string, column int, cell, want string) error {
	if column == 0 {
		return fmt.Errorf("header %q: %s; an example: %s", header, want, ExampleHeader)
	}
	return fmt.Errorf("header %q: column %d, %q: %s; an example: %s", header, column, cell, want, ExampleHeader)
}

// unit turns a cell into a channel's 32-bit value: round((cell + add)·by).
type unit struct {
	kind    Kind
	add, by float64
}

// Exact by definition: 1 psi = 6894.757293168 Pa (NIST SP 811, appendix B.8),
// t/°C = (t/°F − 32)/1.8, T/K = t/°C + 273.15 (SI brochure).
var units = map[string]unit{
	"nv": {KindNanovolt, 0, 1},
	"uv": {KindNanovolt, 0, 1e3},
	"mv": {KindNanovolt, 0, 1e6},

	"mc": {KindMilliCelsius, 0, 1},
	"c":  {KindMilliCelsius, 0, 1e3},
	"f":  {KindMilliCelsius, -32, 1e3 / 1.8},
	"k":  {KindMilliCelsius, -273.15, 1e3},

	"ua": {KindMicroampere, 0, 1},
	"ma": {KindMicroampere, 0, 1e3},

	"pa":   {KindPascal, 0, 1},
	"mbar": {KindPascal, 0, 1e2},
	"kpa":  {KindPascal, 0, 1e3},
	"bar":  {KindPascal, 0, 1e5},
	"mpa":  {KindPascal, 0, 1e6},
	"psi":  {KindPascal, 0, 6894.757293168},
}

const wantUnit = "a name, _ and a unit: _counts/FULL (the count of a full-scale reading), " +
	"_nv _uv _mv, _mc _c _f _k, _ua _ma, _pa _mbar _kpa _bar _mpa _psi"

// timeUnits gives milliseconds a unit.
var timeUnits = map[string]float64{"time_ms": 1, "time_s": 1e3, "time_min": 60e3}

// layout is what a header declares.
type layout struct {
	timeBy   float64 // milliseconds a unit of the time column
	flagsAt  int     // column of the flags, 0: none
	columns  int     // all, with time and flags
	channels int
	units    [ChannelMost]unit
	table    [ChannelMost]Channel
}

// isHeader says whether a line means to be a header.
func isHeader(line string) bool {
	return len(line) >= 5 && strings.EqualFold(line[:5], "time_")
}

func parseHeader(line string) (*layout, error) {
	cells := strings.Split(line, ",")
	l := &layout{columns: len(cells)}
	seen := map[string]bool{}
	for i, cell := range cells {
		column := strings.ToLower(strings.TrimSpace(cell))
		if want := l.addColumn(i, column); want != "" {
			return nil, headerError(line, i+1, cell, want)
		}
		label, _, _ := strings.Cut(column, "/")
		if seen[label] {
			return nil, headerError(line, i+1, cell, "each name once")
		}
		seen[label] = true
	}
	if l.channels == 0 {
		return nil, headerError(line, 0, "", "at least one value after the time")
	}
	return l, nil
}

// addColumn adds a column and returns what was expected if it is wrong.
func (l *layout) addColumn(i int, column string) (want string) {
	if i == 0 {
		if l.timeBy = timeUnits[column]; l.timeBy == 0 {
			return "time_ms, time_s or time_min as the first column"
		}
		return ""
	}
	if column == "flags" {
		if l.flagsAt != 0 {
			return "one flags column only"
		}
		l.flagsAt = i
		return ""
	}
	return l.addChannel(column)
}

func (l *layout) addChannel(column string) (want string) {
	if l.channels == ChannelMost {
		return fmt.Sprintf("at most %d values", ChannelMost)
	}
	at := strings.LastIndexByte(column, '_')
	if at <= 0 {
		return wantUnit
	}
	label, suffix := column[:at], column[at+1:]
	if len(label) > LabelMost {
		return fmt.Sprintf("a name of at most %d letters before its unit", LabelMost)
	}
	if strings.Trim(label, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
		return "letters, digits and _ in the name"
	}
	u, ok := units[suffix]
	var scale int32
	if full, counts := strings.CutPrefix(suffix, "counts/"); counts {
		n, err := strconv.ParseInt(full, 10, 32)
		if err != nil || n < 1 {
			return fmt.Sprintf("the count of a full-scale reading after the /, 1 to %d", math.MaxInt32)
		}
		u, ok, scale = unit{KindCounts, 0, 1}, true, int32(n)
	}
	if !ok {
		return wantUnit
	}
	l.units[l.channels] = u
	l.table[l.channels] = Channel{Index: uint8(l.channels), Kind: u.kind, Scale: scale, Label: MakeLabel(label)}
	l.channels++
	return ""
}
