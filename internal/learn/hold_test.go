package learn

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// course is a fill of 30 s, then whatever does to the absolute pressure, Pa, and to the
// probe, K, over the seconds since: from 40 bar and 340 K.
func course(forS float64, does func(s float64) (pPa, beadK float64)) []bin {
	var b []bin
	for t := 0.0; t <= 30; t++ {
		b = append(b, bin{timeS: t, pPa: t / 30 * 40 * bar, gasK: 300 + 40*t/30})
	}
	for s := 1.0; s <= forS; s++ {
		p, bead := does(s)
		b = append(b, bin{timeS: 30 + s, pPa: p - atm, gasK: bead})
	}
	b[30].pPa = 40*bar - atm
	return b
}

// cooling is gas in a shut vessel, p/T constant (ideal gas), that cools by 30 K in its
// own time; the probe shows share of that.
func cooling(share float64) func(s float64) (pPa, beadK float64) {
	return func(s float64) (float64, float64) {
		fell := 30 * (1 - math.Exp(-s/40))
		return 40 * bar * (340 - fell) / 340, 340 - share*fell
	}
}

// A hold is found by how its pressure falls, up to where gas leaves or comes in; a vessel
// that is blown down, which falls ever slower too, is none.
func TestHold(t *testing.T) {
	until := func(b []bin) float64 {
		at := hold(b, atm)
		if at == nil {
			return 0
		}
		return b[at[len(at)-1]].timeS - 30
	}
	for _, share := range []float64{0.4, 1, 1.2} {
		got := until(course(200, cooling(share)))
		must.Be(t, got > 120, "a probe that shows %.1f: hold seen for %.0f s, want past 120", share, got)
	}
	vented := func(s float64) (float64, float64) {
		p, bead := cooling(1)(s)
		return p * math.Exp(-math.Max(0, s-100)/60), bead
	}
	got := until(course(200, vented))
	must.Be(t, got > 40 && got <= 106, "vented at 100 s: hold seen for %.0f s", got)
	filled := func(s float64) (float64, float64) {
		p, bead := cooling(1)(math.Min(s, 100))
		return p + math.Max(0, s-100)*0.005*bar*4, bead
	}
	got = until(course(200, filled))
	must.Be(t, got > 40 && got <= 106, "filled again at 100 s: hold seen for %.0f s", got)
	// A steady opening, entropy constant: T ~ p^(2/7) (diatomic gas).
	for _, tauS := range []float64{60, 300, 900} {
		blown := func(s float64) (float64, float64) {
			left := math.Exp(-s / tauS)
			return 40 * bar * left, 340 * math.Pow(left, 2.0/7)
		}
		must.Be(t, until(course(200, blown)) == 0, "blown down in %.0f s: taken for a hold", tauS)
	}
	must.Be(t, until(course(0, cooling(1))) == 0, "no hold at all: one seen")
}

// Gas that stays has no residual; a leak costs what a leak of its size is worth, however
// long the hold; a fit that loses 1 % along the curve of cooling gas is told so.
func TestInventory(t *testing.T) {
	b := course(200, cooling(1))
	at := hold(b, atm)
	sum := func(densityOf func(s float64) float64) (square float64) {
		d, r := make([]float64, len(at)), make([]float64, len(at)+1)
		for k, i := range at {
			d[k] = densityOf(b[i].timeS - 30)
		}
		inventory(b, at, d, r)
		for _, x := range r {
			square += x * x
		}
		return square
	}
	must.Be(t, sum(func(float64) float64 { return 41 }) < 1e-12, "gas that stays has a residual")
	leak := sum(func(s float64) float64 { return 41 * (1 - 2*leakPerS*s) })
	must.Be(t, leak > 1 && leak <= 4.01, "a leak of two sigma costs %.2f, want at most 4", leak)
	bent := sum(func(s float64) float64 { return 41 * (1 - 0.02*(1-math.Exp(-s/20))) })
	must.Be(t, bent > 6, "2 %% that go in the first seconds cost %.2f", bent)
}

// A probe that reads far under the mean of the gas is told by the hold: without its
// inventory the fit made up for it by gas that comes in cold. The truth is a fill with
// so much taken off its probe; the fall of its pressure is that of gas that stays.
func TestHoldTellsTheProbe(t *testing.T) {
	const loss = 0.20 // of gas minus wall
	v := plover(t)
	truth := paramsOf(t, "layered", map[int]float64{thermal.ParBeadLoss: loss})
	r, _ := wallmodel.VariantNamed("layered")
	fit := func(blind bool) float64 {
		var all []*prepared
		for i, ramp := range []float64{40, 70, 100} {
			c := pretended{name: "fast", variant: "layered", par: truth, rampBar: ramp, toBar: 40, holdS: 150, ambientK: 290}
			f := c.fill(t, v, uint64(i+1))
			p := must.Get(prepare(f, v, fluidOf(v), r.Cells))(t)
			must.Need(t, p.hold != nil, "%s: no hold seen", f.Name)
			if blind {
				p.n -= len(p.hold) + 1
				p.readsAt, p.hold = p.readsAt[:p.n], nil
			}
			all = append(all, p)
		}
		return fitted(t, v, r, all)[thermal.ParBeadLoss]
	}
	told, untold := fit(false), fit(true)
	must.Be(t, math.Abs(told-loss) < 0.08, "probe loss %.3f, truth %.2f", told, loss)
	must.Be(t, math.Abs(told-loss) < math.Abs(untold-loss)-0.03, "with the hold %.3f, without %.3f, truth %.2f", told, untold, loss)
}
