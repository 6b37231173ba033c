package endtoend

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// lived is how a fill by the live advice went.
type lived struct {
	filled
	course   bool    // the advice had a change ahead
	estLeast float64 // least of the margin as estimated: onset − (hottest + band), K
	early    bool    // an order to slow or to shut stood before that was gone
	ordered  bool
}

// errEnough ends a recording.
var errEnough = errors.New("it has stood long enough")

// live fills the vessel of a day by the live advice, with the sensors of its profile
// and nothing learned: the vessel stands for 40 s, and after the target for 120 s.
func (p *planned) live(t *testing.T, hand func(advice func() advise.Advice) mimic.Operator) lived {
	t.Helper()
	m := monitor.New(monitor.Config{Profile: p.profile})
	target, onset := float64(p.profile.Fill.Target), float64(p.profile.Resin.Onset)
	const ventedS, standS, mostS = 40.0, 120.0, 1500.0
	scene := mimic.Scene{Name: "live", Plan: []mimic.Segment{{Do: mimic.Open, ForS: ventedS}, {Do: mimic.Fill, ToPa: target}, {Do: mimic.Shut, ForS: mostS}}, ForS: mostS}
	var now monitor.Snapshot
	dec := wire.Decoder{Aligned: true}
	out := lived{filled: filled{timeS: math.NaN(), marginK: math.Inf(1)}, estLeast: math.Inf(1)}
	beginS, endS := math.NaN(), math.Inf(1)
	advice := func() advise.Advice { return now.Advice }
	o := mimic.Options{Seed: p.seed, Truth: &p.truth, RateHz: 5, RowEveryS: 0.5, Adviser: advice, Follow: hand == nil}
	if hand != nil {
		o.Operator = hand(advice)
	}
	err := mimic.Record(p.profile, scene, o, func(b []byte) error {
		dec.Decode(b, func(f wire.Frame) { now = m.Step(f) })
		return nil
	}, func(r mimic.Row) error {
		if math.IsNaN(beginS) {
			if r.PressurePa < 0.2*bar {
				return nil
			}
			beginS = r.TimeS
		}
		out.course = out.course || now.Advice.Then.Known()
		out.marginK, out.estLeast = math.Min(out.marginK, onset-r.HottestK), math.Min(out.estLeast, now.MarginK)
		if v := now.Advice.Verdict; !out.ordered && (v == advise.VerdictEase || v == advise.VerdictHold || v == advise.VerdictStop) {
			out.ordered, out.early = true, out.estLeast > 0
		}
		if math.IsNaN(out.timeS) && r.PressurePa >= advise.TargetNearShare*target {
			out.timeS, endS = r.TimeS-beginS, r.TimeS+standS
		}
		if r.TimeS > endS {
			return errEnough
		}
		return nil
	})
	must.Need(t, err == nil || errors.Is(err, errEnough), "%v", err)
	return out
}

// deaf stays on the ramp that was told first, whatever is told after it, until he is
// told to shut: that he does, late by the reaction time.
type deaf struct {
	advice  func() advise.Advice
	latestS float64
	target  float64
	rampPaS float64
	stopS   float64 // when he was told; NaN: not yet
	shut    bool
}

// Command implements mimic.Operator.
func (d *deaf) Command(v mimic.View) mimic.Valve {
	a := d.advice()
	if d.rampPaS == 0 && v.TimeS > 40 && a.Verdict == advise.VerdictReady {
		d.rampPaS = a.RampPaS
	}
	if a.Verdict == advise.VerdictStop && math.IsNaN(d.stopS) {
		d.stopS = v.TimeS
	}
	d.shut = d.shut || v.TimeS-d.stopS >= d.latestS || v.PressurePa >= d.target
	switch {
	case d.rampPaS == 0:
		return mimic.Valve{Action: mimic.Open}
	case d.shut:
		return mimic.Valve{Action: mimic.Shut}
	}
	return mimic.Valve{Action: mimic.Fill, RampPaS: d.rampPaS}
}

// TestLiveTimes proves the live advice on the warm days of TestPlannedTimes, with
// sensors on the wall: who follows it comes to the target without the wall passing its onset,
// and into the reserve on no more than a day in twenty. Who stays on the ramp that he was
// told first, past every change, is told to slow down or to shut before the margin is
// gone, and if he shuts only when that is the order, and late by the reaction time,
// his wall does not pass the onset either. The table is told with -v.
func TestLiveTimes(t *testing.T) {
	t.Parallel()
	n := draws(t, "PROOF_LIVE", 1, 1)
	all := make([][2]lived, n)
	t.Run("days", func(t *testing.T) {
		for i := range all {
			t.Run(strconv.Itoa(i+1), func(t *testing.T) {
				t.Parallel()
				p := planDayOf(t, uint64(5000+i), hotDays)
				all[i][0] = p.live(t, nil)
				all[i][1] = p.live(t, func(advice func() advise.Advice) mimic.Operator {
					return &deaf{advice: advice, latestS: float64(p.profile.Limits.Reaction), target: float64(p.profile.Fill.Target), stopS: math.NaN()}
				})
			})
		}
	})
	var text strings.Builder
	var times []float64
	into := 0
	for i, day := range all {
		f, d := &day[0], &day[1]
		fmt.Fprintf(&text, "%2d: course %-5v target after %6.1f s, %5.1f K left at least | deaf: %6.1f s, %5.1f K left, estimated %5.1f K, ordered %v\n",
			i+1, f.course, f.timeS, f.marginK, d.timeS, d.marginK, d.estLeast, d.ordered)
		must.Be(t, f.marginK >= 0 && d.marginK >= 0, "day %d: the wall passes its onset: %.1f K left, deaf %.1f K", i+1, f.marginK, d.marginK)
		if !math.IsNaN(f.timeS) {
			times = append(times, f.timeS)
			if f.marginK < reserveK {
				into++
			}
		}
		must.Be(t, d.estLeast > 0 || d.early, "day %d: the margin is gone, and no order to slow down or to shut came before", i+1)
	}
	sort.Float64s(times)
	t.Logf("%d of %d filled, %d into the reserve\n%s", len(times), n, into, &text)
	if len(times) > 0 {
		t.Logf("time to target: median %.0f s, sum %.0f s", times[len(times)/2], sumOf(times))
	}
	must.Be(t, into*20 <= n, "%d of %d walls into the reserve", into, n)
}

func sumOf(x []float64) (sum float64) {
	for _, v := range x {
		sum += v
	}
	return sum
}
