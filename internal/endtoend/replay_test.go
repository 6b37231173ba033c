package endtoend

import (
	"bytes"
	"errors"
	"io"
	"math"
	"path/filepath"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/lines"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// scene is a fill of the pretended vessel under a live monitor that records it.
type scene struct {
	name    string
	profile *vessel.Profile
	forS    float64
	readAtS []float64 // hand-held readings of every station then, without error
}

// seen is what came of it.
type seen struct {
	json  []byte
	log   string
	abort alarm.Active // the first
	atS   map[string]float64
	// true and first: when the hottest wall reached onset; +Inf never
	onsetS float64
	peakK  float64
	snaps  int
}

// live runs the scene: what comes over the cable goes into the run log, then
// into the monitor, as a session does it.
func (c *scene) live(t *testing.T, look func(s *monitor.Snapshot)) *seen {
	t.Helper()
	sc := must.Get(mimic.FindScene(c.name))(t)
	out := &seen{log: filepath.Join(t.TempDir(), c.name+".run"), atS: map[string]float64{}, onsetS: math.Inf(1)}
	start := wire.LogStart{Version: wire.Version, UnixMS: 1_790_000_000_000, App: wire.MakeLabel("proof")}
	w := must.Get(runlog.OpenWriter(out.log, start))(t)
	m := monitor.New(monitor.Config{Profile: c.profile})
	lines := lines.Lines{JSON: true}
	use := func(b []byte) {
		framesOf(b, func(f wire.Frame) {
			s := m.Step(f)
			out.json = lines.Append(out.json, f.Type, &s)
			out.note(&s)
			if look != nil {
				look(&s)
			}
		})
	}
	use(wire.AppendLogStart(nil, 0, start))
	record := func(b []byte) error {
		if err := w.Append(b); err != nil {
			return err
		}
		use(b)
		return nil
	}
	next := 0
	truth := func(row mimic.Row) error {
		out.peakK = math.Max(out.peakK, row.HottestK)
		if row.HottestK >= float64(c.profile.Resin.Onset) {
			out.onsetS = math.Min(out.onsetS, row.TimeS)
		}
		if next == len(c.readAtS) || row.TimeS < c.readAtS[next] {
			return nil
		}
		next++
		for i, st := range row.Stations {
			e := wire.Entry{Kind: wire.EntrySurface, Station: uint8(i), Value: int32(math.Round((st.OuterK - 273.15) * 1000))}
			if err := record(wire.AppendEntry(nil, 0, e)); err != nil {
				return err
			}
		}
		return nil
	}
	must.Do(t, mimic.Record(c.profile, sc, mimic.Options{Seed: 4, ForS: c.forS}, record, truth))
	must.Do(t, w.Close())
	return out
}

// note keeps when each alarm was first raised.
func (out *seen) note(s *monitor.Snapshot) {
	out.snaps++
	for _, a := range s.Alarms {
		if _, before := out.atS[a.Name]; !before {
			out.atS[a.Name] = s.TimeS
			if a.Level == alarm.LevelAbort && out.abort.Name == "" {
				out.abort = a
			}
		}
	}
}

// replayed is the JSON of a run log's replay.
func replayed(t *testing.T, path string, p *vessel.Profile) []byte {
	t.Helper()
	m := monitor.New(monitor.Config{Profile: p})
	lines := lines.Lines{JSON: true}
	var out []byte
	eachFrame(t, path, func(f wire.Frame) {
		s := m.Step(f)
		out = lines.Append(out, f.Type, &s)
	})
	return out
}

// A rushed fill: the caution comes before the abort, the abort before the
// true wall reaches onset, with at least the reaction time to spare; and the
// replay of its run log is the live fill, byte for byte.
func TestRushedFill(t *testing.T) {
	t.Parallel()
	p := plover(t, "plover-bare.toml")
	c := scene{name: "rushed", profile: p, forS: 200, readAtS: []float64{3, 6, 9}}
	got := c.live(t, nil)
	must.Need(t, !math.IsInf(got.onsetS, 1), "the true wall peaked at %.1f °C and never reached onset: nothing is proven", got.peakK-273.15)
	caution, abort := math.Inf(1), math.Inf(1)
	for _, name := range []string{alarm.WallMargin, alarm.RampHigh} {
		if at, ok := got.atS[name]; ok {
			caution = math.Min(caution, at)
		}
	}
	for _, name := range []string{alarm.WallAbort, alarm.WallOver, alarm.VentAdvised} {
		if at, ok := got.atS[name]; ok {
			abort = math.Min(abort, at)
		}
	}
	t.Logf("alarms at %v; true onset at %.1f s", got.atS, got.onsetS)
	must.Be(t, caution < abort, "first caution of ramp or wall at %.1f s, abort at %.1f s", caution, abort)
	must.Be(t, abort <= got.onsetS-float64(p.Limits.Reaction),
		"abort at %.1f s, the true wall reached onset at %.1f s: less than the reaction time of %g s between", abort, got.onsetS, float64(p.Limits.Reaction))
	sameLines(t, got.json, replayed(t, got.log, p))
}

func sameLines(t *testing.T, live, replay []byte) {
	t.Helper()
	must.Need(t, len(live) != 0, "the live fill gave no line")
	if bytes.Equal(live, replay) {
		return
	}
	a, b := bytes.Split(live, []byte("\n")), bytes.Split(replay, []byte("\n"))
	for i := 0; i < len(a) && i < len(b); i++ {
		must.Need(t, bytes.Equal(a[i], b[i]), "line %d:\nlive   %s\nreplay %s", i+1, a[i], b[i])
	}
	t.Fatalf("live %d lines, replay %d", len(a), len(b))
}

// A calm fill of a wall that is read raises no abort, calls no leak, and its
// replay is the same.
func TestCalmFill(t *testing.T) {
	t.Parallel()
	for _, c := range []scene{
		{name: "calm", profile: plover(t, "plover-bare.toml")},
		{name: "calm", profile: plover(t, "plover-bare.toml"), readAtS: []float64{3, 6, 9}},
		{name: "calm", profile: plover(t, "plover.toml")},
	} {
		got := c.live(t, nil)
		t.Logf("%d wall sensors, %d readings: alarms at %v", len(c.profile.Channels)-4, len(c.readAtS), got.atS)
		// A wall that nobody has read is not known, and gas against that is an abort.
		unread := len(c.profile.Channels) == 4 && len(c.readAtS) == 0
		must.Be(t, (got.abort.Name != "") == unread,
			"%d readings: abort %+v; the true wall peaked at %.1f °C", len(c.readAtS), got.abort, got.peakK-273.15)
		at, ok := got.atS[alarm.Leak]
		must.Be(t, !ok, "a leak was called at %.0f s", at)
		sameLines(t, got.json, replayed(t, got.log, c.profile))
	}
}

// A gas probe that dies during the fill makes it blind 3 s after its last
// good reading, give or take a sample, and never later.
func TestDyingProbe(t *testing.T) {
	t.Parallel()
	lastGood, blindS := 0.0, math.NaN()
	c := scene{name: "dying-probe", profile: plover(t, "plover-bare.toml"), forS: 100, readAtS: []float64{3, 6, 9}}
	got := c.live(t, func(s *monitor.Snapshot) {
		for _, r := range s.Sensors {
			if r.Role == vessel.RoleGas && r.Health == probe.HealthGood {
				lastGood = s.TimeS
			}
		}
		blind := false
		for _, a := range s.Alarms {
			blind = blind || a.Name == alarm.Blind
		}
		if s.Phase == phase.Filling && !blind && s.TimeS-lastGood > 3.06 {
			t.Errorf("%.2f s: filling, the last good reading is %.2f s old, and no alarm", s.TimeS, s.TimeS-lastGood)
		}
		if blind && math.IsNaN(blindS) {
			blindS = s.TimeS - lastGood
		}
	})
	must.Be(t, !math.IsNaN(blindS) && blindS >= 2.9 && blindS <= 3.06, "blind %.2f s after the last good reading; alarms at %v", blindS, got.atS)
	_, ok := got.atS[alarm.SensorIll]
	must.Be(t, ok, "the ill sensor was not told: %v", got.atS)
}

// A leak that opens near the target is called within three minutes of the
// hold, and its true rate lies within the band.
func TestLeakScene(t *testing.T) {
	t.Parallel()
	holdS, calledS := math.NaN(), math.NaN()
	c := scene{name: "leak", profile: plover(t, "plover-bare.toml"), forS: 420}
	got := c.live(t, func(s *monitor.Snapshot) {
		if s.Phase == phase.Holding {
			holdS = s.PhaseSince
		}
		if s.Leak.Significant && math.IsNaN(calledS) {
			calledS = s.TimeS - holdS
			t.Logf("called %.0f s into the hold: %.2f ± %.2f g/min", calledS, s.Leak.RateKgS*6e4, s.Leak.BandKgS*6e4)
		}
	})
	_, ok := got.atS[alarm.Leak]
	must.Be(t, ok && calledS <= 180, "called %.0f s into the hold; alarms at %v", calledS, got.atS)
}

// eachFrame reads a run log to its end.
func eachFrame(t *testing.T, path string, do func(f wire.Frame)) {
	t.Helper()
	r := must.Get(runlog.Open(path, nil))(t)
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		must.Do(t, err)
		do(f)
	}
	must.Do(t, r.Close())
}
