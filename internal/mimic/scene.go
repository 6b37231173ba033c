package mimic

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/vessel"
)

// Scene is an invented fill: a plan, a day and what goes wrong.
type Scene struct {
	Name     string // stable, kebab-case
	About    string // one sentence, for people
	Plan     []Segment
	Set      func(*Truth) // changes the vessel or the day; may be nil
	Failures []Failure
	ForS     float64 // how long a recording of it runs
	// FromAmbient starts with the wall at ambient temperature instead of
	// after standing in the sun.
	FromAmbient bool
	StandS      float64 // how long it stood before; 0: warmUpS
	Bath        *Bath   // all thermometers hang in it; nil: where the profile says
}

const (
	bar       = 1e5
	barPerMin = bar / 60
	warmUpS   = 240
)

func (s *Scene) standS() float64 {
	if s.FromAmbient {
		return 0
	}
	if s.StandS > 0 {
		return s.StandS
	}
	return warmUpS
}

// Scenes are the invented fills that come with the program.
func Scenes() []Scene {
	return []Scene{calm(), rushed(), leak(), hotDay(), dyingProbe()}
}

// FindScene gives the scene of that name.
func FindScene(name string) (Scene, error) {
	var names []string
	for _, s := range Scenes() {
		if s.Name == name {
			return s, nil
		}
		names = append(names, s.Name)
	}
	return Scene{}, fmt.Errorf("no scene %q; there are: %s", name, strings.Join(names, ", "))
}

// course stands vented, fills, stands and is vented slowly.
func course(openS float64, fill Segment, holdS, overS float64) []Segment {
	return []Segment{{Do: Open, ForS: openS}, fill, {Do: Shut, ForS: holdS}, {Do: Vent, RampPaS: 6 * barPerMin}, {Do: Open, ForS: overS}}
}

func calm() Scene {
	return Scene{
		Name:  "calm",
		About: "An easy fill on a mild day, a hold, and a vent.",
		Plan:  course(10, Segment{Do: Fill, RampPaS: 24 * barPerMin}, 420, 60),
		ForS:  1020,
	}
}

func rushed() Scene {
	return Scene{
		Name:  "rushed",
		About: "The fastest fill on a sunny day; the wall reaches onset unless somebody stops it.",
		Plan:  course(10, Segment{Do: Fill}, 300, 30),
		Set: func(t *Truth) {
			t.Weather.AmbientK = 307.65
			t.Weather.SunWM2 = 950
			t.Weather.CloudDepth = 0
			t.Weather.WindMS = 1.2
			t.Supply.GaugePa = 200e5
			t.Supply.HoseWarmerK = 12
		},
		ForS: 820,
	}
}

func leak() Scene {
	return Scene{
		Name:  "leak",
		About: "A calm fill after which a fitting leaks for the whole hold.",
		Plan:  course(10, Segment{Do: Fill, RampPaS: 24 * barPerMin}, 600, 30),
		Set: func(t *Truth) {
			t.LeakAreaM2 = 5e-9 // a hole of 0.08 mm: about 3 g/min from 40 bar
			t.LeakOpensPa = 38 * bar
		},
		ForS: 1200,
	}
}

func hotDay() Scene {
	return Scene{
		Name:  "hot-day",
		About: "A hot pad in full sun with little wind: the wall is near its limit before the fill begins.",
		Plan:  course(20, Segment{Do: Fill, RampPaS: 10 * barPerMin}, 300, 30),
		Set: func(t *Truth) {
			t.Weather.AmbientK = 310.15
			t.Weather.SunWM2 = 950
			t.Weather.CloudDepth = 0.5
			t.Weather.CloudForS = 90
			t.Weather.WindMS = 1.2
			t.Supply.HoseWarmerK = 12
		},
		ForS: 1050,
	}
}

func dyingProbe() Scene {
	s := calm()
	s.Name = "dying-probe"
	s.About = "A calm fill during which the gas thermocouple makes and breaks contact, then is gone."
	s.Failures = []Failure{{Role: vessel.RoleGas, AtS: 55}}
	return s
}

// Varied is one of many fills of a scattered vessel, for tests: fill number n
// of the vessel with that seed has its own day, ramp and hold.
func Varied(p *vessel.Profile, seed uint64, n int) Scene {
	r := stream(seed*1009+uint64(n), streamScene)
	day := scatterWeather(r)
	least, most := float64(p.Limits.RampLeast), float64(p.Limits.RampMost)
	least = max(least, 4*barPerMin)
	most = max(most, least)
	ramp := least * math.Pow(most/least, r.Float64())
	return Scene{
		Name:  fmt.Sprintf("varied-%d-%d", seed, n),
		About: "One of many fills that differ by chance.",
		Plan: []Segment{
			{Do: Open, ForS: 15},
			{Do: Fill, RampPaS: ramp, ToPa: float64(p.Fill.Target) * (0.7 + 0.3*r.Float64())},
			{Do: Shut, ForS: 120 + 240*r.Float64()},
			{Do: Vent, RampPaS: (4 + 8*r.Float64()) * barPerMin},
			{Do: Open, ForS: 20},
		},
		Set:  func(t *Truth) { t.Weather = day },
		ForS: 900,
	}
}

// planFor is the plan with the profile's numbers where it has zeros.
func (s *Scene) planFor(p *vessel.Profile) []Segment {
	plan := append([]Segment(nil), s.Plan...)
	for i := range plan {
		seg := &plan[i]
		if (seg.Do == Fill || seg.Do == Vent) && seg.RampPaS <= 0 {
			seg.RampPaS = float64(p.Limits.RampMost)
		}
		if seg.Do == Fill && seg.ToPa <= 0 {
			seg.ToPa = float64(p.Fill.Target)
		}
		if seg.Do == Shut && seg.ForS <= 0 {
			seg.ForS = float64(p.Fill.Hold)
		}
	}
	return plan
}
