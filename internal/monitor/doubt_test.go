package monitor

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// rampFree lets the wall limit a fill, not the profile.
const rampFree = 400 * barPerMin

// situation is a fill that is drawn at random, told in seconds to one monitor.
type situation struct {
	onsetC, ambientC float64
	rampPaS, forS    float64
	warmK            float64 // of the walls over the ambient at the start
	seed             uint64
	sigmaPa, sigmaK  float64
	dead             [5]bool // from half of the fill on
	uncertainty      [5]float64
	lateS            float64 // readings come so late
	hotterK          float64
}

func draw(r *rand.Rand) situation {
	return situation{
		onsetC: 50 + 14*r.Float64(), ambientC: 12 + 18*r.Float64(), rampPaS: (10 + 35*r.Float64()) * barPerMin, forS: 8 + 10*r.Float64(),
		warmK: 8 * r.Float64(), seed: r.Uint64(), sigmaPa: 500, sigmaK: 0.05, uncertainty: [5]float64{0.2, 0.2, 0.2, 0.2, 0.2},
	}
}

// perturbations: each makes a situation hotter, noisier, older or less known.
var perturbations = []struct {
	name string
	turn func(s *situation, r *rand.Rand)
}{
	{"hotter", func(s *situation, r *rand.Rand) { s.hotterK = 1 + 5*r.Float64() }},
	{"noisier pressure", func(s *situation, r *rand.Rand) { s.sigmaPa = 3_000 + 27_000*r.Float64() }},
	{"noisier temperatures", func(s *situation, r *rand.Rand) { s.sigmaK = 0.2 + 1.5*r.Float64() }},
	{"older", func(s *situation, r *rand.Rand) { s.lateS = 0.2 + 0.7*r.Float64() }},
	{"offset of the gas less known", func(s *situation, r *rand.Rand) { s.uncertainty[atGas] = 1 + 5*r.Float64() }},
	{"offset of the wall less known", func(s *situation, r *rand.Rand) { s.uncertainty[atSun] = 1 + 5*r.Float64() }},
	{"zero of the pressure less known", func(s *situation, r *rand.Rand) { s.uncertainty[atPressure] = (0.05 + r.Float64()) * testBar }},
	{"sun sensor lost", func(s *situation, _ *rand.Rand) { s.dead[atSun] = true }},
	{"shade sensor lost", func(s *situation, _ *rand.Rand) { s.dead[atShade] = true }},
	{"both wall sensors lost", func(s *situation, _ *rand.Rand) { s.dead[atSun], s.dead[atShade] = true, true }},
	{"air lost", func(s *situation, _ *rand.Rand) { s.dead[atAmbient] = true }},
	{"gas probe lost", func(s *situation, _ *rand.Rand) { s.dead[atGas] = true }},
}

// advised is the mean ramp of what the monitor advises at the end, 0 for none. A
// first leg alone may be faster: where less is known a course of two may pay that
// did not before.
func (c *situation) advised(t testing.TB) float64 {
	t.Helper()
	p := testProfile(t, c.onsetC, skinChannels)
	p.Limits.RampMost = rampFree
	s := standOn(t, p)
	var off probe.Offsets
	for i, u := range c.uncertainty {
		off.List = append(off.List, probe.Offset{Board: 7, Channel: i, Pressure: i == atPressure, Uncertainty: u, Point: math.NaN()})
	}
	s.m = New(Config{Profile: p, Offsets: &off})
	s.rng = rand.New(rand.NewPCG(c.seed, 4))
	s.ambientK = zeroCK + c.ambientC + c.hotterK
	s.state = s.model.Uniform(s.ambientK)
	for i := range s.state.Wall {
		for j := range s.state.Wall[i] {
			s.state.Wall[i][j] += c.warmK
		}
		s.state.OutK[i] += c.warmK
		s.state.SkinK[i] += c.warmK
	}
	s.sigmaPa, s.sigmaK = c.sigmaPa, c.sigmaK
	h := &hosted{stand: s, r: s.rng}
	h.hello()
	s.unplanned = true // but for where the fill begins: what was told before the end is not on trial
	go1 := func(forS, ramp float64) {
		h.rampPaS = ramp
		h.samples(int(forS * 10))
	}
	go1(6, 0)
	go1(c.forS/2, c.rampPaS)
	s.dead = c.dead
	h.tell(uint32(1000 * c.lateS)) // a stall after which all readings stay late
	go1(c.forS/2, c.rampPaS)
	s.unplanned = false
	s.m.ahead.atS = math.Inf(-1)
	s.m.ahead.planner.Forget()
	s.m.ahead.advice, s.m.pace.toldPaS = advise.Advice{}, math.Inf(1)
	go1(0.4, c.rampPaS)
	a := &s.last.Advice
	if !a.Verdict.AsksForGas() {
		return 0
	}
	return (s.last.TargetPa - s.last.PressurePa) / a.TargetInS
}

// Hotter, noisier, older and less known is never advised faster, beyond 2 %.
// MONITOR_DRAWS asks for more draws of each, MONITOR_SEED for others.
func TestDoubtNeverSpeeds(t *testing.T) {
	t.Parallel()
	asked := func(name string, usual int) int {
		if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
			return n
		}
		return usual
	}
	draws, seed := asked("MONITOR_DRAWS", 1), uint64(asked("MONITOR_SEED", 6))
	var inside atomic.Int64
	for k, p := range perturbations {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(uint64(k), seed))
			compared, faster, worst := 0, 0, 0.0
			for i := range draws {
				base := draw(r)
				turned := base
				p.turn(&turned, r)
				was, is := base.advised(t), turned.advised(t)
				if was > 0 && was < rampFree*0.999 {
					compared++
					worst = math.Max(worst, is/was)
				}
				if is > 1.02*was { // a probe trusted less moves the estimate itself, a little, either way
					faster++
					t.Errorf("draw %d: advised %.1f bar/min, and %.1f without: %+v", i, is/barPerMin, was/barPerMin, turned)
				}
			}
			inside.Add(int64(compared))
			t.Logf("%d draws, %d inside the limits, %d faster, at the most %.3f times", draws, compared, faster, worst)
		})
	}
	t.Cleanup(func() { // the kinds have ended
		n := int(inside.Load())
		must.Be(t, n >= draws/2, "only %d draws had an advice that the wall limited: they prove little", n)
	})
}

// Each fact widens the band by itself and says why, none narrows it beside
// another, and with none it is the filter's own.
func TestDoubtOfEachFact(t *testing.T) {
	t.Parallel()
	sensor := func(role vessel.Role, h, doubt probe.Health) func(f *doubtFacts) {
		return func(f *doubtFacts) {
			f.sensors = append(f.sensors, probe.Reading{Role: role, Station: "sun", Health: h, Doubt: doubt})
		}
	}
	cases := []struct {
		add  func(f *doubtFacts)
		want float64
		why  string
	}{
		{func(f *doubtFacts) { f.outside, f.outsideTimes = "hotter day", 1.15 }, 1.15, "hotter day"},
		{func(f *doubtFacts) { f.contradicts, f.hotter = true, true }, doubtContradicts, wording.ProbeTooHot.String()},
		{func(f *doubtFacts) { f.contradicts = true }, doubtContradicts, wording.ProbeTooCold.String()},
		{func(f *doubtFacts) { f.inflow = wording.NoSupplyLearned }, 1, wording.NoSupplyLearned.String()},
		{func(f *doubtFacts) { f.otherVessel = "Whimbrel" }, doubtVessel, "Whimbrel"},
		{sensor(vessel.RoleGas, probe.HealthGood, probe.HealthNoisy), doubtSensor, "gas"},
		{sensor(vessel.RoleGas, probe.HealthOpen, probe.HealthUnknown), doubtNoBead, wording.OneGasProbe.String()}, // beside one that is good
		{func(f *doubtFacts) { f.sensors[1].Health = probe.HealthOpen }, doubtNoBead, wording.NoGasProbe.String()},
		{sensor(vessel.RolePressure, probe.HealthUnknown, probe.HealthUnknown), doubtSensor, wording.ByProbeAlone.String()},
		{sensor(vessel.RoleWall, probe.HealthOpen, probe.HealthUnknown), doubtNoWall, "sun"},
		{sensor(vessel.RoleAmbient, probe.HealthOpen, probe.HealthUnknown), doubtNoAir, wording.NoAir.String()},
		{func(f *doubtFacts) { f.scatterTimes, f.scatters = 2, wording.ProbeScatters(3) }, 2, "scatters"},
		{func(f *doubtFacts) { f.sureTimes, f.sureBy = 2.2, "hand-held readings" }, 2.2, "hand-held"},
	}
	sound := func() *doubtFacts {
		f := &doubtFacts{outsideTimes: 1, scatterTimes: 1, sureTimes: 1}
		for _, r := range []vessel.Role{vessel.RolePressure, vessel.RoleGas, vessel.RoleAmbient, vessel.RoleWall} {
			sensor(r, probe.HealthGood, probe.HealthUnknown)(f)
		}
		sensor(vessel.RoleWall, probe.HealthUnknown, probe.HealthUnknown)(f) // not read yet is not lost
		return f
	}
	if times, why := doubt(sound()); times != 1 || !why.Empty() {
		t.Errorf("with nothing to doubt: %g, %q", times, why)
	}
	for i, c := range cases {
		f := sound()
		c.add(f)
		times, why := doubt(f)
		must.Be(t, times == c.want && strings.Contains(why.String(), c.why), "case %d: %g, %q; want %g, %q", i, times, why, c.want, c.why)
		for k, more := range cases {
			both := sound()
			c.add(both)
			more.add(both)
			got, why := doubt(both)
			must.Be(t, got >= math.Max(times, more.want) && !why.Empty(), "cases %d and %d together: %g, %q", i, k, got, why)
		}
	}
}
