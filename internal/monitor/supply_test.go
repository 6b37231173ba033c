package monitor

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wire"
)

const supplyChannels = `
[[channel]]
index = 3
role = "supply"
kind = "gauge"
[[channel]]
index = 4
role = "supply"
kind = "celsius"
`

// supplyAt sends the pad with a supply reading; NaN is a sensor without one.
func supplyAt(s *stand, gaugePa, tempK float64) Snapshot {
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: s.boot, RateMHz: 10_000, N: len(s.profile.Channels)}
	v := wire.Sample{TimeMS: s.ms, N: h.N}
	for i, c := range s.profile.Channels {
		h.Channels[i] = wire.Channel{Index: uint8(c.Index), Kind: wire.KindMilliCelsius}
		if c.Kind.Pressure() {
			h.Channels[i].Kind = wire.KindPascal
		}
	}
	if s.ms == 0 {
		s.step(wire.AppendHello(nil, 0, &h))
	}
	raw := func(x float64) int32 {
		if math.IsNaN(x) {
			return wire.ValueMissing
		}
		return int32(math.Round(x))
	}
	v.Values = [len(v.Values)]int32{raw(s.gaugePa()), raw(1000 * (s.state.BeadK - zeroCK)), raw(1000 * (s.ambientK - zeroCK)),
		raw(gaugePa), raw(1000 * (tempK - zeroCK))}
	return s.step(wire.AppendSample(nil, 0, &v))
}

// What the supply's sensors say reaches the filter and so the forecast: a
// fuller cylinder gives colder gas, a sensor in the line is believed before
// it, and one that fails is held for a while and then forgotten.
func TestSupplyReachesForecast(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		gaugePa, tempK float64
		want           thermal.Supply
	}{
		{nan, nan, thermal.Supply{}},
		{200 * testBar, nan, thermal.Supply{PressurePa: 200*testBar + 101325}},
		{0, nan, thermal.Supply{PressurePa: 101325}},
		{200 * testBar, 270, thermal.Supply{PressurePa: 200*testBar + 101325, TempK: 270}},
	} {
		s := standOn(t, testProfile(t, onsetFarC, supplyChannels))
		for range 100 {
			supplyAt(s, c.gaugePa, c.tempK)
			s.pad(0)
		}
		got := s.m.est.Estimate().State.Supply
		must.Be(t, math.Abs(got.PressurePa-c.want.PressurePa) <= 1 && math.Abs(got.TempK-c.want.TempK) <= 1e-3,
			"sensors at %g Pa, %g K: supply %+v, want %+v", c.gaugePa, c.tempK, got, c.want)
		for range 90 {
			supplyAt(s, nan, nan)
			s.pad(0)
		}
		held := s.m.est.Estimate().State.Supply
		must.Be(t, held == got, "nine seconds without sensors: %+v, before %+v", held, got)
		for range 40 {
			supplyAt(s, nan, nan)
			s.pad(0)
		}
		must.Equal(t, s.m.est.Estimate().State.Supply, (thermal.Supply{}), "thirteen seconds without sensors")
	}
}

// A model that was learned without supply readings says that they widen its
// band; handbook values were learned nowhere and say nothing.
func TestSupplyNewToModel(t *testing.T) {
	t.Parallel()
	learned := *wallmodel.Handbook()
	learned.Fills = []string{"monday"}
	learned.Range = wallmodel.Range{RampMostPaS: 1e6, DensityMost: 1e3, GasMostK: 1e3, AmbientMostK: 1e3}
	for _, c := range []struct {
		model *wallmodel.Learned
		want  string
	}{{&learned, "model learned without supply readings"}, {nil, ""}} {
		s := standOn(t, testProfile(t, onsetFarC, supplyChannels))
		s.m = New(Config{Profile: s.profile, Model: c.model})
		for range 100 {
			supplyAt(s, 200*testBar, math.NaN())
			s.pad(0)
		}
		must.Be(t, s.last.Model.Widened.String() == c.want, "widened %q, want %q", s.last.Model.Widened, c.want)
	}
}
