package wire

import (
	"testing"

	"fillwright/internal/must"
)

// benchSample makes frames of 37 to 40 bytes on the wire, as six channels do.
func benchStream(frames int) []byte {
	s := Sample{N: 6, Values: [ChannelMost]int32{1638, 21203077, 21610533, 21407251, 24125, 31000}}
	var p []byte
	for i := range frames {
		s.TimeMS += 20
		s.Values[0]++
		p = AppendSample(p, uint8(i), &s)
	}
	return p
}

func reportFrames(b *testing.B, frames int) {
	b.Helper()
	b.ReportMetric(float64(frames)/b.Elapsed().Seconds(), "frames/s")
}

func BenchmarkDecode(b *testing.B) {
	stream := benchStream(1000)
	d := Decoder{Aligned: true}
	frames := 0
	b.SetBytes(int64(len(stream)))
	b.ReportAllocs()
	for b.Loop() {
		d.Decode(stream, func(Frame) { frames++ })
	}
	reportFrames(b, frames)
}

// As a serial port delivers: a few bytes a read.
func BenchmarkDecodeReadsOf16(b *testing.B) {
	stream := benchStream(1000)
	d := Decoder{Aligned: true}
	frames := 0
	b.SetBytes(int64(len(stream)))
	b.ReportAllocs()
	for b.Loop() {
		for rest := stream; len(rest) > 0; rest = rest[min(16, len(rest)):] {
			d.Decode(rest[:min(16, len(rest))], func(Frame) { frames++ })
		}
	}
	reportFrames(b, frames)
}

func BenchmarkDecodeAndParse(b *testing.B) {
	stream := benchStream(1000)
	d := Decoder{Aligned: true}
	frames := 0
	var s Sample
	b.SetBytes(int64(len(stream)))
	b.ReportAllocs()
	for b.Loop() {
		d.Decode(stream, func(f Frame) {
			if ParseSample(f.Body, &s) == nil {
				frames++
			}
		})
	}
	reportFrames(b, frames)
}

func BenchmarkAppendSample(b *testing.B) {
	s := Sample{N: 6, Values: [ChannelMost]int32{1638, 21203077, 21610533, 21407251, 24125, 31000}}
	buf := AppendSample(nil, 0, &s)
	frames := 0
	b.SetBytes(int64(len(buf)))
	b.ReportAllocs()
	for b.Loop() {
		buf = AppendSample(buf[:0], uint8(frames), &s)
		frames++
	}
	reportFrames(b, frames)
}

func BenchmarkTextLines(b *testing.B) {
	line := []byte("123456,1638,1203.077,1610.5,24.125,31.0\n")
	t := TextLines{Aligned: true}
	must.Do(b, t.Declare("time_ms,pressure_counts/4095,gas_uv,wall_sun_uv,junction_c,ambient_c"))
	frames := 0
	b.SetBytes(int64(len(line)))
	b.ReportAllocs()
	for b.Loop() {
		t.Decode(line, func(Frame) { frames++ })
	}
	reportFrames(b, frames)
}
