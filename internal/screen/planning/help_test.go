package planning

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/google/go-cmp/cmp"

	"fillwright/internal/must"
	"fillwright/internal/plan"
	"fillwright/internal/vessel"
)

var update = flag.Bool("update", false, "write the golden files anew")

// setup is a warm day of the invented vessel, changed by what is said: key, text.
func setup(t testing.TB, pairs ...string) plan.Setup {
	t.Helper()
	return setupOf(t, vessel.Invented(), append([]string{"air", "30 °C", "sun", "850 W/m²", "wind", "2 m/s", "wall-sun", "39 °C",
		"supply", "200 bar", "supply-volume", "50 L", "time", "14:00"}, pairs...)...)
}

func setupOf(t testing.TB, v *vessel.Profile, pairs ...string) plan.Setup {
	t.Helper()
	d := plan.NewDay()
	for i := 0; i < len(pairs); i += 2 {
		f, _ := plan.FieldOf(pairs[i])
		must.Do(t, f.Set(&d, pairs[i+1]))
	}
	s := plan.NewSetup(v, nil, d)
	must.Do(t, s.Sound())
	return s
}

// situation is a day with remedies in place, and what was done to its screen since.
type situation struct {
	name   string
	day    func(t testing.TB) plan.Setup
	on     []string
	change func(Model) Model
}

var situations = []situation{
	{"slower", func(t testing.TB) plan.Setup { return setup(t) }, nil, nil},
	{"go", func(t testing.TB) plan.Setup {
		return setup(t, "place", "47.5, 9.7", "date", "2026-07-14", "utc", "+2", "target", "34 bar")
	}, []string{"shade", "other-resin"}, func(m Model) Model { m.at = 2; return m }},
	{"course", func(t testing.TB) plan.Setup {
		v := vessel.Invented()
		v.Length, v.InnerDiameter = v.Length/2, v.InnerDiameter*math.Sqrt2 // a jet stirs all of it
		return setupOf(t, v, "air", "28 °C", "sun", "shade", "wall-sun", "28 °C")
	}, nil, nil},
	{"no-go-sun", func(t testing.TB) plan.Setup {
		return setup(t, "air", "36 °C", "sun", "950 W/m²", "wind", "1 m/s", "absorptance", "0.8", "wall-sun", "52 °C")
	}, nil, nil},
	{"no-go-supply", func(t testing.TB) plan.Setup {
		return setup(t, "sun", "shade", "wall-sun", "31 °C", "supply-volume", "2 L")
	}, nil, nil},
	{"wrap-dries", func(t testing.TB) plan.Setup {
		v := vessel.Invented()
		v.Limits.RampMost = 2.2e5 / 60
		return setupOf(t, v, "air", "36 °C", "sun", "950 W/m²", "wind", "8 m/s", "humidity", "15 %", "absorptance", "0.8", "time", "14:00")
	}, nil, nil},
	{"typing", func(t testing.TB) plan.Setup { return setup(t) }, nil, func(m Model) Model {
		m.typing, m.input, m.at = true, "90", 0
		m.notice = `"90" has no unit`
		return m
	}},
	{"stale", func(t testing.TB) plan.Setup { return setup(t) }, nil, func(m Model) Model { m.stale, m.seq = true, 3; return m }},
	{"first", func(t testing.TB) plan.Setup { return setup(t) }, nil, func(m Model) Model {
		m.stale, m.answer, m.table = true, plan.Answer{}, plan.Comparison{}
		return m
	}},
	{"help", func(t testing.TB) plan.Setup { return setup(t) }, nil, func(m Model) Model { m.help = true; return m }},
}

// worked are answers that were worked out, by day and remedies: a picture costs none
// of its own.
var worked = map[string]Model{}

// modelIn is a situation's screen, its numbers from a real plan of its invented day.
func modelIn(t testing.TB, s situation, opt Options, w, h int) Model {
	t.Helper()
	setup := s.day(t)
	key := fmt.Sprint(setup.Vessel.Limits, setup.Day.Said(0), s.on)
	done, known := worked[key]
	if !known {
		done = answered(t, NewModel(setup, Options{}), s.on...)
		worked[key] = done
	}
	m := NewModel(setup, opt)
	m.on, m.answer, m.table, m.sides, m.stale, m.full = s.on, done.answer, done.table, done.sides, false, true
	if s.change != nil {
		m = s.change(m)
	}
	m.w, m.h = w, h
	return m
}

// answered is a model whose setup is worked out with remedies in place.
func answered(t testing.TB, m Model, on ...string) Model {
	t.Helper()
	m.on = on
	return done(t, m, m.Init())
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", filepath.FromSlash(name)+".golden")
	if *update {
		must.Do(t, os.MkdirAll(filepath.Dir(file), 0o755))
		must.Do(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	must.Need(t, err == nil, "%v (go test -update writes it)", err)
	diff := cmp.Diff(string(want), got)
	must.Be(t, diff == "", "%s differs (-want +got; go test -update writes it anew):\n%s", file, diff)
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
