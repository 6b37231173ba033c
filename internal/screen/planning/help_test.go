package planning

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/google/go-cmp/cmp"

	"fillwright/internal/advise"
	"fillwright/internal/plan"
	"fillwright/internal/vessel"
)

var update = flag.Bool("update", false, "write the golden files anew")

// setup is a warm day of the invented vessel.
func setup(t testing.TB, pairs ...string) plan.Setup {
	t.Helper()
	v := vessel.Invented()
	d := plan.NewDay()
	for _, p := range [][2]string{{"air", "30 °C"}, {"sun", "850 W/m²"}, {"wind", "2 m/s"}, {"wall-sun", "39 °C"}, {"supply", "200 bar"}, {"supply-volume", "50 L"}, {"time", "14:00"}} {
		f, _ := plan.FieldOf(p[0])
		if err := f.Set(&d, p[1]); err != nil {
			t.Fatal(err)
		}
	}
	return plan.NewSetup(v, nil, d)
}

// invented is an answer with numbers of our own, so that a picture does not change
// with the physics.
func invented(v plan.Verdict) plan.Answer {
	const c = 273.15
	a := plan.Answer{
		Verdict: v, Sun: plan.Estimate{K: 39 + c, BandK: 1.5}, Shade: plan.Estimate{K: 30.2 + c, BandK: 4.8}, OnsetK: 54 + c, GoalK: 49 + c,
		RampPaS: 10.7e5 / 60, Peak: plan.Estimate{K: 43.7 + c, BandK: 5.2}, MarginK: 5.1, PeakInS: 224, TargetPa: 40e5, TargetInS: 224, GasMostK: 47.1 + c,
		SettlePa: 38.1e5, TopUps: 1, TopUpPa: 1.9e5, StandS: math.Inf(1), VentK: -15.7 + c, VentPaS: 10e5 / 60, EnergyBoundK: 20.7,
		Course:    []plan.CourseLeg{{RampPaS: 30e5 / 60, ToPa: 18e5, ToS: 36}, {RampPaS: 9e5 / 60, FromPa: 18e5, ToPa: 40e5, FromS: 36, ToS: 183}},
		CourseInS: 183, CoursePeak: plan.Estimate{K: 43.9 + c, BandK: 5.1}, CourseSaves: 0.18,
		Supply: plan.Supply{Known: true, Enough: true, EndPa: 185.2e5, EndWarmPa: 191e5, GasK: 23.3 + c, ThrottledK: -3.5 + c},
		Narrow: []plan.Narrowing{{Do: "three mild fills to learn the vessel from", BandK: 3.1, FromK: 5.1}},
	}
	switch v {
	case plan.Go:
		a.RampPaS, a.TargetInS, a.PeakInS, a.CourseSaves, a.MarginK = 60e5/60, 40, 44, 0, 12.4
	case plan.NoGo:
		a.Why, a.RampPaS, a.MarginK, a.StandS, a.CourseSaves = "the sun alone may take the wall past its limit", 0, 1.2, 540, 0
		a.Peak.K, a.TargetInS = 47.6+c, 1200
	}
	for i := range 60 {
		s := float64(i) * 10
		up := math.Min(s/224, 1)
		a.Path = append(a.Path, advise.Point{InS: s, PressurePa: 40e5 * up, GasK: 30 + 17*up - 6*math.Max(0, s-224)/400 + c,
			HottestK: 39 + 4.7*up - 2*math.Max(0, s-224)/400 + c, BandK: 5.2})
	}
	return a
}

// table is an invented comparison.
func table() plan.Comparison {
	one := func(key, name, cost string, gain, ramp, s float64) plan.Effect {
		return plan.Effect{Keys: []string{key}, Name: name, Cost: cost, GainK: gain, RampPaS: ramp * 1e5 / 60, FillS: s, LastsS: math.Inf(1)}
	}
	wet := one("wet-wrap", "wet wrap, 26 min", "worthless once dry: wet it again every 26 min", 14.1, 60, 40)
	wet.Expires = true
	return plan.Comparison{AtPaS: 10.7e5 / 60, Alone: []plan.Effect{
		wet, one("other-resin", "onset 10 °C higher", "another resin, or a warmer cure", 10, 60, 40),
		one("shade", "shade 20 min, kept", "an awning, 20 min before", 3.8, 35.3, 68), one("slower", "half the ramp", "twice the time", 2.9, 5.3, 449),
		one("two-stages", "two stages, 5 min", "5 min more, shut between", 2.8, 60, 341), one("colder-supply", "supply 10 °C colder", "the cylinder and hose kept cool", 1.3, 15.5, 155),
		one("water", "10 % water inside", "weight; the dry wall counts", 1.2, 0, 159), one("lower-target", "80 % of the target", "less pressure", 1.1, 15.5, 125),
	}, Both: plan.Effect{Keys: []string{"wet-wrap", "other-resin"}, Name: "wet wrap, 26 min + onset 10 °C higher", GainK: 24.1, RampPaS: 60e5 / 60, FillS: 40}}
}

type situation struct {
	name    string
	verdict plan.Verdict
	change  func(Model) Model
}

var situations = []situation{
	{"slower", plan.GoSlower, nil},
	{"go", plan.Go, func(m Model) Model { m.on = []string{"shade", "other-resin"}; m.at = 2; return m }},
	{"no-go", plan.NoGo, nil},
	{"typing", plan.GoSlower, func(m Model) Model {
		m.typing, m.input, m.at = true, "90", 0
		m.notice = `"90" has no unit`
		return m
	}},
	{"stale", plan.GoSlower, func(m Model) Model { m.stale, m.seq = true, 3; return m }},
	{"first", plan.GoSlower, func(m Model) Model { m.stale, m.answer, m.table = true, plan.Answer{}, plan.Comparison{}; return m }},
	{"help", plan.GoSlower, func(m Model) Model { m.help = true; return m }},
}

func modelIn(t testing.TB, s situation, opt Options, w, h int) Model {
	t.Helper()
	m := NewModel(setup(t), opt)
	m.answer, m.table, m.stale, m.full = invented(s.verdict), table(), false, true
	if s.change != nil {
		m = s.change(m)
	}
	m.w, m.h = w, h
	return m
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", filepath.FromSlash(name)+".golden")
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got; go test -update writes it anew):\n%s", file, diff)
	}
}

// trimmed leaves out the blanks at the ends of lines, for files that people read.
func trimmed(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}

// press sends keys; the work that they ask for is done before the next.
func press(t testing.TB, m Model, keys ...tea.KeyMsg) Model {
	t.Helper()
	for _, k := range keys {
		next, cmd := m.Update(k)
		m = next.(Model)
		m = done(t, m, cmd)
	}
	return m
}

func done(t testing.TB, m Model, cmd tea.Cmd) Model {
	t.Helper()
	for range 4 {
		if cmd == nil {
			break
		}
		var next tea.Model
		next, cmd = m.Update(cmd())
		m = next.(Model)
	}
	return m
}

func rune1(r rune) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}} }

func key(k tea.KeyType) tea.KeyMsg { return tea.KeyMsg{Type: k} }
