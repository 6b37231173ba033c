package conformance

import (
	"fmt"
	"math"
	"slices"
)

// How close a rate has to be, and a step between two samples to the usual one.
const (
	rateOff    = 0.02
	stepOff    = 0.20
	stepsOff   = 0.05 // share of steps that may be off
	stepsLeast = 20
)

// steps are the milliseconds between samples of a segment, without the first
// ones after a change.
func (g *segment) steps() []int64 {
	var out []int64
	for i := 3; i < len(g.ms); i++ {
		out = append(out, g.ms[i]-g.ms[i-1])
	}
	return out
}

func median(v []int64) float64 {
	s := slices.Clone(v)
	slices.Sort(s)
	return float64(s[len(s)/2])
}

func judgeRate(x *Exam) (Verdict, string) {
	var said []string
	slow, n := 0.0, 0
	for _, g := range x.segments {
		steps := g.steps()
		if g.unsure || len(steps) < stepsLeast {
			continue
		}
		n++
		// The mean of the steps near the usual one: a gap is judged elsewhere.
		mid := median(steps)
		sum, k := 0.0, 0
		for _, s := range steps {
			if math.Abs(float64(s)-mid) <= 0.5*mid+1 {
				sum, k = sum+float64(s), k+1
			}
		}
		hz := 1000 * float64(k) / max(sum, 1e-3)
		want := float64(g.rateMHz) / 1000
		switch {
		case hz > 250*(1+rateOff) || hz < 1*(1-rateOff):
			said = append(said, fmt.Sprintf("%.3g samples a second, wanted are 1 to 250", hz))
		case want > 0 && math.Abs(hz/want-1) > rateOff:
			said = append(said, fmt.Sprintf("%.4g samples a second, and the hello says %.4g", hz, want))
		}
		if slow == 0 {
			slow = hz
		}
	}
	switch {
	case n == 0:
		return NotSeen, "too few samples came"
	case len(said) > 0:
		return Wrong, said[0]
	case slow < 9.8:
		return LeftOut, fmt.Sprintf("%.3g samples a second; 10 or more are advised for a fill", slow)
	}
	return Right, fmt.Sprintf("%.4g samples a second", slow)
}

func judgeJitter(x *Exam) (Verdict, string) {
	off, n, worst := 0, 0, 0.0
	for _, g := range x.segments {
		steps := g.steps()
		if g.unsure || len(steps) < stepsLeast {
			continue
		}
		mid := median(steps)
		for _, s := range steps {
			d := math.Abs(float64(s) - mid)
			if d > mid*0.5 { // a gap
				continue
			}
			n++
			worst = max(worst, d)
			if d > max(stepOff*mid, 1.5) {
				off++
			}
		}
	}
	switch {
	case n == 0:
		return NotSeen, "too few samples came"
	case float64(off) > stepsOff*float64(n):
		return Wrong, fmt.Sprintf("not steady: %d of %d steps are more than 20 %% off the usual one", off, n)
	}
	return Right, fmt.Sprintf("steps are at most %.0f ms off the usual one", worst)
}

// judgeGaps looks for readings that were left out and not flagged.
func judgeGaps(x *Exam) (Verdict, string) {
	gaps, flagged, n := 0, 0, 0
	longest := int64(0)
	for _, g := range x.segments {
		steps := g.steps()
		if g.unsure || len(steps) < stepsLeast {
			continue
		}
		mid := median(steps)
		n += len(steps)
		for i, s := range steps {
			if float64(s) <= 1.5*mid+1 {
				continue
			}
			if g.over[i+3] {
				flagged++
			} else {
				gaps, longest = gaps+1, max(longest, s)
			}
		}
	}
	lost := int(x.seqs.lost) + len(x.damage)
	switch {
	case n == 0:
		return NotSeen, "too few samples came"
	case gaps > 0 && lost == 0 && x.format != printing:
		return Wrong, fmt.Sprintf("%d times readings were left out (up to %d ms), without the flag overrun and with seq going on", gaps, longest)
	case gaps > 0 && lost == 0:
		return Wrong, fmt.Sprintf("%d times readings were left out (up to %d ms)", gaps, longest)
	case gaps > 0:
		return NotSeen, fmt.Sprintf("%d gaps, which lost frames explain", gaps)
	case flagged > 0:
		return Right, fmt.Sprintf("%d gaps, each with the flag overrun", flagged)
	}
	return Right, "no reading was left out"
}

func (x *Exam) stepBack(now, last uint32) {
	back := int64(last) - int64(now)
	if now < freshMS && back > freshMS {
		// It began anew: that is a restart, not a clock that stumbles.
		x.began()
		return
	}
	x.backs++
	x.backMS = max(x.backMS, int64(-int32(now-last)))
}

func judgeForward(x *Exam) (Verdict, string) {
	still, n := 0, 0
	for _, g := range x.segments {
		for i := 1; i < len(g.ms); i++ {
			n++
			if g.ms[i] == g.ms[i-1] {
				still++
			}
		}
	}
	switch {
	case n == 0:
		return NotSeen, "fewer than two samples came"
	case x.backs > 0:
		return Wrong, fmt.Sprintf("time ran back %d times, by up to %d ms", x.backs, x.backMS)
	case still > n/10:
		return Wrong, fmt.Sprintf("time stands still: %d of %d samples have the time of the one before", still, n)
	}
	return Right, "time never ran back"
}

// Device time against the host's, over at least baseLeastS. A quartz is 0.01 %
// off, a ceramic resonator 0.5 %; more is another unit or a clock that loses
// ticks (common practice, no source).
const (
	baseLeastS = 8.0
	baseOff    = 0.01
)

func judgeTimeBase(x *Exam) (Verdict, string) {
	if !x.opt.Live {
		return NotSeen, "a recording has no other clock"
	}
	var atS, devS []float64
	for _, run := range x.sessions() {
		if n := len(run.atS); n > 1 && (len(atS) == 0 || run.atS[n-1]-run.atS[0] > atS[len(atS)-1]-atS[0]) {
			atS, devS = run.atS, run.devS
		}
	}
	if len(atS) < stepsLeast || atS[len(atS)-1]-atS[0] < baseLeastS {
		return NotSeen, "too short a run of samples"
	}
	// The least delay of the first and of the last quarter: what came late says
	// nothing about the clock.
	q := len(atS) / 4
	i, j := earliest(atS, devS, 0, q), earliest(atS, devS, len(atS)-q, len(atS))
	off := (devS[j]-devS[i])/(atS[j]-atS[i]) - 1
	if math.Abs(off) > baseOff {
		return Wrong, fmt.Sprintf("device time runs at %.3g of the host's clock: are these milliseconds?", off+1)
	}
	return Right, fmt.Sprintf("within %.2f %% of the host's clock", 100*math.Max(math.Abs(off), 1e-4))
}

func earliest(atS, devS []float64, from, to int) int {
	best := from
	for i := from; i < to; i++ {
		if atS[i]-devS[i] < atS[best]-devS[best] {
			best = i
		}
	}
	return best
}

type clockRun struct{ atS, devS []float64 }

// sessions joins the segments whose time goes on.
func (x *Exam) sessions() []clockRun {
	var out []clockRun
	var last int64
	for _, g := range x.segments {
		if len(g.ms) == 0 {
			continue
		}
		if len(out) == 0 || g.ms[0] < last || g.ms[0] > last+5000 {
			out = append(out, clockRun{})
		}
		r := &out[len(out)-1]
		for i := range g.ms {
			r.atS, r.devS = append(r.atS, g.atS[i]), append(r.devS, float64(g.ms[i])/1000)
		}
		last = g.ms[len(g.ms)-1]
	}
	return out
}
