package endtoend

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/calibrate"
	"fillwright/internal/calibrate/run"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/offsets"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// frames is a recording in memory as a calibration reads it.
type frames struct {
	list []wire.Frame
	at   int
}

func (f *frames) Next() (wire.Frame, error) {
	if f.at == len(f.list) {
		return wire.Frame{}, io.EOF
	}
	f.at++
	return f.list[f.at-1], nil
}

// pretendedBath is one seed: sensors with errors, noise, steps of the
// converter and a time to settle of their own, one of them bad.
type pretendedBath struct {
	scene    mimic.Scene
	offsetK  [vessel.ChannelsMost]float64 // what is to be found
	bad      int
	typedK   float64 // what the operator read from the thermometer
	accuracy string
}

// drawBath draws a seed. What the budget calls known within limits is drawn
// evenly between them: thermometer, place, cold junction.
func drawBath(seed uint64) pretendedBath {
	r := rand.New(rand.NewPCG(seed, 99))
	even := func(a float64) float64 { return a * (2*r.Float64() - 1) }
	b := pretendedBath{bad: 1 + r.IntN(3), accuracy: "0.2 °C"}
	tank := mimic.Bath{TempK: 295 + even(20), LagS: 4 + 16*r.Float64(), SwayK: 0.01, Bad: b.bad, NoiseK: 4}
	tank.FromK = tank.TempK + even(15)
	b.typedK = tank.TempK + even(0.2)
	var errorK [vessel.ChannelsMost]float64
	for _, ch := range []int{1, 2, 3, 5} {
		b.offsetK[ch] = even(7)
		errorK[ch] = b.offsetK[ch] + even(0.1) // its place in the bath
	}
	b.scene = mimic.Bench(tank, errorK)
	set, coarse, cold, noise := b.scene.Set, r.Float64() < 0.3, even(0.25), 500+2000*r.Float64()
	b.scene.Set = func(t *mimic.Truth) {
		set(t)
		t.Sensors.ThermocoupleNV, t.Sensors.ColdErrorK = noise, cold
		if coarse { // a converter with steps of a quarter of a degree
			t.Sensors.StepNV, t.Sensors.ThermocoupleNV = 10000, math.Max(noise, 3000)
		}
	}
	return b
}

// TestOffsetsRecovered: over many pretended baths the offsets that are found
// lie within their stated uncertainty in 95 of 100, and the bad probe is
// refused every time.
func TestOffsetsRecovered(t *testing.T) {
	t.Parallel()
	p := plover(t, "plover.toml")
	file := filepath.Join(t.TempDir(), "offsets.toml")
	inside, all, badTaken, unfinished := 0, 0, 0, 0
	var seconds, uncertainty, worst float64
	bathSeeds := draws(t, "PROOF_BATHS", 50, 5)
	for seed := range uint64(bathSeeds) {
		d := drawBath(seed)
		f := must.Get(offsets.Read(file))(t)
		b, err := run.New(run.Config{File: f, Source: &frames{list: recordScene(t, p, d.scene, seed, 4, 420)}, Config: calibrate.Config{Profile: p,
			Method: calibrate.MethodBath, Beside: -1, Typed: calibrate.Typed{Value: celsius(d.typedK), Accuracy: d.accuracy}}})
		must.Do(t, err)
		must.Do(t, b.Run(context.Background()))
		v := b.Latest()
		seconds += v.ElapsedS
		for _, r := range v.Results {
			switch {
			case r.Channel == d.bad:
				if r.Refused == "" {
					badTaken++
				}
			case r.Refused != "":
				unfinished++
				t.Logf("seed %d channel %d: %s", seed, r.Channel, r.Refused)
			default:
				all++
				uncertainty += r.U
				off := math.Abs(r.Offset - d.offsetK[r.Channel])
				worst = math.Max(worst, off/r.U)
				if off <= r.U {
					inside++
				}
			}
		}
	}
	share := float64(inside) / float64(all)
	t.Logf("%d baths: %d offsets found, %.1f %% within their stated uncertainty (mean ± %.2f K, worst %.2f of it), %d sound probes without a result, bad probe taken %d times; mean time %.0f s",
		bathSeeds, all, 100*share, uncertainty/float64(all), worst, unfinished, badTaken, seconds/float64(bathSeeds))
	if share < 0.95 || badTaken > 0 || unfinished > all/20 || uncertainty/float64(all) > 0.6 {
		t.Error("not within 95 %, or the bad probe was taken, or sound ones were not, or the uncertainty says nothing")
	}
}

func celsius(k float64) string { return probeNumber(k-273.15) + " °C" }

// recordScene records a scene's frames.
func recordScene(t testing.TB, p *vessel.Profile, sc mimic.Scene, seed uint64, hz, forS float64) []wire.Frame {
	t.Helper()
	var out []wire.Frame
	var dec wire.Decoder
	dec.Aligned = true
	err := mimic.Record(p, sc, mimic.Options{Seed: seed, RateHz: hz, ForS: forS, RowEveryS: forS}, func(b []byte) error {
		dec.Decode(b, func(f wire.Frame) { out = append(out, f.Clone()) })
		return nil
	}, nil)
	must.Do(t, err)
	return out
}

// sixOff is what a monitor said of a fill.
type sixOff struct{ advisedBarMin, abortS, hottestC float64 }

func watchFill(list []wire.Frame, cfg monitor.Config) sixOff {
	m := monitor.New(cfg)
	out := sixOff{math.NaN(), math.Inf(1), math.NaN()}
	for _, f := range list {
		s := m.Step(f)
		if s.TimeS > 28 && s.TimeS < 29 {
			out.advisedBarMin = s.Advice.RampPaS * 60 / bar
		}
		if s.Level == alarm.LevelAbort && math.IsInf(out.abortS, 1) {
			out.abortS, out.hottestC = s.TimeS, s.HottestK-273.15
		}
	}
	return out
}

// sixDay is a day on which the gas probe is 6 K off, and what it does.
type sixDay struct {
	name                     string
	ambientK, sunWM2, windMS float64
	offK                     float64
}

// record is the fastest fill of the day with a probe that is offK off.
func (d sixDay) record(t *testing.T, p *vessel.Profile, offK float64) []wire.Frame {
	sc := mimic.Scene{Name: "six", Plan: []mimic.Segment{{Do: mimic.Open, ForS: 30}, {Do: mimic.Fill}, {Do: mimic.Shut, ForS: 60}}, ForS: 160,
		Set: func(tr *mimic.Truth) {
			tr.Weather.AmbientK, tr.Weather.SunWM2, tr.Weather.CloudDepth, tr.Weather.WindMS = d.ambientK, d.sunWM2, 0, d.windMS
			tr.Supply.GaugePa, tr.Supply.HoseWarmerK = 200e5, 12
			tr.Sensors.OffsetK[1] = offK
		}}
	return recordScene(t, p, sc, 4, 10, 160)
}

// TestSixKelvinOff: the gas probe is 6 K off; the same fill is replayed
// without and with its offset, and beside one of a right probe. With the
// offset it is as with a right probe. Without it, a probe that reads too much
// stops a fill on a mild day. Nobody has read the wall, whose doubt is the larger.
func TestSixKelvinOff(t *testing.T) {
	q := plover(t, "plover-bare.toml")
	for _, d := range []sixDay{{"mild", 291.15, 250, 3, 6}, {"mild", 291.15, 250, 3, -6}, {"hot", 304.15, 850, 1.2, 6}, {"hot", 304.15, 850, 1.2, -6}} {
		wrong, right := d.record(t, q, d.offK), d.record(t, q, 0)
		var h wire.Hello
		must.Do(t, wire.ParseHello(wrong[0].Body, &h))
		offsets := &probe.Offsets{List: []probe.Offset{{Board: h.Board, Channel: 1, Offset: d.offK, Uncertainty: 0.3}}}
		without := watchFill(wrong, monitor.Config{Profile: q})
		with := watchFill(wrong, monitor.Config{Profile: q, Offsets: offsets})
		truth := watchFill(right, monitor.Config{Profile: q})
		t.Logf("%s day, gas probe %+.0f K off: advised ramp %.1f bar/min and abort at %.1f s without offsets, %.1f and %.1f s with them, %.1f and %.1f s with a right probe",
			d.name, d.offK, without.advisedBarMin, without.abortS, with.advisedBarMin, with.abortS, truth.advisedBarMin, truth.abortS)
		sameAbort := with.abortS == truth.abortS || math.Abs(with.abortS-truth.abortS) <= 0.5
		must.Be(t, math.Abs(with.advisedBarMin-truth.advisedBarMin) <= 0.5 && sameAbort, "with the offsets it is not as with a right probe")
		if d.name == "mild" && d.offK > 0 && !(without.abortS < with.abortS) {
			t.Error("a probe that reads 6 K too much should stop a mild fill")
		}
	}
}
