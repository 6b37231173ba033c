package plan

import (
	"math"
	"slices"

	"fillwright/internal/advise"
	"fillwright/internal/thermal"
	"fillwright/internal/wording"
)

// Verdict is the plan's word.
type Verdict uint8

// The verdicts. GoSlower: than the fastest ramp that the vessel's limits name.
const (
	NoGo Verdict = iota // also where anything is not known
	GoSlower
	Go
)

var verdictNames = [...]string{"no-go", "go-slower", "go"}

// String is the name in JSON.
func (v Verdict) String() string { return verdictNames[v] }

// Estimate is a value with two sigma, K.
type Estimate struct{ K, BandK float64 }

// Answer is what a plan says. SI; pressures are gauge; NaN is not known, +Inf of a
// time is no limit.
type Answer struct {
	Verdict Verdict
	Why     string // of a no-go
	And     string // what else stands against it; empty: nothing
	Odd     string // two readings that hardly go together; empty: they do

	Sun, Shade Estimate // wall before the first gas
	OnsetK     float64
	GoalK      float64 // onset less reserve: what the bound stays under

	RampPaS   float64      // fastest ramp; 0: none
	NoFaster  wording.Text // what keeps it down where no wall does; empty: nothing
	Peak      Estimate     // at that ramp, at the least one where there is none
	MarginK   float64      // onset less peak and band
	RoomK     float64      // to the limit: the margin less the reserve
	PeakInS   float64
	TargetPa  float64
	TargetInS float64
	GasMostK  float64 // hottest gas
	SettlePa  float64
	TopUps    int     // to stand within 1.5 % of the target; -1: more than anybody would
	TopUpPa   float64 // the first one's size
	StandS    float64 // how long it may stand once full
	HoldS     float64 // and how long it shall
	VentK     float64 // coldest gas of a vent
	VentPaS   float64 // opened to this rate, and left so

	Course       []CourseLeg // the fastest, as told to a hand
	CourseInS    float64     // to the target
	CoursePeak   Estimate
	CourseSaves  float64 // share of the time of one ramp
	EnergyBoundK float64 // no ramp warms the mean wall by more
	Supply       Supply
	Narrow       []Narrowing
	Tested       Tested
	Path         []advise.Point // forecast of the course, or of the one ramp
	way          Course         // that Path is of
}

// CourseLeg is a leg in gauge pressure with its clock.
type CourseLeg struct {
	RampPaS      float64 // 0: a wait
	FromPa, ToPa float64
	FromS, ToS   float64
}

// CourseWorth is the share of the time that a course must save to be advised in
// place of one ramp.
const CourseWorth = 0.10

// Depth is how much of an answer is worked out.
type Depth uint8

// The depths: what a remedy is compared by; what the screen shows at once; all.
const (
	DepthRamp Depth = iota
	DepthQuick
	DepthFull
)

// Solve answers a setup with remedies of the given keys in place.
func Solve(s Setup, depth Depth, remedies ...string) Answer {
	var shape func(*Course)
	if len(remedies) > 0 {
		s, shape = s.With(remedies...)
	}
	q := newSearch(&s, s.causes())
	q.shape = shape
	ramp := q.ramp()
	if s.widenBy = s.widen(q, math.Max(ramp, q.leastPaS)); s.widenBy > 1 {
		q = newSearch(&s, s.causes())
		q.shape = shape
		ramp = q.ramp()
	}
	a := Answer{OnsetK: s.OnsetK, GoalK: q.goalK, RampPaS: ramp, TargetPa: s.Day.TargetPa, HoldS: s.Day.HoldS, EnergyBoundK: s.energyBoundK()}
	a.Sun, a.Shade = q.wall(thermal.SideSun), q.wall(thermal.SideShade)
	one := q.one(math.Max(slowed(remedies, ramp, q.leastPaS), q.leastPaS))
	if ramp > 0 {
		a.RampPaS = one[0].RampPaS
	}
	run := q.tell(&a, one)
	a.judge(&s, q, ramp)
	if depth == DepthRamp {
		return a
	}
	q.after(&a, &s, one, run)
	a.Supply = s.supplies(run.MassKg)
	a.Odd, _, _ = s.Day.odd()
	a.Tested = s.tested(&a)
	a.judgeSupply()
	q.plot(&a, one)
	if depth == DepthQuick {
		return a
	}
	if a.Course = q.legs(one); len(one) == 1 && !slices.Contains(remedies, slowerKey) {
		q.tellCourse(&a)
	}
	a.Narrow = s.narrowing(q, one)
	return a
}

// wall is a side before the first gas: its outer cell, of which walls of one
// temperature are all alike.
func (q *search) wall(side int) Estimate {
	b := q.b
	at := b.Layout.AtWall(side, b.Layout.Cells-1)
	return Estimate{b.State.Wall[side][b.Layout.Cells-1], 2 * math.Sqrt(math.Max(0, b.Cov[at*b.Layout.N+at]))}
}

// tell runs the course at the estimate and fills in what it comes to. The bound is
// that of the search: the largest along the directions.
func (q *search) tell(a *Answer, c Course) thermal.Run {
	gas := math.Inf(-1)
	s, p := q.b.State, q.b.Params
	run := q.run(&s, &p, c, func(_, _, _ float64, s *thermal.State) { gas = math.Max(gas, s.GasK) })
	up := q.upperK(c)
	a.Peak, a.MarginK, a.RoomK = Estimate{run.PeakK, up - run.PeakK}, a.OnsetK-up, q.goalK-up
	a.PeakInS, a.TargetInS, a.GasMostK = run.PeakInS, run.RampEndS, gas
	a.SettlePa = q.b.Model.SettledPa(&run.End, &p, run.MassKg) - q.b.Model.AmbientPa
	return run
}

// widen is how much wider the band is outside of what the model has seen.
func (s *Setup) widen(q *search, rampPaS float64) float64 {
	b := q.b
	run := q.run(&b.State, &b.Params, q.one(rampPaS), nil)
	_, w := s.Model.Outside(rampPaS, run.MassKg/b.Model.VolumeM3, run.End.GasK, q.ambientK)
	return w
}

// energyBoundK is D Δp/(4 ρ c t): all the heat of a fill whose gas comes in, and
// ends, as warm as it began is V Δp (first law), and a tube's wall holds ρ c t for
// each square metre. It needs no coefficient.
func (s *Setup) energyBoundK() float64 {
	return EnergyBoundK(float64(s.Vessel.InnerDiameter), s.Vessel.WallAreaHeatJM2K(), s.Day.TargetPa)
}

// EnergyBoundK is D Δp/(4 ρ c t) of a tube, wallJM2K being ρ c t.
func EnergyBoundK(diameterM, wallJM2K, risePa float64) float64 {
	return diameterM * risePa / (4 * wallJM2K)
}

// judge gives the word. What is not known falls to no-go.
func (a *Answer) judge(s *Setup, q *search, rampPaS float64) {
	sunAlone := math.Inf(-1)
	for _, side := range []int{thermal.SideSun, thermal.SideShade} {
		at := q.b.Layout.AtOut(side)
		sunAlone = math.Max(sunAlone, q.b.State.OutK[side]+2*math.Sqrt(math.Max(0, q.b.Cov[at*q.b.Layout.N+at])))
	}
	switch {
	case s.Day.TargetPa > float64(s.Vessel.Limits.Pressure):
		a.Verdict, a.Why = NoGo, "the target is over the vessel's pressure limit"
	case rampPaS >= float64(s.Vessel.Limits.RampMost):
		a.Verdict = Go
	case rampPaS > 0:
		a.Verdict = GoSlower
		if rampPaS >= q.mostPaS {
			a.NoFaster = q.mostWhy
		}
	case math.IsNaN(a.MarginK):
		a.Verdict, a.Why = NoGo, "the wall can't be forecast from this"
	case s.Day.WallSunK >= q.goalK || s.Day.WallShadeK >= q.goalK:
		a.Verdict, a.Why = NoGo, "the wall that was read is past its limit already"
	case sunAlone >= q.goalK:
		a.Verdict, a.Why = NoGo, "the sun alone may take the wall past its limit"
	default:
		a.Verdict, a.Why = NoGo, "even the slowest fill may pass the wall's limit"
	}
}

// judgeSupply takes back a go that the supply can't fill.
func (a *Answer) judgeSupply() {
	switch u := &a.Supply; {
	case !u.Known || u.Enough:
	case a.Verdict == NoGo:
		a.And = "too little gas in the supply"
	default:
		a.Verdict, a.Why = NoGo, "too little gas in the supply: use a fuller one"
	}
}

// tellCourse looks for the fastest course and fills it in.
func (q *search) tellCourse(a *Answer) {
	if !(a.RampPaS > 0) {
		return
	}
	c, _ := q.course(a.RampPaS)
	if taken := len(q.bounds); len(c) > 1 { // its own worst direction may be another
		q.aim(c)
		for range 4 {
			if q.under(c, q.goalK) {
				break
			}
			c[len(c)-1].RampPaS = math.Max(q.leastPaS, 0.9*c[len(c)-1].RampPaS)
		}
		if !q.under(c, q.goalK) || q.lengthS(c) > a.TargetInS {
			c, q.bounds = q.one(a.RampPaS), q.bounds[:taken]
		}
	}
	var full Answer
	full.OnsetK = a.OnsetK
	q.tell(&full, c)
	a.Course, a.CourseInS, a.CoursePeak = q.legs(c), full.TargetInS, full.Peak
	a.CourseSaves = 1 - full.TargetInS/a.TargetInS
	if a.CourseSaves >= CourseWorth {
		q.plot(a, c)
	}
}

// legs are a course with its clock, at the estimate.
func (q *search) legs(c Course) []CourseLeg {
	ambient := q.b.Model.AmbientPa
	var out []CourseLeg
	for i := range c {
		s, p := q.b.State, q.b.Params
		r := q.runFor(&s, &p, c[:i+1], 0, false, nil)
		leg := CourseLeg{RampPaS: c[i].RampPaS, ToPa: r.EndPa - ambient, ToS: r.EndS}
		if i > 0 {
			leg.FromPa, leg.FromS = out[i-1].ToPa, out[i-1].ToS
		}
		out = append(out, leg)
	}
	return out
}

// plot is the forecast that is drawn.
func (q *search) plot(a *Answer, c Course) {
	a.way = c
	a.Path = a.Path[:0]
	s, p := q.b.State, q.b.Params
	ambient, band := q.b.Model.AmbientPa, a.Peak.BandK
	q.runFor(&s, &p, c, math.Max(q.holdS, holdLeastS), false, func(t, pa, hot float64, s *thermal.State) {
		a.Path = append(a.Path, advise.Point{InS: t, PressurePa: pa - ambient, GasK: s.GasK, HottestK: hot, BandK: band})
	})
}
