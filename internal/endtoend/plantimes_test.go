package endtoend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/plan"
)

// way of filling a vessel on a day: by the plan, or by a rule of thumb.
type fillWay struct {
	name    string
	rampPaS float64 // 0: as planned
}

const reserveK = 5 // of the invented vessels

const psiMin = 6894.757 / 60

// The rules of thumb: 300 and 600 psi/min are common practice, no source.
var fillWays = []fillWay{{"planned", 0}, {"300 psi/min", 300 * psiMin}, {"600 psi/min", 600 * psiMin}}

// filled is how a fill went: the time to the target, and what was least left to
// the onset. A vessel that was not filled has no time.
type filled struct{ timeS, marginK float64 }

// TestPlannedTimes proves what following a plan is worth against two rules of thumb,
// on warm invented days and vessels whose wall was read before the first gas: how long it
// takes, and how near the wall truly comes to its onset. Following the plan never
// takes it past the onset, and past the reserve on no more than a day in twenty; that
// goal is held at forty days or more. PROOF_PICTURE names a file for the picture.
func TestPlannedTimes(t *testing.T) {
	t.Parallel()
	n := draws(t, "PROOF_TIMES", 1, 1)
	all := make([][]filled, n)
	t.Run("days", func(t *testing.T) {
		for i := range all {
			t.Run(strconv.Itoa(i+1), func(t *testing.T) {
				t.Parallel()
				all[i] = fillEachWay(t, planDayOf(t, uint64(5000+i), hotDays))
			})
		}
	})
	if t.Failed() {
		return
	}
	over, past := 0, 0
	for _, day := range all {
		if f := day[0]; !math.IsNaN(f.timeS) && f.marginK < reserveK {
			over++
		}
		if f := day[0]; !math.IsNaN(f.timeS) && f.marginK < 0 {
			past++
		}
	}
	t.Log("\n" + timesTable(all))
	must.Be(t, n < 40 || over <= n/20 && past <= 0, "following the plan took %d of %d walls past the reserve, %d past the onset", over, n, past)
	if file := os.Getenv("PROOF_PICTURE"); file != "" {
		must.Do(t, os.WriteFile(file, []byte(timesPicture(all)), 0o644))
	}
}

// fillEachWay fills the vessel of a day in each way, the wall read before.
func fillEachWay(t *testing.T, p *planned) []filled {
	t.Helper()
	r := rand.New(rand.NewPCG(p.seed, 80))
	sim, err := mimic.NewSimulator(p.profile, mimic.Scene{Name: "read", StandS: stoodS, Plan: []mimic.Segment{{Do: mimic.Open, ForS: 5}}}, mimic.Options{Seed: p.seed, Truth: &p.truth})
	must.Do(t, err)
	for _, st := range sim.State().Stations { // the thermometer and the hand: 0.7 K
		switch st.Name {
		case "sun":
			p.setup.Day.WallSunK = st.OuterK + 0.7*r.NormFloat64()
		case "shade":
			p.setup.Day.WallShadeK = st.OuterK + 0.7*r.NormFloat64()
		}
	}
	target, onset := float64(p.profile.Fill.Target), float64(p.profile.Resin.Onset)
	a := plan.Solve(p.setup, plan.DepthFull)
	var out []filled
	for _, way := range fillWays {
		segments := []mimic.Segment{{Do: mimic.Fill, RampPaS: way.rampPaS, ToPa: target}}
		f := filled{timeS: target / math.Max(way.rampPaS, 1)}
		if way.rampPaS == 0 {
			segments, f.timeS = asPlanned(&a), a.AdvisedInS()
		}
		if segments == nil {
			f.timeS = math.NaN()
		}
		f.marginK = onset - p.peakK(t, p.truth, segments...)
		out = append(out, f)
	}
	return out
}

// asPlanned is the plan's way as the mimic's operator carries it out; nil: no-go.
func asPlanned(a *plan.Answer) []mimic.Segment {
	switch {
	case a.Verdict == plan.NoGo:
		return nil
	case !a.CourseAdvised():
		return []mimic.Segment{{Do: mimic.Fill, RampPaS: a.RampPaS, ToPa: a.TargetPa}}
	}
	var out []mimic.Segment
	for _, l := range a.Course {
		if l.RampPaS == 0 {
			out = append(out, mimic.Segment{Do: mimic.Shut, ForS: l.ToS - l.FromS})
			continue
		}
		out = append(out, mimic.Segment{Do: mimic.Fill, RampPaS: l.RampPaS, ToPa: l.ToPa})
	}
	return out
}

// timesTable tells each way's days in one row.
func timesTable(all [][]filled) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-12s %6s %22s %22s %12s %10s\n", "way", "filled", "time to target, min", "least margin left, °C", "in reserve", "past onset")
	for w, way := range fillWays {
		var times, margins []float64
		inside, past := 0, 0
		for _, day := range all {
			if f := day[w]; !math.IsNaN(f.timeS) {
				times, margins = append(times, f.timeS/60), append(margins, f.marginK)
				if f.marginK < reserveK {
					inside++
				}
				if f.marginK < 0 {
					past++
				}
			}
		}
		sort.Float64s(times)
		sort.Float64s(margins)
		span := func(x []float64) string {
			if len(x) == 0 {
				return "--"
			}
			return fmt.Sprintf("%.1f (%.1f to %.1f)", x[len(x)/2], x[0], x[len(x)-1])
		}
		fmt.Fprintf(&b, "%-12s %6d %22s %22s %12d %10d\n", way.name, len(times), span(times), span(margins), inside, past)
	}
	return b.String()
}

// timesPicture is a scatter of margin against time, as SVG: a mark a fill.
func timesPicture(all [][]filled) string {
	const w, h, left, top, right, bottom = 720.0, 420.0, 60.0, 20.0, 20.0, 50.0
	marks := []string{
		`<circle cx="%.1f" cy="%.1f" r="4.5" fill="#000"/>`, `<path d="M%.1f %.1fm-5 4l5 -9l5 9z" fill="none" stroke="#0050b0" stroke-width="1.6"/>`,
		`<path d="M%.1f %.1fm-4 -4l8 8m0 -8l-8 8" stroke="#b00020" stroke-width="1.8"/>`,
	}
	least, most := -15.0, 25.0
	x := func(s float64) float64 { // 0.5 to 20 min, logarithmic
		return left + (w-left-right)*math.Log(math.Min(math.Max(s/60, 0.5), 20)/0.5)/math.Log(40)
	}
	y := func(k float64) float64 {
		return top + (h-top-bottom)*(most-math.Min(math.Max(k, least), most))/(most-least)
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" font-family="sans-serif" font-size="13"><rect width="100%%" height="100%%" fill="#fff"/>`+"\n", w, h)
	fmt.Fprintf(&b, `<rect x="%g" y="%.1f" width="%.1f" height="%.1f" fill="#f3d0d0"/>`+"\n", left, y(0), w-left-right, y(least)-y(0))
	fmt.Fprintf(&b, `<rect x="%g" y="%.1f" width="%.1f" height="%.1f" fill="#f7efc8"/>`+"\n", left, y(5), w-left-right, y(0)-y(5))
	for k := least; k <= most; k += 10 {
		fmt.Fprintf(&b, `<text x="%g" y="%.1f" text-anchor="end">%.0f</text><path d="M%g %.1fH%g" stroke="#ccc"/>`+"\n", left-6, y(k)+4, k, left, y(k), w-right)
	}
	for _, m := range []float64{0.5, 1, 2, 5, 10, 20} {
		fmt.Fprintf(&b, `<text x="%.1f" y="%g" text-anchor="middle">%g</text>`+"\n", x(60*m), h-bottom+18, m)
	}
	fmt.Fprintf(&b, `<text x="%g" y="%g" text-anchor="middle">minutes to the target</text><text transform="translate(16 %g) rotate(-90)" text-anchor="middle">least left to the onset, °C</text>`+"\n", (left+w-right)/2, h-12, (top+h-bottom)/2)
	for i, way := range fillWays {
		for _, day := range all {
			if f := day[i]; !math.IsNaN(f.timeS) {
				fmt.Fprintf(&b, marks[i]+"\n", x(f.timeS), y(f.marginK))
			}
		}
		fmt.Fprintf(&b, marks[i]+`<text x="%g" y="%g">%s</text>`+"\n", w-150, top+16+18*float64(i), w-138, top+20+18*float64(i), way.name)
	}
	b.WriteString("</svg>\n")
	return b.String()
}
