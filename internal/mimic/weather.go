package mimic

import (
	"math"
	"math/rand/v2"
)

// Weather is the pad's surroundings. Angles in radian in the vessel's cross
// section, 0 at the horizon towards the sun, π/2 straight up.
type Weather struct {
	AmbientK      float64
	Humidity      float64 // relative, 0 to 1; it counts under a wet wrap
	AmbientRiseKS float64 // slow drift, K/s
	SunWM2        float64 // irradiance on a face turned to the sun
	SunHighRad    float64 // the sun's height in the cross section
	Diffuse       float64 // diffuse light as a part of SunWM2
	CloudDepth    float64 // part of the sun that a cloud takes, 0 none
	CloudEveryS   float64
	CloudForS     float64
	WindMS        float64
	WindUneven    float64 // how much more of it the windward side gets: 0 even, 1 as on a smooth cylinder
	WindFromRad   float64 // where it comes from in the cross section
	Gust          float64 // relative swing of the wind
	SkyColderK    float64 // surroundings seen from above, below ambient
	GroundWarmerK float64 // those seen from below, above ambient

	// From these times on the sun and the wind are this many times what they
	// were; a time of 0 is never. Each goes over within changeOverS.
	SunChangeS, SunChangeTo   float64
	WindChangeS, WindChangeTo float64
}

const changeOverS = 20.0 // the edge of a cloud, a lull

// changed is a factor that goes from one to to around atS.
func changed(t, atS, to float64) float64 {
	if atS <= 0 || t <= atS {
		return 1
	}
	return 1 + (to-1)*math.Min((t-atS)/changeOverS, 1)
}

func mildDay() Weather {
	return Weather{
		AmbientK: 295.15, SunWM2: 650, SunHighRad: 0.7, Diffuse: 0.12,
		CloudDepth: 0.25, CloudEveryS: 420, CloudForS: 60,
		WindMS: 2.0, Gust: 0.25, SkyColderK: 8,
	}
}

func scatterWeather(r *rand.Rand) Weather {
	w := mildDay()
	w.AmbientK = 278 + 24*r.Float64()
	w.AmbientRiseKS = 0.0008 * clipped(r)
	w.SunWM2 = 900 * r.Float64()
	w.SunHighRad = 0.2 + 1.2*r.Float64()
	w.CloudDepth = 0.5 * r.Float64()
	w.CloudEveryS = 240 + 600*r.Float64()
	w.WindMS = 0.5 + 4*r.Float64()
	return w
}

// air is the weather at one moment.
type air struct {
	ambientK, sunWM2, windMS float64
}

// sky lets the weather pass: clouds on a timetable, gusts at random with a
// memory of gustMemoryS (an Ornstein-Uhlenbeck process).
type sky struct {
	w     Weather
	r     *rand.Rand
	phase float64 // s, where in the timetable of clouds the run starts
	gust  float64
}

const gustMemoryS = 6

func newSky(w Weather, seed uint64) *sky {
	r := stream(seed, streamWeather)
	return &sky{w: w, r: r, phase: w.CloudEveryS * (0.3 + 0.3*r.Float64())}
}

// advance moves the weather by dt to time t.
func (s *sky) advance(t, dt float64) air {
	keep := math.Exp(-dt / gustMemoryS)
	s.gust = s.gust*keep + s.w.Gust*math.Sqrt(1-keep*keep)*clipped(s.r)
	return air{
		ambientK: s.w.AmbientK + s.w.AmbientRiseKS*t,
		sunWM2:   s.w.SunWM2 * (1 - s.w.CloudDepth*s.shadow(t)) * changed(t, s.w.SunChangeS, s.w.SunChangeTo),
		windMS:   max(s.w.WindMS*(1+s.gust)*changed(t, s.w.WindChangeS, s.w.WindChangeTo), 0.1),
	}
}

// shadow is 0 in the sun and 1 under the middle of a cloud, with soft edges.
func (s *sky) shadow(t float64) float64 {
	if s.w.CloudDepth <= 0 || s.w.CloudEveryS <= 0 || s.w.CloudForS <= 0 {
		return 0
	}
	in := math.Mod(t+s.phase, s.w.CloudEveryS) / s.w.CloudForS
	if in >= 1 {
		return 0
	}
	x := math.Sin(math.Pi * in)
	return x * x
}

// groundReflects is the share of the light on level ground that it sends back: 0.2
// (ASHRAE Fundamentals, where nothing better is known; from memory).
const groundReflects = 0.2

// absorbedWM2 is the sunlight that a wall element at angle (radian, as in
// Weather) takes up: beam by the cosine of incidence, diffuse light from the
// half of the sky that it sees, and what the ground sends back of both from the
// half of the ground (ASHRAE Fundamentals).
func (s *sky) absorbedWM2(a air, angle, absorptance float64) float64 {
	direct := 1 - s.w.Diffuse
	beam := max(math.Cos(angle-s.w.SunHighRad), 0)
	up := (1 + math.Sin(angle)) / 2
	level := s.w.Diffuse + direct*max(math.Sin(s.w.SunHighRad), 0)
	return absorptance * a.sunWM2 * (beam*direct + s.w.Diffuse*up + groundReflects*level*(1-up))
}

// windAt is the outside film at an angle over its mean round the vessel. A smooth
// cylinder across the wind has about 1.8 in front (1.14 Re^0.5 Pr^0.4 of a stagnation
// line over the mean of Churchill & Bernstein, at a Reynolds number of 10⁴), half where
// the flow leaves it, and the mean behind (Giedt's measurements in Incropera & DeWitt;
// all from memory).
func (w *Weather) windAt(angle float64) float64 {
	off := angle - w.WindFromRad
	return 1 + w.WindUneven*(0.45*math.Cos(off)+0.40*math.Cos(2*off))
}

// surroundingsK is the radiant temperature that an element at angle sees.
func (s *sky) surroundingsK(a air, angle float64) float64 {
	up := (1 + math.Sin(angle)) / 2
	return a.ambientK - s.w.SkyColderK*up + s.w.GroundWarmerK*(1-up)
}
