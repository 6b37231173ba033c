package screen

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// TestConfirmByKey: a digit confirms, the same takes back, and neither does
// anything while a fill is on.
func TestConfirmByKey(t *testing.T) {
	m, feed := modelAt(t, "ready")
	m, _ = press(m, "3")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryConfirm, Text: "vent-line"})
	must.Be(t, strings.Contains(m.View(), "Confirmed: vent line tested"), "not said:\n%s", m.View())
	feed.entries = nil
	press(m, "1")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryWithdraw, Text: "people-clear"})

	m, feed = modelAt(t, "filling")
	m, _ = press(m, "1")
	must.Be(t, len(feed.entries) == 0 && strings.Contains(m.View(), "before a fill"), "confirmed in a fill: %+v\n%s", feed.entries, m.View())
}

// TestReadyLeaf: every item with its finding on one page or more, at every
// size, and it stays open while items are confirmed.
func TestReadyLeaf(t *testing.T) {
	for _, size := range sizes {
		m, _ := modelAt(t, "ready")
		m.w, m.h = size[0], size[1]
		all := ""
		for page := 0; page < 20; page++ {
			if m, _ = press(m, "r"); m.help < 0 {
				break
			}
			all += m.View()
			m, _ = press(m, "3")
			must.Need(t, m.help >= 0 && m.leaf == leafReady, "%v: confirming closed the list", size)
		}
		for _, item := range readyList() {
			must.Be(t, strings.Contains(all, item.Title), "%v: the list lacks %q", size, item.Title)
		}
	}
}

// TestAlarmLeaf: cause, consequence, action and time of every alarm that
// stands, though the picture has room for one.
func TestAlarmLeaf(t *testing.T) {
	m, _ := modelAt(t, "abort-stop")
	all := ""
	for page := 0; page < 20; page++ {
		if m, _ = press(m, "i"); m.help < 0 {
			break
		}
		all += m.View()
	}
	for _, a := range m.live.Alarms {
		d := definitionsByName[a.Name]
		for _, want := range []string{a.Name, d.Consequence, a.Do, fmt.Sprintf("Within %.0f s.", d.RespondS)} {
			must.Be(t, strings.Contains(strings.Join(strings.Fields(all), " "), want), "%s lacks %q:\n%s", a.Name, want, all)
		}
	}
	m, _ = modelAt(t, "filling")
	m, _ = press(m, "i")
	must.Be(t, strings.Contains(m.View(), "No alarm stands."), "without alarms:\n%s", m.View())
}

func TestReminderPrompt(t *testing.T) {
	for typed, want := range map[string]wire.Entry{
		"5":              {Kind: wire.EntryRemind, Text: "re-wet from a distance", Value: 300},
		"2,5":            {Kind: wire.EntryRemind, Text: "re-wet from a distance", Value: 150},
		"3 look at hose": {Kind: wire.EntryRemind, Text: "look at hose", Value: 180},
		"0":              {Kind: wire.EntryRemind, Text: "re-wet from a distance"},
	} {
		m, feed := modelAt(t, "hold")
		press(m, "t", typed, "<enter>")
		oneEntry(t, feed, want)
	}
	m, feed := modelAt(t, "hold")
	press(m, "t", "<tab>", "4", "<enter>")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryRemind, Text: "move the shade from a distance", Value: 240})
	for _, wrong := range []string{"", "x", "-1", "0.01", "99999", "NaN"} {
		m, feed := modelAt(t, "hold")
		m, _ = press(m, "t", wrong, "<enter>")
		must.Be(t, len(feed.entries) == 0 && m.prompt.hint != "", "%q gave %+v, hint %q", wrong, feed.entries, m.prompt.hint)
	}
}

// TestTargetPrompt: a lower target is taken at once, a higher one when it is
// entered twice, one above the vessel's limit never. The fixture's profile has
// a target of 40 bar and a limit of 50 bar.
func TestTargetPrompt(t *testing.T) {
	for typed, wantPa := range map[string]int32{"35": 35e5, "32,5": 32.5e5, "500 psi": 3447379, "40": 40e5} {
		m, feed := modelAt(t, "filling")
		press(m, "g", typed, "<enter>")
		oneEntry(t, feed, wire.Entry{Kind: wire.EntryTarget, Value: wantPa})
	}
	m, feed := modelAt(t, "filling")
	m, _ = press(m, "g", "45", "<enter>")
	must.Be(t, len(feed.entries) == 0 && strings.Contains(m.View(), "above the profile's target, 40.0 bar"),
		"45 bar was not doubted: %+v, hint %q", feed.entries, m.prompt.hint)
	press(m, "<enter>")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryTarget, Value: 45e5})
	for _, wrong := range []string{"", "x", "0", "-5", "51", "NaN", "9e99"} {
		m, feed := modelAt(t, "filling")
		m, _ = press(m, "g", wrong, "<enter>", "<enter>")
		must.Be(t, len(feed.entries) == 0 && m.prompt.hint != "", "%q gave %+v, hint %q", wrong, feed.entries, m.prompt.hint)
	}
}

// TestPinnedForecast: the forecast of one moment stays in the chart while the
// past moves under it, with how far the estimate is off it; f unpins it.
func TestPinnedForecast(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m, _ = press(m, "f")
	at := m.clock
	for s := 83.0; s <= 120; s++ {
		at = at.Add(time.Second)
		snap := moment(s)
		snap.HottestK += 2
		next, _ := m.Update(pulseMsg{snap, at})
		m = next.(Model)
	}
	want := m.live.HottestK - (m.pin.at(120))
	text := m.View()
	got := fmt.Sprintf("× pinned at 1:22, now +%.1f from it", want)
	must.Be(t, strings.Contains(text, got), "lacks %q:\n%s", got, text)
	must.Be(t, strings.Count(text, "×") >= 10, "the pinned forecast is not drawn:\n%s", text)
	// The fixture's forecast from 82 s rises to 46.9 °C in 88 s: 38 s on it is
	// from + (46.9 - from) sin(38/88 π/2), on the points of every 5 s.
	from := m.pin.path[0].HottestK
	must.Be(t, m.pin.at(120) > from && m.pin.at(120) < degC(46.9), "the pinned forecast at 120 s is %v", m.pin.at(120))
	m, _ = press(m, "f")
	must.Be(t, m.pin == nil && !strings.Contains(m.View(), "pinned at"), "f does not let it go")
	m, _ = modelAt(t, "waiting")
	m, _ = press(m, "f")
	must.Be(t, m.pin == nil && strings.Contains(m.View(), "no forecast"), "pinned nothing:\n%s", m.View())
}

// TestNoForeignUnits: with psi and °F chosen nothing in any picture is in bar
// or °C.
func TestNoForeignUnits(t *testing.T) {
	for _, sit := range situations() {
		m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone, Units: quantity.SystemPSIF}, 140, 40)
		for _, leaf := range []string{"", "r", "i"} {
			shown, _ := press(m, leaf)
			for _, wrong := range []string{"°C", " bar ", " bar,", "bar/min"} {
				text := shown.View()
				must.Be(t, !strings.Contains(text, wrong), "%s%s has %q:\n%s", sit.name, leaf, wrong, text)
			}
		}
	}
}

// TestSettlesAndWouldSettle: while it stands the gas that is in it is meant,
// before and during a fill the fill that is advised.
func TestSettlesAndWouldSettle(t *testing.T) {
	for name, want := range map[string]string{"ready": "then settles at", "filling": "then settles at", "hold": "settles at", "top-up": "settles at"} {
		m, _ := modelAt(t, name)
		text := m.View()
		must.Be(t, strings.Contains(text, " "+want) && (want != "settles at" || !strings.Contains(text, "then settles")), "%s does not say %q:\n%s", name, want, text)
	}
}

// TestHoldClocks: how long it stands, of what is planned, and how long it may,
// at every size.
func TestHoldClocks(t *testing.T) {
	for _, size := range sizes {
		m, _ := modelAt(t, "hold")
		m.w, m.h = size[0], size[1]
		text := m.View()
		for _, want := range []string{"stood", "0:18", "12:00"} {
			must.Be(t, strings.Contains(text, want), "%v lacks %q:\n%s", size, want, text)
		}
	}
}

// TestGoldenLeaves holds what lies over the picture on demand, and a pinned
// forecast.
func TestGoldenLeaves(t *testing.T) {
	for _, c := range []struct{ situation, keys, name string }{
		{"ready", "r", "ready"}, {"over", "r", "over"}, {"abort-stop", "i", "alarms"}, {"filling", "?", "help"},
		{"replay", "f", "pinned"}, {"hold", "t5", "remind"}, {"no-start", "", "no-start"},
	} {
		for _, size := range sizes {
			name := fmt.Sprintf("leaf-%s/%dx%d", c.name, size[0], size[1])
			t.Run(name, func(t *testing.T) {
				m, _ := modelAt(t, c.situation)
				m.w, m.h = size[0], size[1]
				m, _ = press(m, c.keys)
				text := m.View()
				for i, line := range strings.Split(text, "\n") {
					must.Be(t, canvas.Cells(line) == m.w && i < m.h, "line %d is %d wide in a window of %v", i, canvas.Cells(line), size)
				}
				must.Golden(t, name, must.Trimmed(text), *update)
			})
		}
	}
}

// TestTrailKeepsAll: a past fed by the caller has every Snapshot, also those
// that no picture was drawn of.
func TestTrailKeepsAll(t *testing.T) {
	trail := NewTrail()
	sit := until("fast", 0, nil)
	m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone, Trail: trail}, 100, 30)
	for s := 1.0; s <= 82; s++ {
		snap := moment(s)
		trail.Add(&snap)
	}
	next, _ := m.Update(pulseMsg{moment(82), hostTime.Add(time.Minute)})
	fed := next.(Model).View()
	drawn, _ := modelAt(t, "filling")
	got, want := chartOf(fed), chartOf(drawn.View())
	must.Be(t, got == want, "the chart of a fed past is\n%s\nwant\n%s", got, want)
	var last monitor.Snapshot
	trail.Add(&last) // time runs back: what lies ahead is forgotten
}

// chartOf cuts the chart out of a picture.
func chartOf(text string) string {
	_, chart, _ := strings.Cut(text, "AHEAD")
	chart, _, _ = strings.Cut(chart, "SENSORS")
	return chart
}

// TestRefusalIsSaid: the monitor may turn down what the screen handed in; the
// operator reads that, in his units, whatever the size of the window.
func TestRefusalIsSaid(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m.units = quantity.SystemPSIF
	m, _ = press(m, "s", "106", "<enter>")
	s := moment(83)
	s.Events = append(s.Events, monitor.Event{TimeS: 83, Kind: monitor.EventEntry, Text: wording.SurfaceRead("sun", degC(10)).And(wording.EstimateIs(degC(41))), Refused: true})
	s.EventCount = m.live.EventCount + 1
	next, _ := m.Update(pulseMsg{s, m.clock.Add(time.Second)})
	text := next.(Model).View()
	must.Be(t, strings.Contains(text, "Surface sun read 50.0 °F, not used yet: the estimate is 105.8 °F; read again,"), "not said:\n%s", text)
	before := s
	s.Events = append(s.Events, monitor.Event{TimeS: 84, Kind: monitor.EventEntry, Text: wording.Marked("wind ignored, 50 bar refused")})
	s.EventCount++
	must.Equal(t, refusal(&before, &s, quantity.SystemPSIF), "", "a mark is taken for a refusal")
}

// TestOpenHandsShareARow: where the list is too low for all that is open, what
// waits for a key is still named with its key.
func TestOpenHandsShareARow(t *testing.T) {
	sit := until("bare", 15, func(s *monitor.Snapshot) {
		for i := range s.Ready {
			s.Ready[i].State = checklist.Unknown
		}
	})
	m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, 80, 24)
	if text := m.View(); !strings.Contains(text, "TO DO press 1 people clear 2 relief valve fitted 3 vent line tested") || !strings.Contains(text, "+6 more: r shows all") {
		t.Errorf("not named:\n%s", text)
	}
}

// fakeValves counts what was turned, and refuses when it is told to.
type fakeValves struct{ keys, refuses string }

func (v *fakeValves) turn(key string) string { v.keys += key; return v.refuses }
func (v *fakeValves) Open() string           { return v.turn("o") }
func (v *fakeValves) Close() string          { return v.turn("c") }
func (v *fakeValves) Shut() string           { return v.turn("x") }
func (v *fakeValves) Vent() string           { return v.turn("v") }
func (v *fakeValves) Standing() string       { return "supply 3/16" }
func (v *fakeValves) Touch(s int) float64    { return degC(41.5 + float64(s)) }

// TestPracticeKeys: in a practice the keys turn the pretended valves and the row
// of keys says how they stand, at every size; at a real fill there are none.
func TestPracticeKeys(t *testing.T) {
	m, feed := modelAt(t, "filling")
	press(m, "o", "c", "x")
	must.Be(t, len(feed.entries) == 0 && !strings.Contains(m.View(), "supply 3/16"), "a real fill has valves on its keys")
	valves := &fakeValves{}
	m.opt.Valves = valves
	m, _ = press(m, "o", "o", "c", "x", "v")
	must.Be(t, valves.keys == "oocxv", "turned %q", valves.keys)
	for _, size := range sizes {
		m.w, m.h = size[0], size[1]
		for _, want := range []string{"supply 3/16", "o open", "x shut", "? help"} {
			must.Be(t, strings.Contains(m.View(), want), "%v: %q is not shown:\n%s", size, want, m.View())
		}
	}
	m.w, m.h = 100, 30
	for i, want := range []string{"reads 41.5 °C", "reads 42.5 °C"} {
		asked, _ := press(m, append([]string{"s"}, []string{"<tab>"}[:i]...)...)
		must.Be(t, strings.Contains(asked.View(), want), "station %d: %q is not shown:\n%s", i, want, asked.View())
	}
	valves.refuses = "The vent is open: shut it first."
	m, _ = press(m, "o")
	must.Be(t, strings.Contains(m.View(), valves.refuses), "a refusal is not shown:\n%s", m.View())
	m, _ = press(m, "s", "o", "<esc>")
	must.Be(t, valves.keys == "oocxvo", "a letter of a reading turned a valve: %q", valves.keys)
}
