package calibration

import (
	"context"
	"errors"
	"flag"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/calibrate"
	"fillwright/internal/calibrate/run"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
)

var update = flag.Bool("update", false, "write the golden files anew")

// fake is a feed that keeps what it is asked.
type fake struct {
	view    run.View
	notify  chan struct{}
	asked   []string
	refuse  error
	retype  bool
	why     string
	shut    bool
	consent run.Consent
}

func (f *fake) Latest() run.View        { return f.view }
func (f *fake) Notify() <-chan struct{} { return f.notify }
func (f *fake) Refer(s string) error {
	f.asked = append(f.asked, "refer "+s)
	if f.refuse == nil {
		f.view.Asks, f.view.Reference = false, "thermometer "+s
	}
	return f.refuse
}
func (f *fake) Again(m calibrate.Method) error {
	f.asked = append(f.asked, "again "+m.String())
	f.view.Method = m
	return f.refuse
}
func (f *fake) Wants() (bool, bool, string) { return !f.shut, f.retype, f.why }
func (f *fake) Take(c run.Consent) (string, error) {
	f.asked = append(f.asked, "take")
	f.consent = c
	if f.refuse != nil {
		return "", f.refuse
	}
	f.view.Written = "3 of 4 offsets written to offsets.toml"
	return f.view.Written, nil
}

var nan = math.NaN()

func sensor(channel int, role vessel.Role, station string, kind vessel.Kind, value float64) probe.Reading {
	return probe.Reading{Channel: channel, Role: role, Station: station, Kind: kind, Value: value, Health: probe.HealthGood}
}

// The usual limits, of a thermometer and of a sensor of 100 bar.
var (
	ofIce  = calibrate.Limits{Drift: 0.15, Scatter: 0.25, WindowS: 30, AverageS: 60, PatienceS: 900}
	ofZero = calibrate.Limits{Drift: 1e4, Scatter: 1e4, WindowS: 15, AverageS: 20, PatienceS: 300}
)

// settling is an ice bath on its way: one probe done, one averaging, one still
// drifting, one open. All numbers are invented.
func settling() run.View {
	open := sensor(3, vessel.RoleWall, "shade", vessel.KindK, nan)
	open.Health = probe.HealthOpen
	return run.View{
		Vessel: "Plover", Method: calibrate.MethodIce, Limits: ofIce, Reference: "melting ice", ElapsedS: 135, Board: 0x5A17C0DE, BoardKnown: true,
		Probes: []calibrate.Probe{
			{Reading: sensor(1, vessel.RoleGas, "", vessel.KindK, 279.21), State: calibrate.StateDone, Drift: 0.01, Scatter: 0.02, Offset: 6.05, Share: 1},
			{Reading: sensor(2, vessel.RoleWall, "sun", vessel.KindK, 272.4), State: calibrate.StateAveraging, Drift: -0.06, Scatter: 0.03, Offset: -0.71, Share: 0.4, LeftS: 36},
			{Reading: open, State: calibrate.StateIll, Drift: nan, Scatter: nan, Offset: nan, LeftS: nan},
			{Reading: sensor(5, vessel.RoleAmbient, "", vessel.KindCelsius, 276.9), State: calibrate.StateWaiting, Drift: -1.9, Scatter: 0.12, Offset: 3.75, LeftS: 150},
		},
	}
}

// found is the same when all is over.
func found() run.View {
	v := settling()
	v.Done, v.ElapsedS = true, 420
	last := probe.Offset{Date: "2026-05-01", Offset: 5.9, Uncertainty: 0.4}
	for i := range v.Probes {
		v.Probes[i].State, v.Probes[i].Share, v.Probes[i].LeftS = calibrate.StateDone, 1, 0
	}
	v.Probes[2].State, v.Probes[2].Share = calibrate.StateGaveUp, 0
	v.Results = []calibrate.Result{
		{Channel: 1, Role: vessel.RoleGas, Kind: vessel.KindK, Offset: 6.05, U: 0.33, K: 2.01, Last: &last,
			Remarks: []string{"outside class 2 of IEC 60584 (± 2.5 °C): meter, plug or wire", "+0.15 °C against 2026-05-01: no change within the uncertainties"}},
		{Channel: 2, Role: vessel.RoleWall, Station: "sun", Kind: vessel.KindK, Offset: -0.72, U: 0.33, K: 2.0, Remarks: []string{"within class 1 of IEC 60584 (± 1.5 °C)"}},
		{Channel: 3, Role: vessel.RoleWall, Station: "shade", Kind: vessel.KindK, Offset: nan, U: nan, Refused: "the circuit is open", Do: "Check the plug and the wire."},
		{Channel: 5, Role: vessel.RoleAmbient, Kind: vessel.KindCelsius, Offset: 0.31, U: 0.14, K: 2.0},
	}
	return v
}

// trapped is a pressure zero that is not to be believed.
func trapped() run.View {
	p := sensor(0, vessel.RolePressure, "", vessel.KindRatiometric, 1.2e5)
	return run.View{
		Vessel: "Plover", Method: calibrate.MethodZero, Limits: ofZero, Reference: "vessel vented", ElapsedS: 48, Board: 0x5A17C0DE, BoardKnown: true, Done: true,
		Probes:  []calibrate.Probe{{Reading: p, State: calibrate.StateDone, Drift: 300, Scatter: 400, Offset: 1.2e5, Share: 1}},
		Results: []calibrate.Result{{Role: vessel.RolePressure, Kind: vessel.KindRatiometric, Offset: 1.2e5, U: 0.02e5, K: 2}},
	}
}

const whyTrapped = "reads 1.20 bar: GAS MAY BE TRAPPED; vent it, see a second gauge"

type situation struct {
	name string
	view func() run.View
	feed func(*fake)
	keys string
}

var situations = []situation{
	{name: "waiting", view: func() run.View {
		v := settling()
		v.BoardKnown, v.ElapsedS = false, 0
		for i := range v.Probes {
			p := &v.Probes[i]
			*p = calibrate.Probe{Reading: p.Reading, Drift: nan, Scatter: nan, Offset: nan, LeftS: nan}
			p.Reading.Value, p.Reading.Health = nan, probe.HealthUnknown
		}
		return v
	}},
	{name: "settling", view: settling},
	{name: "found", view: found},
	{name: "reference", view: func() run.View {
		v := found()
		v.Method, v.Asks, v.Reference = calibrate.MethodShade, true, ""
		return v
	}, keys: "r"},
	{name: "trapped", view: trapped, feed: func(f *fake) { f.retype, f.why = true, whyTrapped }, keys: "wvented\n"},
	{name: "written", view: found, keys: "wnew plugs\n"},
	{name: "help", view: settling, keys: "?"},
}

func press(t testing.TB, m Model, keys string) Model {
	t.Helper()
	for _, r := range keys {
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		switch r {
		case '\n':
			msg = tea.KeyMsg{Type: tea.KeyEnter}
		case '\x1b':
			msg = tea.KeyMsg{Type: tea.KeyEsc}
		case '\t':
			msg = tea.KeyMsg{Type: tea.KeyTab}
		case '\b':
			msg = tea.KeyMsg{Type: tea.KeyBackspace}
		}
		out, _ := m.Update(msg)
		m = out.(Model)
	}
	return m
}

func modelIn(t testing.TB, s situation, f *fake, opt Options, w, h int) Model {
	t.Helper()
	f.view, f.notify = s.view(), make(chan struct{}, 1)
	if s.feed != nil {
		s.feed(f)
	}
	out, _ := NewModel(context.Background(), f, opt).Update(tea.WindowSizeMsg{Width: w, Height: h})
	return press(t, out.(Model), s.keys)
}

// TestGolden holds every situation on a small terminal, the colours of one and
// a large one in ASCII.
func TestGolden(t *testing.T) {
	for _, s := range situations {
		t.Run(s.name, func(t *testing.T) {
			must.Golden(t, s.name+"-80x24", must.Trimmed(modelIn(t, s, &fake{}, Options{Depth: canvas.DepthNone}, 80, 24).View()), *update)
		})
	}
	t.Run("colours", func(t *testing.T) {
		must.Golden(t, "trapped-80x24-colours", must.Trimmed(strings.ReplaceAll(modelIn(t, situations[4], &fake{}, Options{}, 80, 24).View(), "\x1b", "␛")), *update)
	})
	t.Run("ascii", func(t *testing.T) {
		must.Golden(t, "found-120x40-ascii", must.Trimmed(modelIn(t, situations[2], &fake{}, Options{Depth: canvas.DepthNone, ASCII: true}, 120, 40).View()), *update)
	})
}

// Every picture fills its window exactly, at any size, and the verdict and the
// keys stay in it; in ASCII nothing else is drawn.
func TestFits(t *testing.T) {
	for _, s := range situations {
		for _, size := range [][2]int{{1, 1}, {10, 2}, {20, 3}, {40, 5}, {60, 20}, {80, 24}, {120, 40}, {300, 90}} {
			for _, a := range []bool{false, true} {
				m := modelIn(t, s, &fake{}, Options{ASCII: a}, size[0], size[1])
				lines := strings.Split(m.View(), "\n")
				must.Be(t, len(lines) == size[1], "%s at %v: %d lines", s.name, size, len(lines))
				for _, l := range lines {
					n := ansi.StringWidth(l)
					must.Be(t, n <= size[0], "%s at %v: %d cells: %q", s.name, size, n, l)
					must.Be(t, !a || utf8.RuneCountInString(l) == len(l), "%s at %v: not ASCII: %q", s.name, size, l)
				}
			}
		}
		m := modelIn(t, s, &fake{}, Options{}, 80, 5)
		must.Be(t, s.name != "trapped" || strings.Contains(m.View(), "TRAPPED"), "the trapped gas is not seen in a low window")
	}
}

// The reference is typed with its unit; a refusal is shown and nothing lost.
func TestReference(t *testing.T) {
	f := &fake{refuse: errors.New("21 has no unit")}
	m := modelIn(t, situations[3], f, Options{}, 80, 24)
	m = press(t, m, "219x\b\b\n")
	must.Be(t, f.asked[0] == "refer 21 °C" && strings.Contains(m.View(), "21 has no unit") && m.input == "21", "%q, %q is left", f.asked, m.input)
	f.refuse = nil
	m = press(t, m, ",3 °C\n")
	must.Be(t, f.asked[1] == "refer 21.3 °C" && strings.Contains(m.View(), "thermometer 21.3 °C"), "%q", f.asked)
}

// A bare number is in the units that are shown, a comma is one of decimals, and
// another unit is read as written (70 °F and 21.11 °C are one temperature).
func TestTypedInAnyUnit(t *testing.T) {
	for typed, want := range map[string]string{"70F": "21.111111 °C", "21,4": "21.4 °C", "21.4": "21.4 °C", "21,4 °C": "21.4 °C", "warm": "warm"} {
		f := &fake{}
		press(t, modelIn(t, situations[3], f, Options{}, 80, 24), typed+"\n")
		must.Be(t, len(f.asked) == 1 && f.asked[0] == "refer "+want, "%q: %q", typed, f.asked)
	}
	f := &fake{}
	press(t, modelIn(t, situations[3], f, Options{Units: quantity.SystemPSIF}, 80, 24), "70\n")
	must.Be(t, f.asked[0] == "refer 21.111111 °C", "70 with °F shown: %q", f.asked)
}

// A zero is taken after the word, letter by letter, and with gas under the
// sensor after the reading too; any slip ends it.
func TestZeroAsks(t *testing.T) {
	for _, tt := range []struct {
		name, keys string
		retype     bool
		takes      bool
		want       run.Consent
	}{
		{"word", "wvented\nmonday\n", false, true, run.Consent{Vented: true, Remark: "monday"}},
		{"yes is not enough", "wy\n\n\n", false, false, run.Consent{}},
		{"many enters", "w\n\n\n\n\n", false, false, run.Consent{}},
		{"escape", "wvented\n\x1b\n", false, false, run.Consent{}},
		{"retyped", "wvented\n1.2 bar\n\n", true, true, run.Consent{Vented: true, Retyped: "1.2 bar"}},
	} {
		f := &fake{}
		m := modelIn(t, situation{view: trapped}, f, Options{}, 80, 24)
		f.retype = tt.retype
		press(t, m, tt.keys)
		took := len(f.asked) > 0
		must.Be(t, took == tt.takes && f.consent == tt.want, "%s: asked %q, consent %+v", tt.name, f.asked, f.consent)
	}
	// The word typed before anything was found does nothing.
	early := &fake{}
	press(t, modelIn(t, situation{view: settling}, early, Options{}, 80, 24), "wvented\n\n")
	must.Be(t, len(early.asked) == 0, "typed too soon: %q", early.asked)
	f := &fake{shut: true, why: "under pressure"}
	m := modelIn(t, situation{view: trapped}, f, Options{}, 80, 24)
	press(t, m, "wvented\n\n")
	must.Be(t, len(f.asked) == 0, "asked %q", f.asked)
}

// What was found is not thrown away by one key.
func TestNothingLostByAKey(t *testing.T) {
	f := &fake{}
	m := modelIn(t, situations[2], f, Options{}, 80, 24)
	if _, cmd := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")}); cmd != nil {
		t.Error("q quits without asking")
	}
	m = press(t, m, "ax")
	m = press(t, m, "\tx")
	must.Be(t, len(f.asked) == 0, "asked %q", f.asked)
	m = press(t, m, "\ty")
	must.Be(t, len(f.asked) == 1 && f.asked[0] == "again steam", "asked %q", f.asked)
	_, cmd := press(t, m, "q").Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("y")})
	must.Be(t, cmd != nil, "q and y do not quit")
	m.view = settling()
	_, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	must.Be(t, cmd != nil, "q does not quit though nothing was found")
	m.units = quantity.SystemPSIF
	must.Be(t, strings.Contains(m.View(), "°F"), "no °F")
}
