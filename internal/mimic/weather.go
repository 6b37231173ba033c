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

// absorbedWM2 is the sunlight that a wall element at angle (radian, as in
// Weather) takes up: beam by the cosine of incidence, diffuse light from the
// half of the sky that it sees, and a fifth of the light back from the ground
// (common practice, no source).
func (s *sky) absorbedWM2(a air, angle, absorptance float64) float64 {
	beam := max(math.Cos(angle-s.w.SunHighRad), 0)
	up := (1 + math.Sin(angle)) / 2
	diffuse := s.w.Diffuse*up + 0.2*s.w.Diffuse*(1-up)
	return absorptance * a.sunWM2 * (beam*(1-s.w.Diffuse) + diffuse)
}

// surroundingsK is the radiant temperature that an element at angle sees.
func (s *sky) surroundingsK(a air, angle float64) float64 {
	up := (1 + math.Sin(angle)) / 2
	return a.ambientK - s.w.SkyColderK*up + s.w.GroundWarmerK*(1-up)
}
