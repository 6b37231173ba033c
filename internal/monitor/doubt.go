package monitor

import (
	"math"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// How much seen noise widens the band: nothing up to what a sound sensor has,
// then in proportion, up to two and a half times. Noise of the pressure lets gas flow in and
// out that never did; the bead's pulls the gas about. One sigma of a block's
// mean. Common practice, no source.
const (
	noiseQuietPa = 2e3
	noiseTwicePa = 6e3
	noiseQuietK  = 0.2
	noiseTwiceK  = 1.2
	noiseMost    = 2.5
)

// widenNoise is the factor for the noise of pressure and bead, as the blocks
// show it, and in words what scatters.
func (m *Monitor) widenNoise() (text wording.Text, times float64) {
	over := func(sigma, quiet, twice float64) float64 {
		return math.Max(0, math.Min(noiseMost-1, (sigma-quiet)/(twice-quiet)))
	}
	p := over(m.slope.noise.sigma(), noiseQuietPa, noiseTwicePa)
	g := over(m.bead.noise.sigma(), noiseQuietK, noiseTwiceK)
	switch {
	case p >= g && p > noiseSaid:
		text = wording.PressureScatters(m.slope.noise.sigma())
	case g > noiseSaid:
		text = wording.ProbeScatters(m.bead.noise.sigma())
	}
	// It rises at once and falls over minutes: a band that breathes with the
	// estimate of its own noise would let alarms come and go.
	now := 1 + math.Max(p, g)
	m.noisy = math.Max(now, m.noisy+noiseForget*(now-m.noisy))
	return text, m.noisy
}

const (
	noiseSaid   = 0.1   // more is told
	noiseForget = 0.002 // of a block
)

// widenLostWall is the factor while an attached wall sensor is lost: where the
// estimate was pulled by it, its loss must not let the wall look cooler. The
// air's is less: what it read last stands in for it. Common practice, no source.
const (
	widenNoWall = 1.3
	widenNoAir  = 1.15
)

// lostBeside is what the band is widened by for lost sensors beside pressure
// and gas, and which.
func (m *Monitor) lostBeside() (text wording.Text, times float64) {
	times = 1
	for i := range m.snap.Sensors {
		r := &m.snap.Sensors[i]
		if r.Health == probe.HealthGood || r.Health == probe.HealthUnknown {
			continue
		}
		switch r.Role {
		case vessel.RoleWall:
			text, times = wording.NoSensorAt(r.Station), math.Max(times, widenNoWall)
		case vessel.RoleAmbient:
			if times < widenNoAir {
				text, times = wording.NoAir, widenNoAir
			}
		}
	}
	return text, times
}

// offsetSigmaK is one sigma of the offsets that were taken off the temperatures
// in a role on this logger, the largest; 0 where none is known. That of the
// cold junction is in every thermocouple that needs it.
func (m *Monitor) offsetSigmaK(role vessel.Role) float64 {
	sigma, cold := 0.0, 0.0
	for _, c := range m.cfg.Profile.Channels {
		o, ok := m.cfg.Offsets.Find(m.play.Hello.Board, c.Index)
		if !ok || o.Pressure || c.Kind.Pressure() {
			continue
		}
		switch c.Role {
		case role:
			sigma = math.Max(sigma, uncertainty(&o)/2)
		case vessel.RoleColdJunction:
			cold = uncertainty(&o) / 2
		}
	}
	for _, c := range m.cfg.Profile.Channels {
		if c.Role == role && c.Kind != vessel.KindCelsius && !c.Compensated {
			return math.Hypot(sigma, cold)
		}
	}
	return sigma
}
