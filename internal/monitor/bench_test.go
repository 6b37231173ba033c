package monitor

import (
	"testing"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wire"
)

// eightCells is the handbook's model with the most cells.
func eightCells() *wallmodel.Learned {
	l := *wallmodel.Handbook()
	l.Variant.Cells = thermal.CellsMost
	return &l
}

// BenchmarkStep is one sample that ends a block in the middle of a fill, at
// eight cells and two stations with skin sensors: five a second, of which one
// looks ahead. The goal is 0.2 ms without the look ahead.
func BenchmarkStep(b *testing.B) {
	for _, c := range []struct {
		name  string
		ahead bool
	}{{"filter", false}, {"filter and look ahead", true}} {
		b.Run(c.name, func(b *testing.B) {
			s := standOn(b, testProfile(b, onsetFarC, skinChannels))
			s.m = New(Config{Profile: s.profile, Model: eightCells()})
			s.periodMS = 200
			s.hello()
			s.run(10, 0)
			s.run(20, 24*barPerMin)
			frame := s.frames[len(s.frames)-1]
			var v wire.Sample
			if err := wire.ParseSample(frame.Body, &v); err != nil {
				b.Fatal(err)
			}
			var buf []byte
			var d wire.Decoder
			d.Aligned = true
			b.ReportAllocs()
			for b.Loop() {
				v.TimeMS += 200
				v.Values[atPressure] += 8
				buf = wire.AppendSample(buf[:0], 0, &v)
				if c.ahead {
					s.m.ahead.atS = -1e9
				} else {
					s.m.ahead.atS = s.m.snap.TimeS + 1
				}
				d.Decode(buf, func(f wire.Frame) { s.m.Step(f) })
			}
		})
	}
}

// BenchmarkReplayHour is the replay of one hour at 50 Hz: a fill of seven
// minutes, a hold and a vent, with handbook values. The goal is 2 s.
func BenchmarkReplayHour(b *testing.B) {
	s := standOn(b, testProfile(b, 80, ""))
	s.m = New(Config{Profile: s.profile})
	s.periodMS, s.sigmaPa, s.sigmaK = 20, 1500, 0.05
	var frames []wire.Frame
	samples := uint32(0)
	record := func(forS, rampPaS float64) {
		s.run(forS, rampPaS)
		for _, f := range s.frames {
			if samples++; samples%3 == 0 { // as a session tells the host's time
				frames = append(frames, frameOf(b, wire.AppendArrival(nil, 0, wire.Arrival{HostMS: 20 * samples})))
			}
			frames = append(frames, f)
		}
		s.frames = nil
	}
	s.hello()
	record(60, 0)
	record(420, 40*testBar/420)
	record(2600, 0)
	record(400, -40*testBar/400)
	record(120, 0)
	b.ReportAllocs()
	for b.Loop() {
		m := New(Config{Profile: s.profile})
		for _, f := range frames {
			m.Step(f)
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)*3600/(float64(samples)*0.02), "s/hour")
}
