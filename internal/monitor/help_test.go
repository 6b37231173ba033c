package monitor

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wire"
)

const (
	testBar   = 1e5
	barPerMin = testBar / 60
	zeroCK    = 273.15
)

// standProfile is an invented vessel whose logger speaks pascal and
// millidegrees, so that what a test means is what the monitor reads. The
// onset is far off unless a test brings it near.
const standProfile = `
[vessel]
name = "Plover"
gas = "air"
inner_diameter = "90 mm"
length = "1.6 m"
volume = "10.2 L"
[wall]
thickness = "2.8 mm"
density_kg_m3 = 1480
specific_heat_j_kg_k = 1050
conductivity_w_m_k = 0.55
[resin]
onset = "%g °C"
midpoint = "160 °C"
[limits]
pressure = "50 bar"
reserve = "5 °C"
gas_cold = "-20 °C"
ramp_least = "2 bar/min"
ramp_most = "60 bar/min"
reaction = "5 s"
[fill]
target = "40 bar"
hold = "15 min"
[[station]]
name = "sun"
[[station]]
name = "shade"
[[channel]]
index = 0
role = "pressure"
kind = "gauge"
[[channel]]
index = 1
role = "gas"
kind = "celsius"
[[channel]]
index = 2
role = "ambient"
kind = "celsius"
`

const skinChannels = `
[[channel]]
index = 3
role = "wall"
station = "sun"
kind = "celsius"
[[channel]]
index = 4
role = "wall"
station = "shade"
kind = "celsius"
`

func testProfile(t testing.TB, onsetC float64, more string) *vessel.Profile {
	t.Helper()
	p := must.Get(vessel.Parse("plover.toml", []byte(fmt.Sprintf(standProfile, onsetC)+more)))(t)
	return p
}

// Places of the stand's channels in a sample.
const (
	atPressure = iota
	atGas
	atAmbient
	atSun
	atShade
)

// stand is a pretended pad for one monitor. Gas and wall follow the thermal
// model with handbook values, so that nothing but the monitor is on trial.
type stand struct {
	tb        testing.TB
	m         *Monitor
	profile   *vessel.Profile
	model     *thermal.Model
	params    thermal.Params
	state     thermal.State
	absPa     float64
	massKg    float64
	ambientK  float64
	ms        uint32 // device time of the next sample
	periodMS  uint32
	boot      uint16
	dead      [5]bool // channels without a reading
	readsPa   float64 // what the pressure sensor reads too much
	sigmaPa   float64 // noise, one sigma
	sigmaK    float64
	rng       *rand.Rand
	frames    []wire.Frame // everything that was stepped on
	last      Snapshot
	phases    []string       // each phase that was entered
	see       func(Snapshot) // every Snapshot, may be nil
	unplanned bool           // looks ahead where a phase begins alone: for what no advice is asked of
}

// onsetFarC keeps the wall alarms out of a test.
const onsetFarC = 150

func newStand(tb testing.TB, onsetC float64) *stand { return standOn(tb, testProfile(tb, onsetC, "")) }

func standOn(tb testing.TB, p *vessel.Profile) *stand {
	s := &stand{
		tb: tb, profile: p, m: New(Config{Profile: p}), params: wallmodel.Handbook().Params,
		model: thermal.NewModel(p, gas.Table(p.Gas), thermal.CellsLayered), ambientK: 295,
		periodMS: 100, boot: 1, rng: rand.New(rand.NewPCG(1, 5)),
	}
	s.state = s.model.Uniform(s.ambientK)
	s.absPa = float64(p.AmbientPressure)
	return s
}

// frameOf decodes what an Append function made.
func frameOf(tb testing.TB, b []byte) wire.Frame {
	tb.Helper()
	var out wire.Frame
	n := 0
	d := wire.Decoder{Aligned: true}
	d.Decode(b, func(f wire.Frame) { out = f.Clone(); n++ })
	must.Need(tb, n == 1, "%d frames in % x, want 1", n, b)
	return out
}

func (s *stand) step(b []byte) Snapshot {
	f := frameOf(s.tb, b)
	s.frames = append(s.frames, f)
	before := s.last.Phase
	if s.unplanned {
		s.m.ahead.atS = math.Inf(1)
	}
	s.last = s.m.Step(f)
	if s.last.Phase != before {
		s.phases = append(s.phases, s.last.Phase.String())
	}
	if s.see != nil {
		s.see(s.last)
	}
	return s.last
}

func (s *stand) hello() Snapshot {
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: s.boot, RateMHz: 1_000_000 / s.periodMS, N: len(s.profile.Channels)}
	for i, c := range s.profile.Channels {
		kind := wire.KindMilliCelsius
		if c.Role == vessel.RolePressure {
			kind = wire.KindPascal
		}
		h.Channels[i] = wire.Channel{Index: uint8(c.Index), Kind: kind}
	}
	return s.step(wire.AppendHello(nil, 0, &h))
}

// sampleOf sends the pad as it is at the present device time.
func (s *stand) sampleOf() Snapshot { return s.sampleWith(len(s.profile.Channels)) }

// sampleWith is sampleOf with n values.
func (s *stand) sampleWith(n int) Snapshot {
	noisy := func(x, sigma float64) float64 { return x + sigma*s.rng.NormFloat64() }
	milli := func(k float64) int32 { return int32(math.Round(1000 * (noisy(k, s.sigmaK) - zeroCK))) }
	v := wire.Sample{TimeMS: s.ms, N: n}
	v.Values[atPressure] = int32(math.Round(noisy(s.readsPa+s.absPa-float64(s.profile.AmbientPressure), s.sigmaPa)))
	v.Values[atGas], v.Values[atAmbient] = milli(s.state.BeadK), milli(s.ambientK)
	v.Values[atSun], v.Values[atShade] = milli(s.state.SkinK[0]), milli(s.state.SkinK[1])
	for i, dead := range s.dead {
		if dead {
			v.Values[i] = wire.ValueMissing
		}
	}
	for i := v.N; i < len(v.Values); i++ {
		v.Values[i] = 0
	}
	return s.step(wire.AppendSample(nil, 0, &v))
}

// pad lets the pad itself go on by a sample's period: at a ramp while gas
// flows, with its gas shut in for a ramp of 0.
func (s *stand) pad(rampPaS float64) {
	dt := float64(s.periodMS) / 1000
	least := float64(s.profile.AmbientPressure)
	next := math.Max(s.absPa+rampPaS*dt, least)
	if rampPaS == 0 && s.absPa > least+1 {
		s.absPa = s.model.StepClosed(&s.state, &s.params, s.absPa, s.ambientK, dt).PressurePa
	} else {
		s.massKg = s.model.StepOpen(&s.state, &s.params, s.absPa, next, s.ambientK, dt).MassKg
		s.absPa = next
	}
	s.ms += s.periodMS
}

// run sends samples for forS at a ramp.
func (s *stand) run(forS, rampPaS float64) Snapshot {
	for n := int(math.Round(forS * 1000 / float64(s.periodMS))); n > 0; n-- {
		s.sampleOf()
		s.pad(rampPaS)
	}
	return s.last
}

// fill fills to a gauge pressure.
func (s *stand) fill(rampPaS, toPa float64) Snapshot {
	return s.run((toPa-s.gaugePa())/rampPaS, rampPaS)
}

func (s *stand) gaugePa() float64 { return s.absPa - float64(s.profile.AmbientPressure) }

// silence tells the monitor that nothing came until ageMS after the last
// sample, in the host's rhythm.
func (s *stand) silence(fromMS, toMS uint32) Snapshot {
	for age := fromMS; age <= toMS; age += wire.SilenceEveryMS {
		s.step(wire.AppendSilence(nil, 0, wire.Silence{AgeMS: age}))
	}
	return s.last
}

func (s *stand) entry(e wire.Entry) Snapshot { return s.step(wire.AppendEntry(nil, 0, e)) }

func (s *stand) surface(station uint8, surfaceK float64) Snapshot {
	return s.entry(wire.Entry{Kind: wire.EntrySurface, Station: station, Value: int32(math.Round(1000 * (surfaceK - zeroCK)))})
}

// readWalls reads each station by hand a few times, as before a fill.
func (s *stand) readWalls() {
	for range 3 {
		for i := range s.profile.Stations {
			s.surface(uint8(i), s.model.At(&s.state, &s.params, i, 1.2, 0).OuterK)
		}
		s.run(20, 0)
	}
}

// vented is a stand whose vessel has stood vented for a while.
func vented(tb testing.TB, onsetC float64) *stand {
	s := newStand(tb, onsetC)
	s.hello()
	s.run(10, 0)
	return s
}

// held is a stand on its hold after a fill to 20 bar.
func held(tb testing.TB, onsetC, holdS float64) *stand {
	s := vented(tb, onsetC)
	s.unplanned = true
	s.fill(24*barPerMin, 20*testBar)
	s.unplanned = false
	s.run(holdS, 0)
	return s
}

// find is an alarm among those that are not normal.
func find(s *Snapshot, name string) *alarm.Active {
	for i := range s.Alarms {
		if s.Alarms[i].Name == name {
			return &s.Alarms[i]
		}
	}
	return nil
}

// present tells whether an alarm's condition stands.
func present(s *Snapshot, name string) bool {
	a := find(s, name)
	return a != nil && (a.State == alarm.StateUnacknowledged || a.State == alarm.StateAcknowledged)
}

// events are the texts of one kind.
func eventsOf(s *Snapshot, kind EventKind) []string {
	var out []string
	for _, e := range s.Events {
		if e.Kind == kind {
			out = append(out, e.Text.String())
		}
	}
	return out
}
