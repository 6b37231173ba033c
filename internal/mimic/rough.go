package mimic

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"fillwright/internal/vessel"
)

// Rough is what real vessels do beside the plain picture. Each field is an
// option of its own; the zero value is none of it. Roughly draws them all.
//
// Sources of the ranges. Layers: half the spread of the gas was 0.08 to 0.35 of
// gas minus wall in measured fills and discharges (Haque and others 1992,
// Dicken & Mérida 2007, Woodfield and others 2007, digitised by others). Film:
// what fits the same measurements runs from no jet to the whole of its
// correlation. Exponents: laminar layers 0.25 to turbulent 1/3 and 0.36. The
// rest is common practice, no source.
type Rough struct {
	FilmTimes        float64 // the day's inside film over the usual one: hose, nozzle, attitude; 0: 1
	NaturalPowerMore float64 // on the exponent of the Rayleigh number
	JetPowerMore     float64 // on the exponent of the jet's Reynolds number
	OutsideTimes     float64 // the outside film over that of the correlation: shelter, turbulence; 0: 1
	FillLayers       float64 // top minus middle as a part of gas minus wall while gas comes in
	FarShare         float64 // part of the length that the jet does not reach; its gas is compressed unmixed
	FarMixS          float64 // how fast that gas mixes with the rest
	BeadFitting      float64 // part of gas minus fitting that the probe's stem conducts away
	BeadInlet        float64 // part of the inflow that a bead near the inlet sees
	StationOffRad    [vessel.StationsMost]float64
	ReadHighK        float64 // what the hand-held probe reads too high, always; readings are the operator's
}

// roughKinds are the kinds of roughness, each drawn by itself.
var roughKinds = []struct {
	name string
	draw func(t *Truth, between func(least, most float64) float64, r *rand.Rand)
}{
	{"layers", func(t *Truth, between func(least, most float64) float64, _ *rand.Rand) {
		t.Stratification, t.Rough.FillLayers = between(0.08, 0.35), between(0, 0.25)
	}},
	{"film", func(t *Truth, between func(least, most float64) float64, r *rand.Rand) {
		t.Rough.FilmTimes, t.JetShare = math.Exp(0.3*clipped(r)), between(0, 0.05)
	}},
	{"exponents", func(t *Truth, between func(least, most float64) float64, _ *rand.Rand) {
		t.Rough.NaturalPowerMore, t.Rough.JetPowerMore = between(-0.08, 0.01), between(-0.12, 0.12)
	}},
	{"bead", func(t *Truth, between func(least, most float64) float64, _ *rand.Rand) {
		t.Rough.BeadFitting, t.Rough.BeadInlet = between(0, 0.10), between(0, 0.15)
		t.Sensors.BeadEmittance = between(0.3, 0.9)
	}},
	{"readings", func(t *Truth, _ func(least, most float64) float64, r *rand.Rand) {
		t.Rough.ReadHighK = 0.4 * clipped(r)
	}},
	{"angle", func(t *Truth, _ func(least, most float64) float64, r *rand.Rand) {
		for i := range t.Rough.StationOffRad {
			t.Rough.StationOffRad[i] = 0.26 * clipped(r) // one sigma is 15°
		}
	}},
	{"far end", func(t *Truth, between func(least, most float64) float64, r *rand.Rand) {
		if slim := t.LengthM / t.InnerDiameterM; slim > jetReach && r.Float64() < 0.5 {
			t.Rough.FarShare, t.Rough.FarMixS = 0.7*(1-jetReach/slim), between(5, 15)
		}
	}},
	{"weather", func(t *Truth, _ func(least, most float64) float64, r *rand.Rand) { RoughWeather(&t.Weather, r) }},
}

// RoughKinds names them.
func RoughKinds() []string {
	var names []string
	for _, k := range roughKinds {
		names = append(names, k.name)
	}
	return names
}

// Roughly is Scatter with every kind of Rough, and weather that changes during
// the fill, drawn at random; with names, only with those kinds.
func Roughly(p *vessel.Profile, seed uint64, kinds ...string) Truth {
	t := Scatter(p, seed)
	r := stream(seed, streamRough)
	between := func(least, most float64) float64 { return least + (most-least)*r.Float64() }
	for _, k := range roughKinds {
		if len(kinds) == 0 || slices.Contains(kinds, k.name) {
			k.draw(&t, between, r)
		}
	}
	return t
}

// jetReach is how many diameters a jet lives in a closed tube (order of
// magnitude; common practice, no source).
const jetReach = 6.0

// RoughWeather lets the sun come out or go, and the wind drop or freshen, at
// some time of the next ten minutes.
func RoughWeather(w *Weather, r *rand.Rand) {
	w.CloudDepth = 0.8 * r.Float64()
	w.CloudForS = 60 + 120*r.Float64()
	if r.Float64() < 0.5 {
		w.SunChangeS, w.SunChangeTo = 30+570*r.Float64(), 0.3+1.0*r.Float64()
	}
	if r.Float64() < 0.5 {
		w.WindChangeS, w.WindChangeTo = 30+570*r.Float64(), math.Exp(0.7*clipped(r))
	}
}

// spot is where a profile's station lies.
type spot struct {
	cell float64 // places around from the sunniest line, 0 to anglesN
	far  bool    // on the end away from the inlet
}

// spotOf ties a station to a place: one named sun looks at the sun, shade away
// from it, one that says how far off it lies there, others evenly between.
func spotOf(p *vessel.Profile, i int, rough *Rough) spot {
	st := &p.Stations[i]
	at := float64((i*anglesN/max(len(p.Stations), 1) + anglesN/4) % anglesN)
	switch {
	case st.OffSunKnown():
		at = st.OffSunDeg / 360 * anglesN
	case strings.HasPrefix(st.Name, "sun"):
		at = 0
	case strings.HasPrefix(st.Name, "shade"):
		at = anglesN / 2
	}
	at += rough.StationOffRad[i] / (2 * math.Pi) * anglesN
	return spot{cell: math.Mod(at+anglesN, anglesN), far: st.End == vessel.EndFar}
}

// placeK is the wall at a spot.
type placeK struct{ outK, inK, hottestK float64 }

// place is the wall at a profile's station, between the two nearest of the grid.
func (s *Simulator) place(station int) placeK {
	at := s.sensors.stations[station]
	w := s.wall
	if at.far && s.far != nil {
		w = s.far.wall
	}
	j := int(at.cell) % anglesN
	k, part := (j+1)%anglesN, at.cell-math.Floor(at.cell)
	mix := func(a, b float64) float64 { return a + part*(b-a) }
	return placeK{mix(w.outK[j], w.outK[k]), mix(w.inK[j], w.inK[k]), mix(w.hottestK(j), w.hottestK(k))}
}
