package probe

import (
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// A valve that is moved is no noise, even when a logger reads once a second: the
// pressure of a fast fill that begins, slackens for three seconds and goes on (bar,
// invented). Scatter of such a size on a steady ramp is.
func TestValveIsNoNoise(t *testing.T) {
	fill := []float64{0, 0, 1, 2.6, 4.3, 5.9, 7.5, 9.2, 10.8, 12.5, 14.1, 14.3, 14.7, 15.5, 16.3, 17, 17.8, 18.5, 19.2, 20, 20.7, 21.5, 22.2, 22.9, 23.6, 24.4, 25.2}
	r := rand.New(rand.NewPCG(1, 9))
	for _, noisy := range []bool{false, true} {
		var s scatter
		s.clear()
		grown := false
		for i := range 150 {
			v := 0.01 * r.NormFloat64()
			if at := i - 100; at >= 0 && !noisy {
				v += fill[min(at, len(fill)-1)]
			} else if noisy && at >= 0 {
				v += 0.7*float64(at) + 0.5*r.NormFloat64()
			}
			s.add(v, float64(i), 0.1)
			grown = grown || s.grown(0.1, float64(i))
		}
		if grown != noisy {
			t.Errorf("noise %v: called noisy %v", noisy, grown)
		}
	}
	var s scatter
	s.clear()
	for i := range 20000 {
		s.add(3*r.NormFloat64(), float64(i)/20, 0.1)
	}
	if math.Abs(math.Sqrt(s.slow)-3) > 0.5 { // its cap takes a tenth
		t.Errorf("noise of 3 is measured as %.2f", math.Sqrt(s.slow))
	}
}

// A bead in a fast fill that is blown on, lags and is left again (°C, invented, read
// once a second) is not noisy; one that scatters by 2 K is.
func TestJetIsNoNoise(t *testing.T) {
	bead := []float64{50.4, 59.6, 73.9, 71.4, 69.7, 68.4, 68.9, 68.8, 65.7, 66.6, 68, 69.2, 69.7, 69.8, 70.3, 70.6, 70.9, 71.4, 71.8, 72, 72.2}
	r := rand.New(rand.NewPCG(1, 10))
	for _, noisy := range []bool{false, true} {
		var s scatter
		s.clear()
		foundS := math.Inf(1)
		for i := range 220 {
			v := 50.4 + 0.1*r.NormFloat64()
			if at := i - 180; at >= 0 {
				v = bead[min(at, len(bead)-1)] + 0.1*r.NormFloat64()
				if noisy {
					v += 2 * r.NormFloat64()
				}
			}
			s.add(v, float64(i), 0.5)
			if s.grown(0.5, float64(i)) {
				foundS = math.Min(foundS, float64(i-180))
			}
		}
		must.Be(t, noisy == (foundS <= 30) && noisy != math.IsInf(foundS, 1), "noise %v: found after %v s", noisy, foundS)
	}
}

// A gauge that shows steps of 0.05 bar may stand on one for a minute while the gas
// cools by 1.5 K (0.14 bar of 27); one of 0.005 bar may not.
func TestCoarseGaugeIsNotFrozen(t *testing.T) {
	p := *vessel.Invented()
	p.Channels = []vessel.Channel{
		{Index: 0, Role: vessel.RolePressure, Kind: vessel.KindGauge},
		{Index: 1, Role: vessel.RoleGas, Kind: vessel.KindCelsius},
	}
	hello := &wire.Hello{Protocol: wire.Version, N: 2}
	hello.Channels[0] = wire.Channel{Index: 0, Kind: wire.KindPascal}
	hello.Channels[1] = wire.Channel{Index: 1, Kind: wire.KindMilliCelsius}
	for _, c := range []struct {
		stepPa int32
		want   Health
	}{{5000, HealthUnknown}, {500, HealthFrozen}} {
		b := NewBank(&p, nil)
		if errs := b.Hello(hello); errs != nil {
			t.Fatal(errs)
		}
		found := HealthUnknown
		for i := range 120 {
			pa := min(int32(i), 54) * 50000
			if i == 55 { // its last move is a single step
				pa += c.stepPa
			}
			milliC := int32(50000 - 25*max(i-54, 0))
			s := &wire.Sample{N: 2}
			s.Values[0], s.Values[1] = pa, milliC
			b.Sample(s, float64(i))
			if d := b.Readings()[0].Doubt; d != HealthUnknown {
				found = d
			}
		}
		if found != c.want {
			t.Errorf("steps of %d Pa: %q, want %q", c.stepPa, found, c.want)
		}
	}
}
