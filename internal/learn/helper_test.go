package learn

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

const (
	bar     = 1e5
	atm     = 101325.0
	gridS   = 0.5  // a reading this often
	noiseGK = 0.15 // noise of bead and skin sensor, one sigma
	noiseSK = 0.15
)

// plover is the invented example vessel with paint unknown, so that nothing
// but the fills speaks of the sun.
func plover(t testing.TB) *vessel.Profile {
	t.Helper()
	v := vessel.Invented()
	for i := range v.Stations {
		v.Stations[i].Absorptance = math.NaN()
	}
	return v
}

// pretended is a fill that package thermal makes with known parameters.
type pretended struct {
	name     string
	variant  string
	par      thermal.Params
	rampBar  float64 // per minute
	toBar    float64
	holdS    float64
	ambientK float64
	gainK    [2]float64
	supplyPa float64 // absolute; 0: inflow at ambient plus ParInflow
	tellsPa  bool    // the supply's pressure is in the record
	bare     bool    // no wall sensors
	heat     float64 // factor on the wall's heat capacity, 0: 1
	offTop   float64 // share of the layers that places at the far end see less of
}

// paramsOf are the handbook's values on a variant, changed.
func paramsOf(t testing.TB, variant string, change map[int]float64) thermal.Params {
	t.Helper()
	r, ok := wallmodel.VariantNamed(variant)
	must.Need(t, ok, "no variant %q", variant)
	var p thermal.Params
	for i := range p {
		p[i], _ = r.Prior(i)
	}
	for i, v := range change {
		p[i] = thermal.ParInternal(i, v)
	}
	return p
}

// fill makes the record: half a minute vented, the ramp, the hold.
func (c pretended) fill(t testing.TB, v *vessel.Profile, seed uint64) *Fill {
	t.Helper()
	r, ok := wallmodel.VariantNamed(c.variant)
	must.Need(t, ok, "no variant %q", c.variant)
	m := thermal.NewModel(v, gas.Table(v.Gas), r.Cells)
	if c.heat > 0 {
		m.AreaHeatJM2K *= c.heat
	}
	for i := range m.PlaceCount {
		m.Places[i].OfLayer *= 1 - c.offTop*m.Places[i].OfFar
	}
	rng := rand.New(rand.NewPCG(seed, 11))
	s := m.Uniform(c.ambientK)
	s.Supply.PressurePa = c.supplyPa
	for i := 0; i < m.Sides; i++ {
		s.OutK[i] = c.ambientK + c.gainK[i]
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = c.ambientK + 0.6*c.gainK[i]
		}
	}
	for i := range m.PlaceCount {
		s.SkinK[i] = m.At(&s, &c.par, i, 1, 0).OuterK
	}
	f := &Fill{Name: c.name}
	p := atm
	ramp := c.rampBar * bar / 60
	rise := (c.toBar*bar - (p - atm)) / ramp
	n := int((30 + rise + c.holdS) / gridS)
	for i := 0; i < n; i++ {
		f.take(c, m, &s, float64(i)*gridS, p-atm, rng)
		const parts = 5
		for range parts {
			switch at := float64(i) * gridS; {
			case at < 30:
				m.StepOpen(&s, &c.par, p, p, c.ambientK, gridS/parts)
			case at < 30+rise:
				m.StepOpen(&s, &c.par, p, p+ramp*gridS/parts, c.ambientK, gridS/parts)
				p += ramp * gridS / parts
			default:
				p = m.StepClosed(&s, &c.par, p, c.ambientK, gridS/parts).PressurePa
			}
		}
	}
	return f
}

// take reads every sensor once.
func (f *Fill) take(c pretended, m *thermal.Model, s *thermal.State, at, gaugePa float64, rng *rand.Rand) {
	f.TimeS = append(f.TimeS, at)
	f.PressurePa = append(f.PressurePa, gaugePa)
	f.GasK = append(f.GasK, s.BeadK+noiseGK*rng.NormFloat64())
	f.AmbientK = append(f.AmbientK, c.ambientK)
	if c.tellsPa {
		f.SupplyPa = append(f.SupplyPa, c.supplyPa-atm)
	}
	for i := 0; i < m.PlaceCount && !c.bare; i++ {
		f.Wall[i] = append(f.Wall[i], s.SkinK[i]+noiseSK*rng.NormFloat64())
	}
}

// three are three mild fills that differ in ramp and day.
func three(t testing.TB, v *vessel.Profile, c pretended) []*Fill {
	t.Helper()
	var out []*Fill
	for i, name := range []string{"monday", "tuesday", "wednesday"} {
		k := c
		k.name, k.rampBar, k.toBar, k.holdS = name, 10+9*float64(i), 40, 150
		k.ambientK = 286 + 5*float64(i)
		k.gainK = [2]float64{9 - 3*float64(i), 1 + float64(i)}
		out = append(out, k.fill(t, v, uint64(i+1)))
	}
	return out
}

func mustLearn(t testing.TB, v *vessel.Profile, fills []*Fill, variant string) *Result {
	t.Helper()
	return must.Get(Learn(v, fills, Options{Variant: variant, Name: "test", Date: "2025-06-01"}))(t)
}

// near3 checks fitted parameters against the truth in standard errors.
func near3(t *testing.T, r *Result, truth thermal.Params, which ...int) {
	t.Helper()
	o := r.Best().Outcome
	for _, i := range which {
		z := (o.Params[i] - truth[i]) / o.StdErr[i]
		if !(math.Abs(z) < 3) {
			t.Errorf("%s: %s = %.4g ± %.2g, truth %.4g: %.1f standard errors off", o.Variant.Name, thermal.ParName(i),
				thermal.ParValue(i, o.Params[i]), o.StdErr[i]*thermal.ParSlope(i, o.Params[i]), thermal.ParValue(i, truth[i]), z)
		}
	}
}

// fitted are the parameters of a variant that fit fills.
func fitted(t testing.TB, v *vessel.Profile, r wallmodel.Variant, all []*prepared) thermal.Params {
	t.Helper()
	f := newFitter(v, r, all, shareInlet(all), farUnread(all))
	return f.params(must.Get(f.fit(f.start()))(t).X)
}
