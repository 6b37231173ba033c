package wire

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
)

// Every row of the protocol's table decodes and encodes as it says.
func TestVectors(t *testing.T) {
	rows := readVectors(t)
	kinds := map[string]int{}
	for _, v := range rows {
		kinds[v.what]++
		got := v.found(t)
		must.Be(t, got == v, "found %v\nwant  %v", got, v)
	}
	for _, what := range []string{"crc", "cobs", "frame", "damaged", "oversize", "nothing",
		"body-short", "body-range", "body-version", "stream", "joined"} {
		must.Be(t, kinds[what] != 0, "the table has no row of %q", what)
	}
}

// Vectors of the logger's and the host's frames carry their values as text;
// those of the run log's frames have them here.
var hostValues = map[string]any{
	"log-start":             LogStart{Version: 1, UnixMS: 1735689600000, App: MakeLabel("0.1.0")},
	"log-start-before-1970": LogStart{Version: 1, UnixMS: -1, App: MakeLabel("abcdefghijkl")},
	"text":                  Text{Kind: TextProfile, Part: 0, Parts: 1, Data: []byte("[vessel]\nname = \"Plover\"\n")},
	"text-most":             Text{Kind: TextModel, Part: 65534, Parts: 65535, Data: textMost()},
	"text-empty":            Text{Kind: TextOffsets, Part: 0, Parts: 1, Data: []byte{}},
	"clock":                 Clock{UnixMS: 1735689600123},
	"entry-acknowledge":     Entry{Kind: EntryAcknowledge},
	"entry-surface":         Entry{Kind: EntrySurface, Station: 1, Value: 41250},
	"entry-mark":            Entry{Kind: EntryMark, Text: "valve whistles at 3 °C"},
	"entry-most":            Entry{Kind: 255, Station: 255, Value: -1 << 31, Text: string(repeat('x', EntryTextMost))},
	"silence":               Silence{AgeMS: 250},
	"silence-most":          Silence{AgeMS: 1<<32 - 1},
	"link-down":             Link{State: LinkDown, Text: "cable pulled"},
	"link-up":               Link{State: LinkUp},
	"arrival":               Arrival{HostMS: 1250},
	"arrival-most":          Arrival{HostMS: 1<<32 - 1},
}

func textMost() []byte {
	b := make([]byte, TextPartMost)
	for i := range b {
		b[i] = byte(i * 7 % 251)
	}
	return b
}

func repeat(b byte, n int) []byte {
	p := make([]byte, n)
	for i := range p {
		p[i] = b
	}
	return p
}

// The run log's frames in the table carry the values above, read and write.
func TestVectorsOfTheRunLog(t *testing.T) {
	seen := 0
	for _, v := range readVectors(t) {
		want, ok := hostValues[v.name]
		if !ok {
			continue
		}
		seen++
		d := Decoder{Aligned: true}
		d.Decode(v.bytes(t), func(f Frame) {
			got, again, err := parseHost(f)
			must.Be(t, err == nil, "%s: %v", v.name, err)
			diff := cmp.Diff(want, got)
			must.Be(t, diff == "", "%s: -want +got\n%s", v.name, diff)
			must.Be(t, string(again) == string(v.bytes(t)), "%s: encoded again %x\nwant %s", v.name, again, v.wire)
		})
	}
	must.Be(t, seen == len(hostValues), "%d rows in the table, want %d", seen, len(hostValues))
}

// parseHost parses a frame of the run log and encodes it again.
func parseHost(f Frame) (v any, again []byte, err error) {
	switch f.Type {
	case TypeLogStart:
		var s LogStart
		err = ParseLogStart(f.Body, &s)
		return s, AppendLogStart(nil, f.Seq, s), err
	case TypeText:
		var s Text
		err = ParseText(f.Body, &s)
		return s, AppendText(nil, f.Seq, s), err
	case TypeClock:
		var s Clock
		err = ParseClock(f.Body, &s)
		return s, AppendClock(nil, f.Seq, s), err
	case TypeEntry:
		var s Entry
		err = ParseEntry(f.Body, &s)
		return s, AppendEntry(nil, f.Seq, s), err
	case TypeSilence:
		var s Silence
		err = ParseSilence(f.Body, &s)
		return s, AppendSilence(nil, f.Seq, s), err
	case TypeArrival:
		var s Arrival
		err = ParseArrival(f.Body, &s)
		return s, AppendArrival(nil, f.Seq, s), err
	case TypeLink:
		var s Link
		err = ParseLink(f.Body, &s)
		return s, AppendLink(nil, f.Seq, s), err
	}
	return nil, nil, nil
}
