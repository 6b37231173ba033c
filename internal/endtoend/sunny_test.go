package endtoend

import (
	"bytes"
	"encoding/csv"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/learn"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wire"
)

var update = flag.Bool("update", false, "make the sunny fill of testdata anew")

// The sunny fill of testdata: dark paint in strong sun, soaked in it before,
// read by hand at these times and filled from sunnyGasS on.
const (
	sunnyFolder = "../../testdata/sunny/"
	sunnyGasS   = 240.0
	sunnyRampPa = 9e5 / 60
	sunnyHoldS  = 120.0
)

var sunnyReadS = []float64{2, 120, 230}

// sunnyVessel is the vessel of that fill: its owner knows nothing of its paint.
func sunnyVessel(t *testing.T) (*vessel.Profile, mimic.Truth) {
	t.Helper()
	p := plover(t, "plover-bare.toml")
	p.Resin.Onset, p.Resin.Midpoint = quantity.Celsius(60), quantity.Celsius(67)
	truth := mimic.Scatter(p, 21)
	truth.Absorptance = 0.65
	for i := range p.Stations {
		p.Stations[i].Absorptance = math.NaN()
	}
	return p, truth
}

// sunnyDay is a fill of it on a day of one's own, with sensors on the wall or
// without.
func sunnyDay(t *testing.T, ambientK, sunWM2, rampPaS, ventedS, holdS float64, wallSensors bool, seed uint64) *recording {
	t.Helper()
	p, truth := sunnyVessel(t)
	if wallSensors {
		p.Channels = plover(t, "plover.toml").Channels
	}
	wind := 2.5
	if !wallSensors { // the day of the test is calmer than those it was learned on
		wind = 0.9
	}
	truth.Weather = mimic.Weather{AmbientK: ambientK, SunWM2: sunWM2, SunHighRad: 0.9, Diffuse: 0.12, WindMS: wind, Gust: 0.2, SkyColderK: 6}
	return recordOf(t, p, truth, seed, day{rampPaS: rampPaS, ventedS: ventedS, holdS: holdS})
}

// makeSunny writes model, run log and truth.
func makeSunny(t *testing.T) {
	t.Helper()
	p, _ := sunnyVessel(t)
	taught := &invented{profile: plover(t, "plover.toml")}
	var fills []*learn.Fill
	for i, d := range []struct{ ambientC, sun, bar float64 }{{18, 300, 8}, {22, 420, 12}, {26, 500, 16}} {
		rec := sunnyDay(t, d.ambientC+273.15, d.sun, d.bar*bar/60, 60, 180, true, uint64(i+1))
		fills = append(fills, taught.fill("mild-"+strconv.Itoa(i+1), rec))
	}
	got, err := learn.Learn(p, fills, learn.Options{Name: "sunny, invented", Date: "2026-11-26"})
	must.Do(t, err)
	text := must.Get(got.Model.Format())(t)
	rec := sunnyDay(t, 308.15, 850, sunnyRampPa, sunnyGasS, sunnyHoldS, false, 9)
	var log, truth bytes.Buffer
	log.Write(wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version, UnixMS: 1_790_000_000_000, App: wire.MakeLabel("invented")}))
	next := 0
	for i, f := range rec.frames {
		at := float64(i) / 10 // samples come ten a second, others hardly
		for next < len(sunnyReadS) && at >= sunnyReadS[next] {
			row := rowAt(rec.rows, sunnyReadS[next])
			for k, st := range row.Stations {
				off := []float64{0.4, -0.5, 0.3}[next] // a hand-held probe is no better
				log.Write(wire.AppendEntry(nil, 0, wire.Entry{Kind: wire.EntrySurface, Station: uint8(k), Value: int32(math.Round((st.OuterK + off - 273.15) * 1000))}))
			}
			next++
		}
		log.Write(wire.AppendFrame(nil, f.Type, f.Seq, f.Body))
	}
	w := csv.NewWriter(&truth)
	_ = w.Write([]string{"time_s", "pressure_bar", "gas_c", "outer_sun_c", "outer_shade_c", "hottest_c"})
	for _, row := range rec.rows {
		if math.Mod(row.TimeS, 1) < 1e-9 {
			c := func(k float64) string { return strconv.FormatFloat(k-273.15, 'f', 2, 64) }
			_ = w.Write([]string{strconv.FormatFloat(row.TimeS, 'f', 0, 64), strconv.FormatFloat(row.PressurePa/bar, 'f', 3, 64),
				c(row.GasK), c(row.Stations[0].OuterK), c(row.Stations[1].OuterK), c(row.HottestK)})
		}
	}
	w.Flush()
	for name, data := range map[string][]byte{"model.toml": text, "sunny.fill": log.Bytes(), "sunny-truth.csv": truth.Bytes()} {
		must.Do(t, os.WriteFile(sunnyFolder+name, data, 0o644))
	}
}

// sunnyTruth is the hottest wall by the second.
func sunnyTruth(t *testing.T) []float64 {
	t.Helper()
	data := must.Get(os.ReadFile(filepath.FromSlash(sunnyFolder + "sunny-truth.csv")))(t)
	rows := must.Get(csv.NewReader(bytes.NewReader(data)).ReadAll())(t)
	var out []float64
	for _, r := range rows[1:] {
		c := must.Get(strconv.ParseFloat(r[5], 64))(t)
		out = append(out, c+273.15)
	}
	return out
}

// A dark vessel in strong sun, learned from three milder fills: the estimate
// follows what is read by hand, no reading is refused, the truth stays inside
// the band, and no gas is asked for while the true wall is over the limit.
func TestSunnyFill(t *testing.T) {
	t.Parallel()
	if *update {
		makeSunny(t)
	}
	p, _ := sunnyVessel(t)
	text := must.Get(os.ReadFile(filepath.FromSlash(sunnyFolder + "model.toml")))(t)
	model := must.Get(wallmodel.ParseLearned("model.toml", text))(t)
	truth := sunnyTruth(t)
	m := monitor.New(monitor.Config{Profile: p, Model: model})
	limitK := float64(p.Resin.Onset) - float64(p.Limits.Reserve)
	var inside, n, sq, worst, over float64
	eachFrame(t, filepath.FromSlash(sunnyFolder+"sunny.fill"), func(f wire.Frame) {
		s := m.Step(f)
		at := int(s.TimeS)
		if f.Type == wire.TypeEntry {
			for _, a := range s.Alarms {
				must.Be(t, a.Name != alarm.Unsettled, "%.0f s: a correct reading is not taken: %s", s.TimeS, a.Cause)
			}
			return
		}
		if f.Type != wire.TypeSample || at >= len(truth) || s.TimeS < sunnyReadS[0]+1 {
			return
		}
		e := s.HottestK - truth[at]
		n, sq, worst = n+1, sq+e*e, math.Max(worst, math.Abs(e))
		if math.Abs(e) <= s.BandK {
			inside++
		}
		if truth[at] > limitK {
			over++
			must.Need(t, !s.Advice.Verdict.AsksForGas(),
				"%.1f s: the true wall is at %.1f °C, limit %.1f °C, and the verdict is %s (%s)", s.TimeS, truth[at]-273.15, limitK-273.15, s.Advice.Verdict, s.Advice.Reason)
		}
	})
	for _, e := range m.Step(wire.Frame{Type: wire.TypeClock}).Events {
		if strings.Contains(e.Text.String(), "surface") {
			t.Logf("%.0f s: %s", e.TimeS, e.Text)
		}
	}
	peak := 0.0
	for _, k := range truth {
		peak = math.Max(peak, k)
	}
	t.Logf("true peak %.1f °C, over the limit of %.1f °C for %.0f of %.0f samples; RMS %.2f K, worst %.2f K, inside the band %.1f %%", peak-273.15, limitK-273.15, over, n, math.Sqrt(sq/n), worst, 100*inside/n)
	must.Be(t, inside >= 0.98*n && over != 0, "truth inside the band in %.1f %% of %.0f samples, over the limit in %.0f", 100*inside/n, n, over)
}
