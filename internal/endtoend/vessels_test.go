// Package endtoend holds end-to-end checks of the whole chain against the
// pretended vessel: it only has tests.
package endtoend

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"fillwright/internal/learn"
	"fillwright/internal/mimic"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

const bar = 1e5

// invented is one invented vessel with its truth and the days of its fills.
type invented struct {
	seed     uint64
	profile  *vessel.Profile
	truth    mimic.Truth
	r        *rand.Rand
	refused  int  // correct readings that were not used in the last replay
	putOff   int  // that waited for a second one
	farFills int  // of the three mild fills so many have a sensor at the far end, 0: all
	rough    bool // with all that real vessels do beside the plain picture
}

// invent makes a vessel of its own geometry, wall, paint and sensors. The
// profile is what its owner believes; the truth differs as vessels do.
func invent(t testing.TB, seed uint64) *invented {
	t.Helper()
	data, err := os.ReadFile("../../testdata/plover.toml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := vessel.Parse("plover.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 77))
	p.InnerDiameter = quantity.Length(0.07 + 0.08*r.Float64())
	p.Length = quantity.Length(0.7 + 1.1*r.Float64())
	p.Volume = quantity.Volume(math.Pi / 4 * float64(p.InnerDiameter*p.InnerDiameter*p.Length) * (0.97 + 0.05*r.Float64()))
	p.Wall.Thickness = quantity.Length(0.0018 + 0.0028*r.Float64())
	p.Wall.ConductivityWMK = 0.45 + 0.3*r.Float64()
	p.Fill.Target = quantity.Pressure((30 + 12*r.Float64()) * bar)
	return &invented{seed: seed, profile: p, truth: mimic.Scatter(p, seed), r: r}
}

// inventRough makes a vessel that does what real ones do (mimic.Roughly), all of
// it or only the kinds named.
func inventRough(t testing.TB, seed uint64, kinds ...string) *invented {
	v := invent(t, seed)
	v.truth, v.rough = mimic.Roughly(v.profile, seed, kinds...), len(kinds) == 0
	if v.long() && !farNeverRead(seed) {
		v.watchFarEnd()
	}
	return v
}

// long tells whether the jet hardly reaches a vessel's far end.
func (v *invented) long() bool {
	return float64(v.profile.Length) > thermal.JetReach*float64(v.profile.InnerDiameter)
}

// farNeverRead picks the long vessels, one in four, of which nobody ever reads the far
// end, whether its gas mixes or not.
func farNeverRead(seed uint64) bool { return seed%4 == 3 }

// watchFarEnd adds a place at the far end of a long vessel, with a sensor while
// it is learned from, as README asks for.
func (v *invented) watchFarEnd() {
	p := v.profile
	p.Stations = append(p.Stations, vessel.Station{Name: "far", OffSunDeg: 0, AreaFraction: math.NaN(), Absorptance: math.NaN(), End: vessel.EndFar})
	p.Channels = append(p.Channels, vessel.Channel{Index: len(p.Channels), Role: vessel.RoleWall, Kind: vessel.KindK, Station: "far"})
}

// loseFarEnd takes the readings of the far end out of a fill.
func (v *invented) loseFarEnd(f *learn.Fill) {
	if i := v.profile.StationIndex("far"); i >= 0 {
		for k := range f.Wall[i] {
			f.Wall[i][k] = math.NaN()
		}
	}
}

// forgetFarEnd makes watchFarEnd undone.
func (v *invented) forgetFarEnd() {
	p := v.profile
	if last := len(p.Stations) - 1; p.Stations[last].End == vessel.EndFar {
		p.Stations, p.Channels = p.Stations[:last], p.Channels[:len(p.Channels)-1]
	}
}

// roughDay gives a fill its own weather, and an inside film that differs from
// that of the other fills as hose, nozzle and attitude do.
func roughDay(t *mimic.Truth, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 78))
	mimic.RoughWeather(&t.Weather, r)
	t.Weather.WindMS = 0.5 + 4*r.Float64()
	t.Rough.FilmTimes *= math.Exp(0.2 * r.NormFloat64())
}

// recording is a pretended fill: the logger's frames and the truth.
type recording struct {
	frames []wire.Frame
	rows   []mimic.Row
}

// peakK is the true hottest wall of a recording.
func (r *recording) peakK() float64 {
	hot := 0.0
	for i := range r.rows {
		hot = math.Max(hot, r.rows[i].HottestK)
	}
	return hot
}

// day is the conditions of one fill.
type day struct {
	rampPaS, ambientK, sunWM2, ventedS, holdS float64
	n                                         uint64
}

// record runs one fill of the vessel.
func (v *invented) record(t testing.TB, d day) *recording {
	t.Helper()
	truth := v.truth
	truth.Weather.AmbientK = d.ambientK
	truth.Weather.SunWM2 = d.sunWM2
	if v.rough {
		roughDay(&truth, v.seed*100+d.n)
	}
	return recordOf(t, v.profile, truth, v.seed*100+d.n, d)
}

// recordOf runs a fill of a vessel as it really is.
func recordOf(t testing.TB, p *vessel.Profile, truth mimic.Truth, seed uint64, d day) *recording {
	t.Helper()
	out := &recording{}
	scene := mimic.Scene{
		Name: "proof", Plan: []mimic.Segment{
			{Do: mimic.Open, ForS: d.ventedS},
			{Do: mimic.Fill, RampPaS: d.rampPaS, ToPa: float64(p.Fill.Target)},
			{Do: mimic.Shut, ForS: d.holdS},
		},
		ForS: d.ventedS + float64(p.Fill.Target)/d.rampPaS + d.holdS,
	}
	var dec wire.Decoder
	dec.Aligned = true
	err := mimic.Record(p, scene, mimic.Options{Seed: seed, Truth: &truth, RateHz: 10, RowEveryS: 0.5},
		func(b []byte) error {
			dec.Decode(b, func(f wire.Frame) { out.frames = append(out.frames, f.Clone()) })
			return nil
		},
		func(row mimic.Row) error { out.rows = append(out.rows, row); return nil })
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// fill is a recording as learn wants it, by the way of the sensors.
func (v *invented) fill(name string, rec *recording) *learn.Fill {
	f := &learn.Fill{Name: name}
	bank := probe.NewBank(v.profile, nil)
	var h wire.Hello
	var s wire.Sample
	var from uint32
	for _, fr := range rec.frames {
		switch fr.Type {
		case wire.TypeHello:
			if wire.ParseHello(fr.Body, &h) == nil {
				bank.Hello(&h)
			}
		case wire.TypeSample:
			if wire.ParseSample(fr.Body, &s) != nil {
				continue
			}
			if len(f.TimeS) == 0 {
				from = s.TimeMS
			}
			t := float64(s.TimeMS-from) / 1000
			bank.Sample(&s, t)
			f.TimeS = append(f.TimeS, t)
			row := map[vessel.Role]float64{vessel.RolePressure: math.NaN(), vessel.RoleGas: math.NaN(), vessel.RoleAmbient: math.NaN()}
			for _, r := range bank.Readings() {
				if r.Role == vessel.RoleWall {
					i := v.profile.StationIndex(r.Station)
					f.Wall[i] = append(f.Wall[i], r.Value)
				} else {
					row[r.Role] = r.Value
				}
			}
			f.PressurePa = append(f.PressurePa, row[vessel.RolePressure])
			f.GasK = append(f.GasK, row[vessel.RoleGas])
			f.AmbientK = append(f.AmbientK, row[vessel.RoleAmbient])
		}
	}
	return f
}

// mild is one of three easy fills to learn from.
func (v *invented) mild(n uint64) day {
	return day{
		rampPaS: (8 + 12*v.r.Float64()) * bar / 60, ambientK: 283 + 14*v.r.Float64(),
		sunWM2: 700 * v.r.Float64(), ventedS: 40 + 40*v.r.Float64(), holdS: 120 + 120*v.r.Float64(), n: n,
	}
}

// hard is a faster fill on a hotter day than the vessel has seen.
func (v *invented) hard() day {
	return day{
		rampPaS: (22 + 34*v.r.Float64()) * bar / 60, ambientK: 295 + 12*v.r.Float64(),
		sunWM2: 300 + 650*v.r.Float64(), ventedS: 250, holdS: 150, n: 9,
	}
}
