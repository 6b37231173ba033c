package probe

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/vessel"
)

const offsetsHead = `# Sensor offsets: what each sensor reads too much, by logger and channel.
# [[offset]] is in force; [[history]] are earlier ones, kept and not used.
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
	if o.Gain != 0 {
		fmt.Fprintf(&b, "gain = %s\n", strconv.FormatFloat(o.Gain, 'f', 6, 64))
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

// Supersede is the text of an offsets file with fresh offsets in force. What
// they replace becomes history where it stands; comments, the order and all
// other offsets stay as they are. An empty text begins a new file. The result
// has been read back. The error is that of ParseOffsets.
func Supersede(file string, text []byte, fresh []Offset) ([]byte, error) {
	if _, err := ParseOffsets(file, text); err != nil {
		return nil, err
	}
	out, err := demote(file, text, func(o *Offset) bool {
		for i := range fresh {
			if fresh[i].Board == o.Board && fresh[i].Channel == o.Channel {
				return true
			}
		}
		return false
	})
	if err != nil {
		return nil, err
	}
	if len(bytes.TrimSpace(out)) == 0 {
		out = []byte(offsetsHead)
	}
	if !bytes.HasSuffix(out, []byte("\n")) {
		out = append(out, '\n')
	}
	for i := range fresh {
		out = append(out, fresh[i].Format("offset")...)
	}
	return out, checkWritten(file, out, fresh)
}

// AddHistory is the text with one more earlier entry, such as a check that
// corrects nothing.
func AddHistory(file string, text []byte, o Offset) ([]byte, error) {
	if _, err := ParseOffsets(file, text); err != nil {
		return nil, err
	}
	out := bytes.Clone(text)
	if len(bytes.TrimSpace(out)) == 0 {
		out = []byte(offsetsHead)
	}
	if !bytes.HasSuffix(out, []byte("\n")) {
		out = append(out, '\n')
	}
	out = append(out, o.Format("history")...)
	return out, checkWritten(file, out, nil)
}

// demote turns the headers of those offsets into [[history]]. A file whose
// offsets are not tables with a header line each is written anew.
func demote(file string, text []byte, old func(*Offset) bool) ([]byte, error) {
	d, err := vessel.ReadDocument(file, text)
	if err != nil {
		return nil, err
	}
	lines := bytes.SplitAfter(text, []byte("\n"))
	for _, s := range d.List("offset") {
		o := readOffset(s)
		if !old(&o) {
			continue
		}
		at := s.Line() - 1
		if at < 0 || at >= len(lines) || !bytes.HasPrefix(bytes.TrimSpace(lines[at]), []byte("[[")) {
			return rewritten(file, text, old)
		}
		lines[at] = bytes.Replace(lines[at], []byte("offset"), []byte("history"), 1)
	}
	return bytes.Join(lines, nil), nil
}

// rewritten is the file in its usual form.
func rewritten(file string, text []byte, old func(*Offset) bool) ([]byte, error) {
	all, err := ParseOffsets(file, text)
	if err != nil {
		return nil, err
	}
	out := []byte(offsetsHead)
	for i := range all.History {
		out = append(out, all.History[i].Format("history")...)
	}
	for i := range all.List {
		header := "offset"
		if old(&all.List[i]) {
			header = "history"
		}
		out = append(out, all.List[i].Format(header)...)
	}
	return out, nil
}

// checkWritten reads a text back before anybody relies on it.
func checkWritten(file string, text []byte, fresh []Offset) error {
	all, err := ParseOffsets(file, text)
	if err != nil {
		return err
	}
	for i := range fresh {
		o, ok := all.Find(fresh[i].Board, fresh[i].Channel)
		tolerance := 1e-4
		if o.Pressure {
			tolerance = 10
		}
		if !ok || !(math.Abs(o.Offset-fresh[i].Offset) <= tolerance) {
			return fmt.Errorf("%s: the offset of channel %d was not understood when read back", file, fresh[i].Channel)
		}
	}
	return nil
}
