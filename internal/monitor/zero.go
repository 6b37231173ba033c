package monitor

import (
	"math"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// The pressure's offset is known to an uncertainty, and all that stands on it is
// looked at from the side that lets less gas in: limits and target as if the
// vessel held more than is read, the wall's band by what gas that began thinner
// or thicker does to it.

// uncertainty is an offset's, expanded, k = 2 (JCGM 100, 6.2). One that nobody
// told may be wrong by all of its offset. Common practice, no source.
func uncertainty(o *probe.Offset) float64 {
	if math.IsNaN(o.Uncertainty) {
		return math.Abs(o.Offset)
	}
	return o.Uncertainty
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

// zeroBandPa is how far from the truth the pressure may be read, two sigma, by
// what is not known of its zero on this logger; 0 where no offset is taken off.
func (m *Monitor) zeroBandPa() float64 {
	band := 0.0
	for _, c := range m.cfg.Profile.Channels {
		if c.Role != vessel.RolePressure {
			continue
		}
		if o, ok := m.cfg.Offsets.Find(m.play.Hello.Board, c.Index); ok && o.Pressure {
			band = math.Max(band, uncertainty(&o))
		}
	}
	return band
}

// pressureUpPa is the most that the vessel may hold, gauge.
func (m *Monitor) pressureUpPa() float64 { return m.snap.PressurePa + m.zeroPa }

// zeroSaidPa: less is not to be seen beside a pressure.
const zeroSaidPa = 0.05e5
