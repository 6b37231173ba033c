package endtoend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

func probeNumber(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// said is what a Bank said of a channel, and when for the first time.
type said struct {
	timeS float64
	as    probe.Health
}

// listen runs a Bank over recorded frames; spoil may change a sample on its
// way. It gives the first complaint of each channel.
func listen(t testing.TB, p *vessel.Profile, list []wire.Frame, spoil func(*wire.Sample, float64), each func(i int, r *probe.Reading, timeS float64)) map[int]said {
	t.Helper()
	b := probe.NewBank(p, nil)
	out := map[int]said{}
	var h wire.Hello
	var s wire.Sample
	for _, f := range list {
		switch {
		case f.Type == wire.TypeHello && wire.ParseHello(f.Body, &h) == nil:
			b.Hello(&h)
		case f.Type == wire.TypeSample && wire.ParseSample(f.Body, &s) == nil:
			now := float64(s.TimeMS) / 1000
			if spoil != nil {
				spoil(&s, now)
			}
			b.Sample(&s, now)
			rs := b.Readings()
			for i := range rs {
				r := &rs[i]
				as := r.Doubt
				if r.Health != probe.HealthGood {
					as = r.Health
				}
				if _, told := out[r.Channel]; as != probe.HealthUnknown && !told {
					out[r.Channel] = said{now, as}
				}
				if each != nil {
					each(i, r, now)
				}
			}
		}
	}
	return out
}

// fault is one way for a sensor to fail in a recorded fill.
type fault struct {
	name    string
	channel int
	atS     float64
	want    probe.Health
	mostS   float64 // found within
	spoil   func(s *wire.Sample, r *rand.Rand, held *int32)
}

// The recorded channels have the profile's order: 0 pressure, 1 gas, 2 sun,
// 3 shade, 4 cold junction, 5 ambient.
var faults = []fault{
	{"gas open", 1, 60, probe.HealthOpen, 0.2, func(s *wire.Sample, _ *rand.Rand, _ *int32) { s.Values[1] = wire.ValueMissing }},
	{"pressure shorted to ground", 0, 60, probe.HealthShortGround, 0.2, func(s *wire.Sample, _ *rand.Rand, _ *int32) { s.Values[0] = 2 }},
	{"pressure shorted to supply", 0, 60, probe.HealthShortSupply, 0.2, func(s *wire.Sample, _ *rand.Rand, _ *int32) { s.Values[0] = 4095 }},
	{"pressure at its rail", 0, 60, probe.HealthAtRail, 0.2, func(s *wire.Sample, _ *rand.Rand, _ *int32) { s.Values[0] = 4045 }},
	{"gas leads reversed", 1, 0, probe.HealthReversed, 50, func(s *wire.Sample, _ *rand.Rand, _ *int32) { s.Values[1] = -s.Values[1] }},
	{"gas leads touch", 1, 0, probe.HealthShorted, 50, func(s *wire.Sample, r *rand.Rand, _ *int32) { s.Values[1] = int32(900 * r.NormFloat64()) }},
	{"gas frozen", 1, 60, probe.HealthFrozen, 6, func(s *wire.Sample, _ *rand.Rand, h *int32) { hold(s, 1, h) }},
	{"wall frozen", 2, 60, probe.HealthFrozen, 6, func(s *wire.Sample, _ *rand.Rand, h *int32) { hold(s, 2, h) }},
	{"pressure frozen in the hold", 0, 150, probe.HealthFrozen, 60, func(s *wire.Sample, _ *rand.Rand, h *int32) { hold(s, 0, h) }},
	{"pressure with a bad contact", 0, 60, probe.HealthJump, 5, func(s *wire.Sample, r *rand.Rand, _ *int32) {
		if r.Float64() < 0.2 {
			s.Values[0] += 900
		}
	}},
	{"gas with a bad contact", 1, 60, probe.HealthJump, 5, func(s *wire.Sample, r *rand.Rand, _ *int32) {
		if r.Float64() < 0.2 {
			s.Values[1] += 2e6
		}
	}},
	{"wall noisy", 3, 200, probe.HealthNoisy, 30, func(s *wire.Sample, r *rand.Rand, _ *int32) { s.Values[3] += int32(5e4 * r.NormFloat64()) }},
	{"logger in the sun", 4, 60, probe.HealthColdDoubt, 90, func(s *wire.Sample, _ *rand.Rand, h *int32) {
		*h += 10
		s.Values[4] += min(*h, 30000)
	}},
}

func hold(s *wire.Sample, at int, h *int32) {
	if *h == 0 {
		*h = s.Values[at]
	}
	s.Values[at] = *h
}

// TestFaultTable: each fault put into the same pretended fill, found after how
// long, and by its right name.
func TestFaultTable(t *testing.T) {
	p := plover(t, "plover.toml")
	sc := mimic.Scene{Name: "faults", Plan: []mimic.Segment{
		{Do: mimic.Open, ForS: 30}, {Do: mimic.Fill, RampPaS: 30 * bar / 60, ToPa: 40 * bar}, {Do: mimic.Shut, ForS: 300},
	}, ForS: 400}
	list := recordScene(t, p, sc, 11, 20, 400)
	if got := listen(t, p, list, nil, nil); len(got) != 0 {
		t.Errorf("the sound fill: %v", got)
	}
	for _, f := range faults {
		r, held := rand.New(rand.NewPCG(1, 5)), int32(0)
		got, ok := listen(t, p, list, func(s *wire.Sample, now float64) {
			if now >= f.atS {
				f.spoil(s, r, &held)
			}
		}, nil)[f.channel]
		named := "by its name"
		if !ok || got.as != f.want {
			named = fmt.Sprintf("as %q, not as %q", got.as, f.want)
		}
		t.Logf("%-30s put in at %5.1f s, found after %5.1f s, %s", f.name, f.atS, got.timeS-f.atS, named)
		must.Be(t, ok && got.as == f.want && got.timeS >= f.atS && got.timeS-f.atS <= f.mostS, "%s: want it within %.1f s", f.name, f.mostS)
	}
}

// TestNoFalseAlarms: hours of clean, noisy data with a fill, a hold and a
// vent every hour, and no sensor is called ill or doubtful.
func TestNoFalseAlarms(t *testing.T) {
	t.Parallel()
	p := plover(t, "plover.toml")
	alarms, samples := 0, 0
	days := draws(t, "PROOF_HOURS", 4, 1)
	for day := range uint64(days) { // an hour each, on a day of its own
		truth := mimic.Scatter(p, day)
		sc := mimic.Varied(p, day, int(day))
		sc.Plan = append([]mimic.Segment{{Do: mimic.Open, ForS: 1100}}, sc.Plan...)
		sc.Plan = append(sc.Plan, mimic.Segment{Do: mimic.Open, ForS: 3600})
		set := sc.Set
		sc.Set = func(tr *mimic.Truth) {
			weather := tr.Weather
			*tr = truth
			tr.Weather = weather
			set(tr)
		}
		list := recordScene(t, p, sc, day, 5, 3600)
		samples += len(list)
		was := map[int]probe.Health{}
		listen(t, p, list, nil, func(i int, r *probe.Reading, timeS float64) {
			as := r.Doubt
			if r.Health != probe.HealthGood {
				as = r.Health
			}
			if as != was[i] && as != probe.HealthUnknown {
				alarms++
				t.Errorf("hour %d, %.1f s: channel %d %s is called %q", day, timeS, r.Channel, r.Role, as)
			}
			was[i] = as
		})
	}
	t.Logf("%d h, %d samples of 6 sensors: %d false alarms", days, samples, alarms)
	hour := 3600.0
	must.Be(t, math.Abs(float64(samples)-float64(days)*hour*5) <= float64(days)*hour, "%d samples are not %d h", samples, days)
}
