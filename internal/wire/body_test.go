package wire

import (
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"fillwright/internal/must"
)

// hostFrames is one frame of each type of the run log with the fewest bytes
// that its fields need.
func hostFrames() [][]byte {
	return [][]byte{
		AppendLogStart(nil, 0, LogStart{Version: 1}),
		AppendText(nil, 0, Text{Kind: TextModel, Part: 1, Parts: 3, Data: []byte("abc")}),
		AppendClock(nil, 0, Clock{1}),
		AppendEntry(nil, 0, Entry{Kind: EntryMark, Text: "abc"}),
		AppendSilence(nil, 0, Silence{1}),
		AppendLink(nil, 0, Link{State: LinkUp, Text: "abc"}),
		AppendArrival(nil, 0, Arrival{1}),
	}
}

// A body cut anywhere is refused as too short and names the frame; a body with
// more behind it, as a newer minor revision sends, is read.
func TestHostBodyCutAndLonger(t *testing.T) {
	for _, frame := range hostFrames() {
		d := Decoder{Aligned: true}
		d.Decode(frame, func(f Frame) {
			for n := range f.Body {
				_, _, err := parseHost(Frame{Type: f.Type, Body: f.Body[:n]})
				must.Be(t, errors.Is(err, ErrShort) && strings.Contains(err.Error(), f.Type.String()+" frame: "), "%v of %d bytes: %v", f.Type, n, err)
			}
			want, _, err := parseHost(f)
			must.Do(t, err)
			longer := Frame{Type: f.Type, Body: append(f.Clone().Body, 1, 2, 3)}
			got, again, err := parseHost(longer)
			must.Be(t, err == nil && string(again) == string(frame), "%v with 3 bytes more: %v %v, want %v", f.Type, got, err, want)
		})
	}
}

// Values outside their range are refused with the field's name and the range.
func TestHostBodyRange(t *testing.T) {
	long := make([]byte, BodyMost)
	for i := range long {
		long[i] = 0xFF
	}
	for name, c := range map[string]struct {
		body string
		err  error
		says string
	}{
		"log of version 2": {"\x02", ErrVersion, "version is 2, want 1"},
		"log of version 0": {"\x00", ErrVersion, "version is 0, want 1"},
		"text of 401":      {"\x01\x00\x00\x01\x00\x91\x01" + string(long[:401]), ErrRange, "length is 401, want 0 to 400"},
		"text part 1 of 1": {"\x01\x01\x00\x01\x00\x00\x00", ErrRange, "part is 1, want below parts, which is 1"},
		"text part 0 of 0": {"\x01\x00\x00\x00\x00\x00\x00", ErrRange, "part is 0"},
		"entry of 121":     {"\x04\x00\x00\x00\x00\x00\x79" + string(long[:121]), ErrRange, "text length is 121, want 0 to 120"},
		"link of 121":      {"\x01\x79" + string(long[:121]), ErrRange, "text length is 121, want 0 to 120"},
	} {
		kind := map[string]Type{"log": TypeLogStart, "text": TypeText, "entry": TypeEntry, "link": TypeLink}[strings.Fields(name)[0]]
		_, _, err := parseHost(Frame{Type: kind, Body: []byte(c.body)})
		must.Be(t, errors.Is(err, c.err) && strings.Contains(err.Error(), c.says), "%s: %v, want %q", name, err, c.says)
	}
}

// The operator's text is cut between runes when it does not fit.
func TestLongTextsAreCutBetweenRunes(t *testing.T) {
	text := strings.Repeat("°C ", 60)
	for _, frame := range [][]byte{
		AppendEntry(nil, 0, Entry{Kind: EntryMark, Text: text}),
		AppendLink(nil, 0, Link{State: LinkDown, Text: "x" + text}),
	} {
		d := Decoder{Aligned: true}
		d.Decode(frame, func(f Frame) {
			v, _, err := parseHost(f)
			must.Do(t, err)
			got := ""
			switch v := v.(type) {
			case Entry:
				got = v.Text
			case Link:
				got = strings.TrimPrefix(v.Text, "x")
			}
			must.Be(t, utf8.ValidString(got) && strings.HasPrefix(text, got) && len(got) >= EntryTextMost-2, "%q", got)
		})
	}
}

// A label from the cable can't send control bytes to a terminal.
func TestLabelString(t *testing.T) {
	for in, want := range map[string]string{
		"gas": "gas", "": "", "\x1b[31mred": "?[31mred", "a\x00b": "a?b", "twelve bytes and more": "twelve bytes", "°C": "??C",
	} {
		must.Equal(t, MakeLabel(in).String(), want, "%q", in)
	}
}

// Every name that people may read is there, and an unknown number shows as one.
func TestNames(t *testing.T) {
	for got, want := range map[string]string{
		TypeHello.String(): "hello", TypeLink.String(): "link", Type(0x3e).String(): "0x3e",
		KindNanovolt.String(): "nV", Kind(77).String(): "0x4d",
		RestartWatchdog.String(): "watchdog", RestartCause(9).String(): "0x09",
		FaultOpen.String(): "open circuit", FaultCode(9).String(): "0x09",
	} {
		must.Be(t, got == want, "%q, want %q", got, want)
	}
}
