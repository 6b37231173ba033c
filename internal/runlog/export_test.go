package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// ploverLog is a run log of Plover's logger: type K thermocouples, their cold
// junction and a ratiometric sensor.
type ploverLog struct {
	b   []byte
	seq uint8
}

func (l *ploverLog) start(texts wire.Texts) {
	l.b = wire.AppendLogStart(l.b, 0, wire.LogStart{Version: wire.Version})
	var err error
	if l.b, _, err = wire.AppendTexts(l.b, 1, &texts); err != nil {
		panic(err)
	}
}

func (l *ploverLog) hello(boot uint16) {
	h := wire.Hello{Protocol: wire.Version, Board: 7, Boot: boot, RateMHz: 10000, N: 6}
	for i, k := range []wire.Kind{wire.KindCounts, wire.KindNanovolt, wire.KindNanovolt, wire.KindNanovolt, wire.KindMilliCelsius, wire.KindMilliCelsius} {
		h.Channels[i] = wire.Channel{Index: uint8(i), Kind: k}
	}
	h.Channels[0].Scale = 4095
	l.b = wire.AppendHello(l.b, l.seq, &h)
	l.seq++
}

func (l *ploverLog) sample(ms uint32, values ...int32) {
	s := wire.Sample{TimeMS: ms, N: 6}
	copy(s.Values[:], values)
	l.b = wire.AppendSample(l.b, l.seq, &s)
	l.seq++
}

func (l *ploverLog) entry(k wire.EntryKind, station uint8, mc int32) {
	l.b = wire.AppendEntry(l.b, 0, wire.Entry{Kind: k, Station: station, Value: mc})
}

// shortFill is a log with all that matters to CSV: a missing reading, surface
// readings of which one is taken back, a restart of the logger, the wrap of
// device time and a second part.
//
// Type K by NIST Monograph 175 (ITS-90): 0 °C 0 mV, 25 °C 1.000 mV, 100 °C
// 4.096 mV. Ratiometric 0.5 to 4.5 V of 5 V for 0 to 100 bar: 819 of 4095
// counts are 1 V, so 12.5 bar; 2457 are 3 V, so 62.5 bar.
func shortFill() []byte {
	var l ploverLog
	const missing = wire.ValueMissing
	l.start(wire.Texts{})
	l.hello(1)
	l.sample(math.MaxUint32-99, 819, 0, 1_000_000, missing, 0, 20_000)
	l.entry(wire.EntrySurface, 1, 31_500)
	l.sample(0, 2457, 4_096_000, 0, 0, 0, 21_000)
	l.entry(wire.EntrySurface, 0, 40_000)
	l.entry(wire.EntryUndo, 0, 0)
	l.sample(100, 2457, 4_096_000, 0, 0, 0, 21_000)
	l.seq = 0
	l.hello(2)
	l.sample(5, 819, 0, 0, 0, 0, 22_000)
	l.start(wire.Texts{})
	l.hello(2)
	l.b = wire.AppendSilence(l.b, 0, wire.Silence{AgeMS: 1500})
	l.sample(9, 819, 0, 0, 0, 0, 23_000)
	return l.b
}

// Engineering values come out in the units of the header; missing readings and
// the station without a surface reading leave no trace.
func TestExport(t *testing.T) {
	var out bytes.Buffer
	done, err := table.Export(&out, readerOf(t, shortFill()), vessel.Invented(), nil, 0)
	must.Need(t, err == nil && done.Rows == 5 && len(done.Problems) == 0, "%v %v", done, err)
	got := strings.Split(out.String(), "\n")
	want := "time_s,pressure_bar,gas_c,ambient_c,wall_sun_c,wall_shade_c,surface_shade_c"
	must.Be(t, got[0] == want, "header %s\nwant   %s", got[0], want)
	const tableC = 0.013 // °C: the table's rounding of 0.0005 mV at 39 µV/°C
	nan := math.NaN()
	for i, want := range [][]float64{
		{0, 12.5, 0, 20, 25, nan, 31.5},
		{0.1, 62.5, 100, 21, 0, 0, nan},
		{0.2, 62.5, 100, 21, 0, 0, nan},
		{0.3, 12.5, 0, 22, 0, 0, nan}, // restart: one sample later
		{1.9, 12.5, 0, 23, 0, 0, nan}, // appended after 1.5 s of silence
	} {
		cells := strings.Split(got[i+1], ",")
		for j, w := range want {
			x, err := strconv.ParseFloat(cells[j], 64)
			must.Be(t, math.IsNaN(w) && cells[j] == "" || err == nil && math.Abs(x-w) <= tableC, "row %d, cell %d is %s, want %g", i, j, cells[j], w)
		}
	}
}

// Of two gas probes each has its column, and an ill one leaves its own cell blank:
// the other does not stand in for it.
func TestExportOfTwoGasProbes(t *testing.T) {
	const text = "time_s,pressure_bar,gas_c,gas_far_c\n0.000,1.00000,20.000,21.000\n1.000,2.00000,,31.000\n2.000,3.00000,40.000,\n"
	p := vessel.Invented()
	r := must.Get(NewReader("fill.csv", strings.NewReader(text), int64(len(text)), p.Stations))(t)
	p = must.Get(r.ProfileFor(p))(t)
	first, second := p.GasProbes()
	must.Need(t, first != nil && second != nil && second.End == vessel.EndFar, "probes %+v and %+v", first, second)
	var out bytes.Buffer
	must.Get(table.Export(&out, r, p, nil, 0))(t)
	must.Be(t, out.String() == text, "got\n%swant\n%s", out.String(), text)
	first.End = vessel.EndFar // alone, it keeps its end
	p.Channels = []vessel.Channel{p.Channels[0], *first}
	out.Reset()
	must.Get(table.Export(&out, r, p, nil, 0))(t)
	got, _, _ := strings.Cut(out.String(), "\n")
	must.Be(t, got == "time_s,pressure_bar,gas_far_c", "a lone probe at the far end: %s", got)
}

// With a time between rows, rows are that far apart; one with a hand-held
// reading is kept all the same.
func TestExportEvery(t *testing.T) {
	var l ploverLog
	l.start(wire.Texts{})
	l.hello(1)
	for i := range 40 {
		l.sample(uint32(i*100), 819, 0, 0, 0, 0, 20_000)
		if i == 13 {
			l.entry(wire.EntrySurface, 0, 30_000)
		}
	}
	for every, want := range map[float64]string{
		1:    "0.000 1.000 1.300 2.000 3.000",
		0.95: "0.000 1.000 1.300 1.900 2.900 3.800",
		100:  "0.000 1.300",
	} {
		var out bytes.Buffer
		must.Do(t, must.Err(table.Export(&out, readerOf(t, l.b), vessel.Invented(), nil, every)))
		var times []string
		for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n")[1:] {
			times = append(times, strings.SplitN(line, ",", 2)[0])
		}
		must.Equal(t, strings.Join(times, " "), want, "every %g s", every)
	}
	for _, every := range []float64{-1, math.NaN()} {
		_, err := table.Export(&bytes.Buffer{}, readerOf(t, l.b), vessel.Invented(), nil, every)
		must.Be(t, err != nil, "every %g s passed", every)
	}
}

// A table in the finest steps of the wire goes through frames and comes back
// letter by letter.
func TestCSVRoundTrip(t *testing.T) {
	for seed := range uint64(50) {
		rnd := rand.New(rand.NewPCG(seed, 3))
		text := randomTable(rnd)
		r, err := NewReader("fill.csv", strings.NewReader(text), int64(len(text)), vessel.Invented().Stations)
		must.Need(t, err == nil, "seed %d: %v\n%s", seed, err, text)
		p := must.Get(r.ProfileFor(vessel.Invented()))(t)
		var out bytes.Buffer
		must.Do(t, must.Err(table.Export(&out, r, p, nil, 0)))
		must.Need(t, out.String() == text, "seed %d: got\n%s\nwant\n%s", seed, out.String(), text)
	}
}

func randomTable(rnd *rand.Rand) string {
	var b strings.Builder
	gas := []string{"gas_c,gas_far_c", "gas_c,gas_second_c"}[rnd.IntN(2)]
	b.WriteString("time_s,pressure_bar," + gas + ",ambient_c,wall_sun_c,surface_shade_c,supply_bar,supply_c\n")
	ms := 0
	for i := range 40 {
		cells := []string{fmt.Sprintf("%.3f", float64(ms)/1000)}
		for _, format := range []string{"%.5f", "%.3f", "%.3f", "%.3f", "%.3f", "%.3f", "%.5f", "%.3f"} {
			cell := ""
			if rnd.IntN(4) > 0 || i == 0 {
				cell = fmt.Sprintf(format, 1+rnd.Float64()*40)
			}
			cells = append(cells, cell)
		}
		b.WriteString(strings.Join(cells, ",") + "\n")
		ms += 1 + rnd.IntN(3000)
	}
	return b.String()
}

// A run log exported and imported again is the same fill, to a pascal and a
// millikelvin.
func TestLogRoundTrip(t *testing.T) {
	path := write(t, "a.run", shortFill())
	p := vessel.Invented()
	want := must.Get(ReadFill(path, p, nil))(t)
	r := readerOf(t, shortFill())
	var out bytes.Buffer
	must.Do(t, must.Err(table.Export(&out, r, p, nil, 0)))
	got := must.Get(ReadFill(write(t, "a.csv", out.Bytes()), p, nil))(t)
	must.Need(t, len(got.TimeS) == len(want.TimeS) && len(got.Surface) == 1 && got.Surface[0] == want.Surface[0], "got %+v\nwant %+v", got, want)
	near := func(what string, got, want []float64, most float64) {
		for i := range want {
			must.Be(t, math.IsNaN(want[i]) && math.IsNaN(got[i]) || math.Abs(want[i]-got[i]) <= most,
				"%s[%d] = %g, want %g", what, i, got[i], want[i])
		}
	}
	near("time", got.TimeS, want.TimeS, 0.0005)
	near("pressure", got.PressurePa, want.PressurePa, 0.51)
	near("gas", got.GasK, want.GasK, 0.00051)
	near("ambient", got.AmbientK, want.AmbientK, 0.00051)
	for i := range want.Wall {
		near(fmt.Sprint("wall ", i), got.Wall[i], want.Wall[i], 0.00051)
	}
}

// Offsets are taken off a logger's values, and never off a table's.
func TestReadFillOffsets(t *testing.T) {
	off := &probe.Offsets{List: []probe.Offset{{Board: 7, Channel: 1, Offset: 1.5}, {Board: 0, Channel: 1, Offset: 1.5}}}
	path := write(t, "a.run", shortFill())
	bare := must.Get(ReadFill(path, vessel.Invented(), nil))(t)
	fill := must.Get(ReadFill(path, vessel.Invented(), off))(t)
	must.Near(t, "an offset of 1.5 K changed the gas by K", bare.GasK[0]-fill.GasK[0], 1.5, 1e-9)
	finished := must.Get(ReadFill(write(t, "a.csv", []byte("time_s,pressure_bar,gas_c\n0,1,20\n")), vessel.Invented(), off))(t)
	must.Be(t, finished.GasK[0] == 293.15, "a table's 20 °C became %g K", finished.GasK[0])
}

// The profile to read with: the given one, the recorded one, or the given one
// with the recording's channels.
func TestProfileFor(t *testing.T) {
	p := vessel.Invented()
	text := read(t, "../../testdata/plover.toml")
	c := must.Get(table.NewReader("fill.csv", strings.NewReader("time_s,pressure_bar,wall_sun_c\n0,1,20\n"), p.Stations))(t)
	changed := must.Get(ReplaceChannels("plover.toml", text, c.Channels()))(t)
	path := t.TempDir() + "/imported.run"
	must.Do(t, must.Err(WriteLog(path, wire.LogStart{}, &wire.Texts{Profile: string(changed)}, c)))
	imported := readerOf(t, read(t, path))
	for name, given := range map[string]*vessel.Profile{"given": p, "recorded": nil} {
		got, err := imported.ProfileFor(given)
		must.Be(t, err == nil && len(got.Channels) == 2 && got.Channels[0].Kind == vessel.KindGauge && got.Volume == p.Volume,
			"%s: %+v, %v", name, got, err)
	}
	if got, err := readerOf(t, shortFill()).ProfileFor(p); err != nil || got != p {
		t.Errorf("a profile that fits was not taken: %v", err)
	}
	_, err := readerOf(t, shortFill()).ProfileFor(nil)
	must.Be(t, err != nil && err.Error() == "a.run: does not hold the vessel's profile; give it: --vessel profile.toml", "no profile: %v", err)
	other := bytes.Join(testFrames(3), nil) // pressure in Pa, where Plover's sends counts
	_, err = readerOf(t, other).ProfileFor(p)
	var fe *wrongfile.Error
	must.Be(t, errors.As(err, &fe) && strings.Contains(err.Error(), "does not fit the logger that was recorded (channel 0 (pressure, ratiometric)"),
		"another logger: %v", err)
}

// A profile's text keeps everything but its channels.
func TestReplaceChannels(t *testing.T) {
	text := read(t, "../../testdata/plover.toml")
	channels := []vessel.Channel{{Index: 0, Role: vessel.RolePressure, Kind: vessel.KindGauge}}
	got := must.Get(ReplaceChannels("plover.toml", text, channels))(t)
	at := bytes.Index(text, []byte("[[channel]]"))
	must.Be(t, bytes.HasPrefix(got, text[:at]) && bytes.Count(got, []byte("[[channel]]")) == 1, "got\n%s", got)
	probes := []vessel.Channel{
		{Index: 0, Role: vessel.RolePressure, Kind: vessel.KindGauge},
		{Index: 1, Role: vessel.RoleGas, Kind: vessel.KindCelsius},
		{Index: 2, Role: vessel.RoleGas, Kind: vessel.KindCelsius, End: vessel.EndFar},
		{Index: 3, Role: vessel.RoleWall, Kind: vessel.KindCelsius, Station: "shade"},
	}
	p := must.Get(vessel.Parse("plover.toml", must.Get(ReplaceChannels("plover.toml", text, probes))(t)))(t)
	must.Be(t, slices.EqualFunc(p.Channels, probes, func(a, b vessel.Channel) bool {
		return a.Index == b.Index && a.Role == b.Role && a.Kind == b.Kind && a.Station == b.Station && a.End == b.End
	}), "came back as %+v", p.Channels)
	_, err := ReplaceChannels("x.toml", []byte("[vessel]\n"), channels)
	must.Be(t, err != nil && strings.HasPrefix(err.Error(), "x.toml: its channels can't be replaced"), "error %v", err)
}

// The supply's pressure and the temperature in its line are columns of their
// own, and series of their own in a fill.
func TestCSVSupplyLine(t *testing.T) {
	text := "time_s,pressure_bar,gas_c,supply_bar,supply_f\n0,0,20,200,50\n1,1,21,,\n2,2,22,199,41\n"
	p := vessel.Invented()
	r := must.Get(NewReader("a.csv", strings.NewReader(text), int64(len(text)), p.Stations))(t)
	f := must.Get(readFill(r, p, nil))(t)
	wantPa, wantK := []float64{200e5, math.NaN(), 199e5}, []float64{283.15, math.NaN(), 278.15}
	same := func(a, b float64) bool { return math.Abs(a-b) < 1e-6 || math.IsNaN(a) && math.IsNaN(b) }
	for i := range wantPa {
		must.Need(t, len(f.SupplyPa) == 3 && len(f.SupplyK) == 3 && same(f.SupplyPa[i], wantPa[i]) && same(f.SupplyK[i], wantK[i]),
			"supply %v Pa, %v K, want %v, %v", f.SupplyPa, f.SupplyK, wantPa, wantK)
	}
}
