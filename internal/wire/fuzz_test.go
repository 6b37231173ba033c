package wire

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
)

// Whatever is in a frame comes out as it went in, after any rubbish that a
// delimiter closes, and the encoded frame holds no zero but its last byte.
func FuzzFrame(f *testing.F) {
	f.Add(uint8(TypeSample), uint8(1), []byte{0, 1, 0xFF})
	f.Fuzz(func(t *testing.T, kind, seq uint8, body []byte) {
		body = body[:min(len(body), BodyMost)]
		wire := AppendFrame([]byte("rubbish\x00"), Type(kind), seq, body)
		frame := wire[len("rubbish\x00"):]
		must.Need(t, bytes.IndexByte(frame, 0) == len(frame)-1 && len(frame) <= encodedMost+1, "% x", frame)
		var d Decoder
		got := collect(&d, wire)
		must.Need(t, len(got) == 1 && got[0].Type == Type(kind) && got[0].Seq == seq && bytes.Equal(got[0].Body, body),
			"got %v, want %d %d % x", got, kind, seq, body)
	})
}

// Any stream, cut anyhow, gives the same frames and counts; every frame that
// comes out can be described or is refused with an error, and encodes again to
// a frame that decodes to the same.
func FuzzDecoder(f *testing.F) {
	f.Add(noise(1, 10), uint16(3))
	for _, v := range readVectors(f) {
		f.Add(v.bytes(f), uint16(len(v.name)))
	}
	f.Fuzz(func(t *testing.T, stream []byte, size uint16) {
		for _, aligned := range []bool{false, true} {
			whole := Decoder{Aligned: aligned}
			want := collect(&whole, stream)
			parts := Decoder{Aligned: aligned}
			var got []Frame
			for rest := stream; len(rest) > 0; rest = rest[min(len(rest), int(size)+1):] {
				got = append(got, collect(&parts, rest[:min(len(rest), int(size)+1)])...)
			}
			diff := cmp.Diff(want, got)
			must.Need(t, diff == "" && whole.Counts() == parts.Counts() && whole.Pending() == parts.Pending(), "%+v %+v %s", whole.Counts(), parts.Counts(), diff)
			if whole.Counts().Good != uint64(len(want)) || whole.Pending() > len(stream) {
				t.Fatalf("%+v for %d frames, pending %d", whole.Counts(), len(want), whole.Pending())
			}
			for _, frame := range want {
				checkAgain(t, frame)
			}
		}
	})
}

func checkAgain(t *testing.T, f Frame) {
	t.Helper()
	text, again, err := describe(f)
	if f.Type >= TypeLogStart {
		_, again, err = parseHost(f)
	}
	if err != nil || again == nil {
		return // refused, or a type that has no values to encode again
	}
	d := Decoder{Aligned: true}
	frames := collect(&d, again)
	must.Need(t, len(frames) == 1, "%s: encoded again is % x", text, again)
	same, _, err := describe(frames[0])
	must.Need(t, err == nil && (len(f.Body) != len(frames[0].Body) || same == text), "%s became %s, %v", text, same, err)
}

// Any text, cut anyhow, gives the same frames and counts, and every frame that
// comes out is well formed.
func FuzzTextLines(f *testing.F) {
	f.Add([]byte(ExampleHeader+"\r\n1,2,3,4\n"), uint16(3), "")
	f.Add([]byte("garbage\n5,2.5\n4,\n"), uint16(0), "time_s,a_c")
	f.Fuzz(func(t *testing.T, text []byte, size uint16, header string) {
		for _, aligned := range []bool{false, true} {
			whole, parts := TextLines{Aligned: aligned}, TextLines{Aligned: aligned}
			err, err2 := whole.Declare(header), parts.Declare(header)
			must.Need(t, (err == nil) == (err2 == nil), "%v %v", err, err2)
			var want, got []Frame
			whole.Decode(text, func(f Frame) { want = append(want, f.Clone()) })
			for rest := text; len(rest) > 0; rest = rest[min(len(rest), int(size)+1):] {
				parts.Decode(rest[:min(len(rest), int(size)+1)], func(f Frame) { got = append(got, f.Clone()) })
			}
			diff := cmp.Diff(want, got)
			must.Need(t, diff == "" && whole.Counts() == parts.Counts() && whole.Pending() == parts.Pending(), "%+v %+v %s", whole.Counts(), parts.Counts(), diff)
			for i, frame := range want {
				if _, _, err := describe(frame); err != nil || frame.Type != TypeHello && frame.Type != TypeSample || i == 0 && frame.Type != TypeHello {
					t.Fatalf("frame %d: %v, %v", i, frame, err)
				}
			}
			p := whole.Problem()
			must.Need(t, p == nil || len(p.Error()) <= 6*LineMost, "a problem of too many bytes")
		}
	})
}
