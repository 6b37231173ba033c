package mimic

import (
	"math"

	"fillwright/internal/vessel"
)

// Bath is a pretended bench: all thermometers but the cold junction hang in
// one place of a known temperature, while the vessel stands vented.
type Bath struct {
	TempK  float64 // of the place
	FromK  float64 // of the probes when they are put in
	LagS   float64 // time constant of a probe
	SwayK  float64 // slow swing of the place, amplitude
	Bad    int     // channel of a probe with a bad contact, −1 none
	NoiseK float64 // of the bad probe, one sigma
}

const swayS = 240 // period of the swing

// at is the temperature of a probe's body. The probes differ in size: later
// channels are slower.
func (b *Bath) at(timeS float64, channel int) float64 {
	place := b.TempK + b.SwayK*math.Sin(2*math.Pi*timeS/swayS)
	if b.LagS <= 0 {
		return place
	}
	lag := b.LagS * (1 + 0.15*float64(channel))
	return place + (b.FromK-b.TempK)*math.Exp(-timeS/lag)
}

// bathK is what a bench makes of a channel; not ok without one.
func (n *instrument) bathK(s *Simulator, c *vessel.Channel) (tempK float64, ok bool) {
	b := s.bath
	if b == nil || c.Role == vessel.RoleColdJunction || c.Kind.Pressure() {
		return 0, false
	}
	t := b.at(s.TimeS(), c.Index)
	if c.Index == b.Bad {
		t += b.NoiseK * n.r.NormFloat64()
	}
	return t, true
}

// Bench is a scene with nothing but a bath: the vessel stands vented in the
// shade, and its sensors hang in the bath with the given errors by channel.
func Bench(b Bath, errorK [vessel.ChannelsMost]float64) Scene {
	return Scene{
		Name: "bench", About: "Invented probes in an invented bath; the vessel stands vented in the shade.",
		Plan: []Segment{{Do: Open, ForS: 1e6}}, FromAmbient: true, Bath: &b,
		Set: func(t *Truth) {
			t.Weather.SunWM2, t.Weather.CloudDepth, t.Weather.WindMS = 0, 0, 0.5
			t.Sensors.OffsetK = errorK
			t.Sensors.PressureZeroPa = 0.12e5
		},
		ForS: 900,
	}
}
