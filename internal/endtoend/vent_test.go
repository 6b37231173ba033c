package endtoend

import (
	"math"
	"testing"

	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// opened is a hand that fills, waits, and opens the vent by a share of its bore.
type opened struct {
	mimic.Planned
	share float64
}

// Command implements mimic.Operator.
func (o *opened) Command(v mimic.View) mimic.Valve {
	c := o.Planned.Command(v)
	if c.Action == mimic.Vent {
		c.Opening = o.share
	}
	return c
}

// TestVentForecast proves the coldest gas that is said while a vent of a fixed
// opening goes on against what came, on invented vessels by handbook values: within
// 4 K, fast and slow, from its first seconds on. Carried on at the rate that is seen
// it would be 30 to 90 K too cold.
func TestVentForecast(t *testing.T) {
	t.Parallel()
	for seed, share := range map[uint64]float64{42: 0.03, 43: 0.1} {
		v := invent(t, seed)
		v.truth.Weather.AmbientK, v.truth.Weather.SunWM2 = 295, 400
		hand := &opened{share: share, Planned: mimic.Planned{Plan: []mimic.Segment{{Do: mimic.Open, ForS: 30},
			{Do: mimic.Fill, RampPaS: 15 * bar / 60, ToPa: float64(v.profile.Fill.Target)}, {Do: mimic.Shut, ForS: 120}, {Do: mimic.Vent}}}}
		m, dec := monitor.New(monitor.Config{Profile: v.profile}), wire.Decoder{Aligned: true}
		var now monitor.Snapshot
		said, coldK := map[float64]float64{}, math.Inf(1)
		err := mimic.Record(v.profile, mimic.Scene{Name: "vent"}, mimic.Options{Seed: seed, Truth: &v.truth, RateHz: 5, ForS: 700, RowEveryS: 0.5, Operator: hand},
			func(b []byte) error {
				dec.Decode(b, func(f wire.Frame) { now = m.Step(f) })
				return nil
			}, func(r mimic.Row) error {
				if r.VentKgS > 0 && r.TimeS > 60 {
					coldK = math.Min(coldK, r.GasK)
				}
				for _, inS := range []float64{6, 20, 60} {
					if _, is := said[inS]; !is && now.Phase == phase.Venting && now.TimeS-now.PhaseSince >= inS && now.PressurePa > 5*bar {
						said[inS] = now.Outlook.VentColdK
					}
				}
				return nil
			})
		must.Do(t, err)
		must.Be(t, len(said) == 3 && coldK < 300, "seed %d: %v, coldest %v", seed, said, coldK)
		for inS, k := range said {
			t.Logf("seed %d, opened by %g: after %g s said %.1f °C, came %.1f °C", seed, share, inS, k-273.15, coldK-273.15)
			must.Near(t, "coldest gas", k, coldK, 4)
		}
	}
}
