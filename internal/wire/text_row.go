package wire

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// lineError says what is wrong with a line of a logger that prints lines.
func lineError(line, what string) error { return fmt.Errorf("line %q: %s", line, what) }

// row reads one line of values into s. On a fault it returns the cell, from 1,
// and what was expected there.
func (l *layout) row(line []byte, s *Sample) (cell int, want string) {
	*s = Sample{N: l.channels}
	channel := 0
	for i := range l.columns {
		text, rest, more := bytes.Cut(line, []byte{','})
		if more != (i < l.columns-1) {
			return 0, fmt.Sprintf("want %d cells, as in the header", l.columns)
		}
		line = rest
		text = bytes.TrimSpace(text)
		switch i {
		case 0:
			want = l.time(text, s)
		case l.flagsAt:
			want = flags(text, s)
		default:
			want = l.units[channel].value(text, &s.Values[channel])
			channel++
		}
		if want != "" {
			return i + 1, want
		}
	}
	return 0, ""
}

// time reads a time of any length; it wraps like a u32 of milliseconds.
func (l *layout) time(text []byte, s *Sample) (want string) {
	t, ok := number(text)
	ms := math.Round(t * l.timeBy)
	if !ok || ms < 0 || ms > 1<<53 {
		return "a time, a number of 0 or more"
	}
	s.TimeMS = uint32(uint64(ms))
	return ""
}

func flags(text []byte, s *Sample) (want string) {
	n, err := strconv.ParseUint(string(text), 0, 16)
	if err != nil {
		return "flags from 0 to 65535, decimal or with 0x"
	}
	s.Flags = uint16(n)
	return ""
}

// value reads a cell. A blank cell, or the "nan" that printf makes of a
// reading that failed, is a missing reading.
func (u unit) value(text []byte, v *int32) (want string) {
	if len(text) == 0 || bytes.EqualFold(text, []byte("nan")) {
		*v = ValueMissing
		return ""
	}
	x, ok := number(text)
	if !ok {
		return "a decimal number, or nothing where there is no reading"
	}
	x = math.Round((x + u.add) * u.by)
	if x <= ValueMissing || x > math.MaxInt32 {
		return fmt.Sprintf("a value that fits in 32 bits of %v", u.kind)
	}
	*v = int32(x)
	return ""
}

// number reads a plain decimal number; strconv alone would also take
// hexadecimal floats, "inf" and "nan".
func number(text []byte) (float64, bool) {
	for _, b := range text {
		if (b < '0' || b > '9') && b != '.' && b != '-' && b != '+' && b != 'e' && b != 'E' {
			return 0, false
		}
	}
	x, err := strconv.ParseFloat(string(text), 64)
	return x, err == nil
}
