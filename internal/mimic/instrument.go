package mimic

import (
	"math"
	"math/rand/v2"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

const countsMost = 4095 // 12-bit converter

// instrument turns the sensors' states into a logger's raw values, with
// offsets, noise, steps and failures.
type instrument struct {
	p        *vessel.Profile
	r        *rand.Rand
	failures []Failure
}

func newInstrument(p *vessel.Profile, failures []Failure, seed uint64) *instrument {
	return &instrument{p: p, r: stream(seed, streamSensors), failures: failures}
}

// channels writes the hello's channel table.
func (n *instrument) channels(h *wire.Hello) {
	h.N = min(len(n.p.Channels), wire.ChannelMost)
	for i := range h.N {
		c := n.p.Channels[i]
		w := wire.Channel{Index: uint8(c.Index), Kind: probe.WireKind(c.Kind)}
		if w.Kind == wire.KindCounts {
			w.Scale = countsMost
		}
		name := string(c.Role)
		if c.Station != "" {
			name += "-" + c.Station
		}
		copy(w.Label[:], name)
		h.Channels[i] = w
	}
}

// read takes one reading of every channel.
func (n *instrument) read(s *Simulator, out *wire.Sample) {
	out.N = min(len(n.p.Channels), wire.ChannelMost)
	for i := range out.N {
		c := &n.p.Channels[i]
		out.Values[i] = n.failed(c, s.TimeS(), n.channel(s, i, c))
	}
}

// channel is the raw value of a healthy channel.
func (n *instrument) channel(s *Simulator, i int, c *vessel.Channel) int32 {
	switch c.Kind {
	case vessel.KindRatiometric, vessel.KindLoop, vessel.KindGauge:
		pa := s.gaugePa()
		if c.Role == vessel.RoleSupply {
			pa = s.supply.absPa() - s.truth.AmbientPa
		}
		return n.pressure(s, c, pa)
	}
	t := n.bodyK(s, i, c) + s.truth.Sensors.OffsetK[c.Index%vessel.ChannelsMost]
	if c.Kind == vessel.KindCelsius {
		return n.celsius(&s.truth.Sensors, t)
	}
	return n.thermocouple(&s.truth.Sensors, c.Kind, t, s.sensors.blockK)
}

// bodyK is the temperature of the sensor's own body.
func (n *instrument) bodyK(s *Simulator, i int, c *vessel.Channel) float64 {
	if t, ok := n.bathK(s, c); ok {
		return t
	}
	switch c.Role {
	case vessel.RoleGas:
		if c.End == vessel.EndFar {
			return s.sensors.farBeadK
		}
		return s.sensors.beadK
	case vessel.RoleWall:
		return s.sensors.skinK[i]
	case vessel.RoleColdJunction:
		return s.sensors.blockK + s.truth.Sensors.ColdErrorK
	case vessel.RoleSupply:
		return s.supply.deliverK // the sensor sits in the line to the inlet
	default:
		return s.sensors.ambientK
	}
}

// pressure is the raw value of a pressure sensor at gauge pressure pa.
func (n *instrument) pressure(s *Simulator, c *vessel.Channel, pa float64) int32 {
	t := &s.truth.Sensors
	pa = pa*(1+t.PressureSpan) + t.PressureZeroPa
	share := 0.0
	if c.FullScale > 0 {
		share = pa / float64(c.FullScale)
	}
	switch c.Kind {
	case vessel.KindGauge:
		return toInt32(pa + 800*t.PressureNoiseLSB*n.r.NormFloat64())
	case vessel.KindLoop: // 4 to 20 mA, IEC 60381-1
		return toInt32(4000 + 16000*share + 4*t.PressureNoiseLSB*n.r.NormFloat64())
	}
	zero, span, supply := ratiometric(c)
	counts := (zero+(span-zero)*share)/supply*countsMost + t.PressureNoiseLSB*n.r.NormFloat64()
	return toInt32(min(max(counts, 0), countsMost))
}

// ratiometric gives a sensor's voltages, the usual ones where the profile is
// silent.
func ratiometric(c *vessel.Channel) (zero, span, supply float64) {
	zero, span, supply = float64(c.Zero), float64(c.Span), float64(c.Supply)
	if supply <= 0 {
		supply = 5
	}
	if span <= zero {
		zero, span = 0.5, 4.5
	}
	return zero, span, supply
}

// celsius is a channel with its own converter, m°C.
func (n *instrument) celsius(t *SensorTruth, tempK float64) int32 {
	v := tempK - 273.15 + t.CelsiusNoiseK*n.r.NormFloat64()
	if t.CelsiusStepK > 0 {
		v = math.Round(v/t.CelsiusStepK) * t.CelsiusStepK
	}
	return toInt32(v * 1000)
}

// thermocouple is the emf between the bead and the terminal block, nV.
func (n *instrument) thermocouple(t *SensorTruth, kind vessel.Kind, tempK, blockK float64) int32 {
	hot, errHot := probe.EMF(kind, tempK)
	cold, errCold := probe.EMF(kind, blockK)
	if errHot != nil || errCold != nil {
		return wire.ValueMissing // outside the range of the thermocouple's function
	}
	nv := (hot-cold)*1e9 + t.ThermocoupleNV*n.r.NormFloat64()
	if t.StepNV > 0 {
		nv = math.Round(nv/t.StepNV) * t.StepNV
	}
	return toInt32(nv)
}

// toInt32 rounds and keeps within the wire's range; NaN is a missing value.
func toInt32(v float64) int32 {
	if math.IsNaN(v) {
		return wire.ValueMissing
	}
	return int32(math.Round(min(max(v, math.MinInt32+1), math.MaxInt32)))
}
