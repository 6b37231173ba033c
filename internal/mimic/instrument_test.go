package mimic

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// A host that knows only the frames gets the truth back within offsets, noise
// and lag: pressure through the sensor's voltages, temperatures through
// ITS-90 with the cold junction.
func TestSamplesTellTheTruth(t *testing.T) {
	p := vessel.Invented()
	var dec wire.Decoder
	dec.Aligned = true
	var last wire.Sample
	var truth Row
	err := Record(p, calm(), Options{Seed: 3, ForS: 200, RowEveryS: 5}, func(b []byte) error {
		dec.Decode(b, func(f wire.Frame) {
			if f.Type == wire.TypeSample {
				err := wire.ParseSample(f.Body, &last)
				must.Be(t, err == nil, "%v", err)
			}
		})
		return nil
	}, func(r Row) error {
		truth = r
		volts := float64(last.Values[0]) / 4095 * 5
		must.Near(t, "pressure, bar", (volts-0.5)/4*100, r.PressurePa/bar, 0.1)
		coldK := float64(last.Values[4])/1000 + 273.15
		cold, err := probe.EMF(vessel.KindK, coldK)
		if err != nil {
			return err
		}
		for i, want := range map[int]float64{1: r.BeadK, 2: r.Stations[0].OuterK, 3: r.Stations[1].OuterK} {
			got, err := probe.TemperatureK(vessel.KindK, float64(last.Values[i])*1e-9+cold)
			if err != nil {
				return err
			}
			lag := 0.4
			if i > 1 {
				lag = 1.2 // attached sensors lag and lose heat along their leads
			}
			must.Near(t, "channel temperature, K", got, want, lag)
		}
		must.Near(t, "ambient, °C", float64(last.Values[5])/1000, r.AmbientK-273.15, 0.5)
		return nil
	})
	must.Do(t, err)
	must.Be(t, truth.PressurePa >= 30*bar, "the fill only reached %.1f bar", truth.PressurePa/bar)
}

// The bead lags less in dense moving gas than in thin still gas.
func TestBeadLagFallsWithDensity(t *testing.T) {
	s := must.Get(NewSimulator(vessel.Invented(), calm(), Options{}))(t)
	lag := func() float64 { // s, from the rate at 1 K above the balance
		return -2 / (s.beadRateKS(s.gasK+1, false) - s.beadRateKS(s.gasK-1, false))
	}
	thin := lag()
	s.Step(100)
	dense := lag()
	must.Be(t, thin > 2*dense && thin > 5 && thin < 30 && dense > 0.5, "lag %.1f s vented, %.1f s at %.0f bar", thin, dense, s.gaugePa()/bar)
}

// Sensor kinds other than the demo's speak the wire's units.
func TestOtherSensorKinds(t *testing.T) {
	p := vessel.Invented()
	p.Channels[0].Kind = vessel.KindLoop
	p.Channels[1].Kind = vessel.KindCelsius
	p.Channels[2].Kind = vessel.KindT
	p.Channels[5].Role, p.Channels[5].Kind = vessel.RoleSupply, vessel.KindGauge
	truth := NewTruth(p)
	truth.Sensors.CelsiusStepK = 0.25
	list, _ := frames(t, p, calm(), Options{Truth: &truth, ForS: 60})
	h := hellos(t, list)[0]
	for i, want := range []wire.Kind{wire.KindMicroampere, wire.KindMilliCelsius, wire.KindNanovolt, wire.KindNanovolt, wire.KindMilliCelsius, wire.KindPascal} {
		must.Be(t, h.Channels[i].Kind == want, "channel %d has kind %v, want %v", i, h.Channels[i].Kind, want)
	}
	all := samples(t, list)
	first, last := all[0], all[len(all)-1]
	must.Near(t, "loop when vented, µA (4 mA: IEC 60381-1)", float64(first.Values[0]), 4000, 10)
	must.Be(t, last.Values[0] >= 4000+16000*15/100, "loop at 20 bar of 100: %d µA", last.Values[0])
	must.Be(t, last.Values[1]%250 == 0, "a converter with 0.25 °C steps gave %d m°C", last.Values[1])
	must.Near(t, "supply, bar", float64(first.Values[5])/bar, 160, 0.1)
}

// A thermocouple that dies is missing now and then, at last for good, and told of.
func TestFailures(t *testing.T) {
	p := vessel.Invented()
	sc := calm()
	sc.Failures = []Failure{{Role: vessel.RoleGas, AtS: 5}}
	list, _ := frames(t, p, sc, Options{ForS: 30})
	bad := samples(t, list)
	missing := 0
	for _, s := range bad {
		if s.Values[1] == wire.ValueMissing {
			missing++
		}
	}
	must.Be(t, bad[len(bad)-1].Values[1] == wire.ValueMissing && missing >= 13*20 && missing <= 25*20,
		"open gas probe: %d of %d values missing", missing, len(bad))
	faults := 0
	for _, f := range list {
		if f.Type == wire.TypeFault {
			var x wire.Fault
			err := wire.ParseFault(f.Body, &x)
			must.Be(t, err == nil && x.Code == wire.FaultOpen && x.Channel == 1, "fault %+v, %v", x, err)
			faults++
		}
	}
	must.Be(t, faults >= 12 && faults <= 27, "%d fault frames in 25 s, one a second is due", faults)
}
