package endtoend

import (
	"math"
	"testing"

	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// A second gas probe at the far end of long vessels that nobody has learned, whose
// jet does not reach it, and whose wall there nobody reads: the band there is
// narrower with it (of which 3 K are what no parameter explains), and the truth lies
// in it, as often as without it or more.
func TestSecondProbeOnLongVessels(t *testing.T) {
	n := draws(t, "PROOF_SECOND", 3, 1)
	var with, without, inWith, inWithout, all float64
	for seed := uint64(1); n > 0; seed++ {
		v := inventRough(t, 4000+seed, "far end")
		one := *v.profile
		far := one.StationIndex("far")
		if !(v.truth.Rough.FarShare > 0) || far < 0 {
			continue
		}
		n--
		one.Channels = one.Channels[:len(one.Channels)-1] // the wall's own sensor
		two := one
		two.Channels = append(append([]vessel.Channel{}, one.Channels...), vessel.Channel{Index: len(one.Channels), Role: vessel.RoleGas, Kind: vessel.KindK, End: vessel.EndFar})
		d := v.hard()
		rec := recordOf(t, &two, v.truth, seed, d)
		for _, p := range []*vessel.Profile{&one, &two} {
			v.replay(rec, p, nil, waySkin, func(row mimic.Row, s monitor.Snapshot) {
				if row.TimeS < d.ventedS {
					return
				}
				st, inside := &s.Stations[far], 0.0
				if math.Abs(row.Stations[far].InnerK-st.InnerK) <= st.BandK {
					inside = 1
				}
				if p == &two {
					with, inWith, all = with+st.BandK, inWith+inside, all+1
				} else {
					without, inWithout = without+st.BandK, inWithout+inside
				}
			})
		}
	}
	t.Logf("band at the far end %.2f K, without the probe %.2f K; inside %.0f %%, without %.0f %%", with/all, without/all, 100*inWith/all, 100*inWithout/all)
	must.Be(t, with < 0.97*without, "band %.2f K with the probe, %.2f K without", with/all, without/all)
	must.Be(t, inWith >= 0.95*all && inWith >= inWithout, "inside %.0f %% with the probe, %.0f %% without", 100*inWith/all, 100*inWithout/all)
}
