package probe

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

const offsetsHead = `# Sensor offsets: what each sensor reads too much, by logger and channel.
# Of several for a sensor the last [[offset]] is in force. The earlier ones and
# [[history]] are kept and not used.
`

// Format writes the offset as a table under a header, "offset" or "history".
func (o *Offset) Format(header string) string {
	var b strings.Builder
	unit, scale, zero := "°C", 1.0, zeroCK
	if o.Pressure {
		unit, scale, zero = "bar", 1e5, 0
	}
	text := func(key, v string) {
		if v != "" {
			fmt.Fprintf(&b, "%s = %s\n", key, quoteTOML(v))
		}
	}
	number := func(key string, v float64) {
		if !math.IsNaN(v) {
			fmt.Fprintf(&b, "%s = \"%s %s\"\n", key, short(v), unit)
		}
	}
	fmt.Fprintf(&b, "\n[[%s]]\nboard = \"%s\"\nchannel = %d\n", header, BoardText(o.Board), o.Channel)
	number("offset", o.Offset/scale)
	if o.SlopeError != 0 {
		fmt.Fprintf(&b, "gain = %s\n", strconv.FormatFloat(o.SlopeError, 'f', 6, 64))
	}
	number("uncertainty", o.Uncertainty/scale)
	number("point", (o.Point-zero)/scale)
	if o.Date != "" {
		fmt.Fprintf(&b, "date = %s\n", o.Date)
	}
	text("method", o.Method)
	text("conditions", o.Conditions)
	text("remark", o.Remark)
	return b.String()
}

// short rounds to a ten-thousandth: a tenth of a millikelvin, or 10 Pa.
func short(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// quoteTOML is a basic string of TOML; the file takes one printable line.
func quoteTOML(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	s = strings.ReplaceAll(s, `\`, `\\`)
	return `"` + strings.ReplaceAll(s, `"`, `\"`) + `"`
}

// WithOffsets is the text of an offsets file with more entries under a header,
// "offset" to put them in force or "history" for a check that corrects nothing.
// What stands in it stays as it is; an empty text begins a new file. The result
// has been read back. The error is that of ParseOffsets.
func WithOffsets(file string, text []byte, header string, fresh []Offset) ([]byte, *Offsets, error) {
	if _, err := ParseOffsets(file, text); err != nil {
		return nil, nil, err
	}
	out := bytes.Clone(text)
	if len(bytes.TrimSpace(out)) == 0 {
		out = []byte(offsetsHead)
	}
	if !bytes.HasSuffix(out, []byte("\n")) {
		out = append(out, '\n')
	}
	for i := range fresh {
		out = append(out, fresh[i].Format(header)...)
	}
	all, err := ParseOffsets(file, out)
	if err != nil {
		return nil, nil, fmt.Errorf("nothing can be added to this file, which must have a table with a header line for each offset: %w", err)
	}
	for i := range fresh {
		rounded := 1e-4 // K
		if fresh[i].Pressure {
			rounded = 10 // Pa
		}
		o, _ := all.Find(fresh[i].Board, fresh[i].Channel)
		if header == "offset" && (o.Pressure != fresh[i].Pressure || !(math.Abs(o.Offset-fresh[i].Offset) <= rounded)) {
			return nil, nil, fmt.Errorf("%s: the offset of channel %d was not understood when read back", file, fresh[i].Channel)
		}
	}
	return out, all, nil
}
