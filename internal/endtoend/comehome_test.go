package endtoend

import (
	"fmt"
	"math"
	"testing"

	"fillwright/internal/learn"
	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
)

// home is what the pretended vessel really is, in the terms of a parameter.
type home struct {
	name       string
	got, sigma float64 // as learned; logarithms, like the truth
	truth      float64
}

// homes compares what was learned of a vessel with what it is: conductivity and
// wall heat as they are, the inside film and the outside coefficient as they
// were in the middle of the fills.
func (v *invented) homes(o *learn.Outcome, recs []*recording) []home {
	t, p := &v.truth, v.profile
	par := func(name string, i int, truth float64) home {
		return home{name: name, got: o.Params[i], sigma: o.StdErr[i], truth: math.Log(truth)}
	}
	// Areas count from the inner surface, which the curved wall's mean exceeds.
	curved := 1 + t.ThicknessM/t.InnerDiameterM
	heat := t.DensityKgM3 * t.SpecificHeatJKgK * t.ThicknessM * curved / p.WallAreaHeatJM2K()
	var film, learned, outside, n float64
	for _, rec := range recs {
		row := middle(rec.rows)
		rho := row.GasKg / t.VolumeM3
		diff := row.GasK - 0.5*(row.Stations[0].InnerK+row.Stations[1].InnerK)
		film += math.Log(row.InsideWM2K)
		learned += math.Log(o.Params.Film(rho, diff, row.InflowKgS))
		skin := 0.5 * (row.Stations[0].OuterK + row.Stations[1].OuterK)
		mean := 0.5 * (skin + row.AmbientK)
		const stefanBoltzmann = 5.670374419e-8 // W/m²K⁴, CODATA 2018
		outside += math.Log((row.OutsideWM2K + 4*t.Emittance*stefanBoltzmann*mean*mean*mean) * (1 + 2*t.ThicknessM/t.InnerDiameterM))
		n++
	}
	return []home{
		par("conductivity", thermal.ParLnConduct, t.ConductivityWMK/p.Wall.ConductivityWMK),
		par("wall heat", thermal.ParLnHeat, heat),
		{name: "film", got: learned / n, sigma: v.filmSigma(o, recs), truth: film / n},
		par("outside", thermal.ParLnOutside, math.Exp(outside/n)),
	}
}

// filmSigma carries the covariance of the film's parameters to its logarithm in
// the middle of the fills.
func (v *invented) filmSigma(o *learn.Outcome, recs []*recording) float64 {
	row := middle(recs[1].rows)
	at := func(p thermal.Params) float64 {
		return math.Log(p.Film(row.GasKg/v.truth.VolumeM3, row.GasK-row.Stations[1].InnerK, row.InflowKgS))
	}
	which := []int{thermal.ParLnFilm, thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet}
	var slope [4]float64
	for k, i := range which {
		p := o.Params
		p[i] += 1e-4
		slope[k] = (at(p) - at(o.Params)) / 1e-4
	}
	var sum float64
	for k, i := range which {
		for l, j := range which {
			sum += slope[k] * slope[l] * o.Cov[i][j]
		}
	}
	return math.Sqrt(sum)
}

// middle is the row of a filling at half of its pressure.
func middle(rows []mimic.Row) *mimic.Row {
	most := 0.0
	for i := range rows {
		most = math.Max(most, rows[i].PressurePa)
	}
	for i := range rows {
		if rows[i].PressurePa > most/2 {
			return &rows[i]
		}
	}
	return &rows[0]
}

// What is learned in sun and shade comes home to the pretended vessel's truth
// within two of the stated errors, nine times in ten.
func TestParametersComeHome(t *testing.T) {
	t.Parallel()
	n := draws(t, "PROOF_DRAWS", 10, 1)
	got := make([][]home, n)
	t.Run("draws", func(t *testing.T) {
		for i := range got {
			t.Run(fmt.Sprint(i+1), func(t *testing.T) {
				t.Parallel()
				v := invent(t, uint64(300+i))
				var fills []*learn.Fill
				var recs []*recording
				for n := uint64(1); n <= 3; n++ {
					recs = append(recs, v.record(t, v.mild(n)))
					fills = append(fills, v.fill(fmt.Sprintf("mild-%d", n), recs[n-1]))
				}
				r, err := learn.Learn(v.profile, fills, learn.Options{Variant: "layered-jet", Name: "proof"})
				must.Do(t, err)
				got[i] = v.homes(r.Best().Outcome, recs)
			})
		}
	})
	if t.Failed() {
		return
	}
	for k := range got[0] {
		var inside, sum, sq float64
		for _, hs := range got {
			z := (hs[k].got - hs[k].truth) / hs[k].sigma
			if math.Abs(z) <= 2 {
				inside++
			}
			sum, sq = sum+hs[k].got-hs[k].truth, sq+z*z
		}
		count := float64(n)
		t.Logf("%-12s within two stated errors in %.0f of %.0f; mean deviation %+.1f %%, normalised RMS %.2f", got[0][k].name, inside, count, 100*sum/count, math.Sqrt(sq/count))
		must.Be(t, n < 10 || inside >= 0.9*count, "%s comes home in %.0f of %.0f draws, want nine in ten", got[0][k].name, inside, count)
	}
}
