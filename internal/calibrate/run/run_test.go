package run

import (
	"context"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fillwright/internal/calibrate"
	"fillwright/internal/mimic"
	"fillwright/internal/must"
	"fillwright/internal/offsets"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// tape is a recording in memory.
type tape struct {
	frames []wire.Frame
	at     int
}

func (f *tape) Next() (wire.Frame, error) {
	if f.at == len(f.frames) {
		return wire.Frame{}, io.EOF
	}
	f.at++
	return f.frames[f.at-1], nil
}

// pretend records an invented bench.
func pretend(t testing.TB, p *vessel.Profile, b mimic.Bath, errorK [vessel.ChannelsMost]float64, forS float64) *tape {
	t.Helper()
	out := &tape{}
	var dec wire.Decoder
	dec.Aligned = true
	must.Do(t, mimic.Record(p, mimic.Bench(b, errorK), mimic.Options{Seed: 5, RateHz: 5, ForS: forS, RowEveryS: 60, Board: 0xB0A2D}, func(raw []byte) error {
		dec.Decode(raw, func(f wire.Frame) { out.frames = append(out.frames, f.Clone()) })
		return nil
	}, nil))
	return out
}

var known = [vessel.ChannelsMost]float64{1: 6, 2: -0.8, 3: 0.4, 5: 0.3}

func began(t testing.TB, c Config) *Run {
	t.Helper()
	c.Profile = vessel.Invented()
	if c.Beside == 0 {
		c.Beside = -1
	}
	c.Now = func() time.Time { return time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC) }
	b := must.Get(New(c))(t)
	must.Do(t, b.Run(context.Background()))
	return b
}

func empty(t testing.TB, file string) *offsets.File {
	t.Helper()
	return must.Get(offsets.Read(file))(t)
}

// An ice bath with a bad contact: three probes are found, the bad one is
// refused, and the file holds what was found. A second point adds the gain.
func TestIceThenSteam(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	ice := pretend(t, vessel.Invented(), mimic.Bath{TempK: 273.15, FromK: 295, LagS: 15, Bad: 3, NoiseK: 4}, known, 1000)
	b := began(t, Config{File: empty(t, file), Source: ice, Config: calibrate.Config{Method: calibrate.MethodIce}})
	said, err := b.Take(Consent{Remark: "new plugs"})
	must.Need(t, err == nil && said == "3 of 4 offsets written to "+file, "%q, %v", said, err)
	for _, r := range b.Latest().Results {
		text := strings.Join(Lines(&r, quantity.SystemBarC), "\n")
		if (r.Channel == 3) != (r.Refused != "") || r.Refused != "" && !strings.Contains(text, "REFUSED: the value moves faster than physics allows") {
			t.Errorf("%s", text)
		}
		// The cold junction of the pretended logger is 0.15 K off too.
		must.Be(t, r.Refused != "" || math.Abs(r.Offset-known[r.Channel]) <= r.U,
			"channel %d: %v ± %v, want %v", r.Channel, r.Offset, r.U, known[r.Channel])
	}
	steam := pretend(t, vessel.Invented(), mimic.Bath{TempK: calibrate.BoilingK(100200), FromK: 295, LagS: 5, Bad: -1}, known, 1000)
	b = began(t, Config{File: empty(t, file), Source: steam, Second: true, Config: calibrate.Config{Method: calibrate.MethodSteam, Channels: []int{1}, Typed: calibrate.Typed{Value: "1002 hPa"}}})
	must.Do(t, must.Err(b.Take(Consent{})))
	o, ok := empty(t, file).Offsets.Find(0xB0A2D, 1)
	must.Be(t, ok && o.SlopeError != 0 && math.Abs(o.SlopeError) <= 0.01 && o.Date == "2026-06-01" && strings.HasPrefix(o.Method, "two points"),
		"%+v", o)
}

// A typed reference is waited for, a bad one refused; what was found is not
// written before it is known.
func TestReferenceIsTyped(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	shade := func() *tape {
		return pretend(t, vessel.Invented(), mimic.Bath{TempK: 294.45, FromK: 294.45, Bad: -1}, known, 200)
	}
	b := began(t, Config{File: empty(t, file), Source: shade(), Config: calibrate.Config{Method: calibrate.MethodShade}})
	v := b.Latest()
	must.Need(t, v.Done && v.Asks, "done %v, asks %v", v.Done, v.Asks)
	_, err := b.Take(Consent{})
	must.Be(t, err != nil, "written without a reference")
	for _, bad := range []string{"21", "warm", "900 °C"} {
		err := b.Refer(bad)
		must.Be(t, err != nil, "%q was taken", bad)
	}
	must.Do(t, b.Refer("21.3 °C"))
	must.Do(t, must.Err(b.Take(Consent{})))
	b = began(t, Config{File: empty(t, file), Source: shade(), Config: calibrate.Config{Method: calibrate.MethodShade, Beside: 5}})
	for _, r := range b.Latest().Results {
		want := known[r.Channel] - known[5]
		must.Be(t, math.Abs(r.Offset-want) <= r.U, "beside channel 5, channel %d: %v ± %v, want %v", r.Channel, r.Offset, r.U, want)
	}
	must.Do(t, must.Err(os.Stat(file)))
}

// A zero is written after the operator's word only; a recording of a vessel
// under pressure never.
func TestZero(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	open := pretend(t, vessel.Invented(), mimic.Bath{TempK: 294, FromK: 294, Bad: -1}, known, 120)
	b := began(t, Config{File: empty(t, file), Source: open, Config: calibrate.Config{Method: calibrate.MethodZero}})
	vented, retype, why := b.Wants()
	must.Be(t, vented && !retype && why == "", "wants %v, %v, %q", vented, retype, why)
	must.Refuse(t, must.Err(b.Take(Consent{})), "nobody has said that the vessel is vented")
	must.Do(t, must.Err(b.Take(Consent{Vented: true})))
	o, ok := empty(t, file).Offsets.Find(0xB0A2D, 0)
	must.Be(t, ok && math.Abs(o.Offset-0.12e5) <= o.Uncertainty && o.Pressure, "%+v", o)
	if err := b.Again(calibrate.MethodIce); err != nil || b.Latest().Method != calibrate.MethodIce {
		t.Error(err)
	}
}
