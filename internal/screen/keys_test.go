package screen

import (
	"errors"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wire"
)

// press hands keys to a model one after the other. Names in <> are special
// keys; everything else is runes, each in a message of its own.
func press(m Model, keys ...string) (Model, tea.Cmd) {
	special := map[string]tea.KeyType{"<esc>": tea.KeyEsc, "<enter>": tea.KeyEnter, "<tab>": tea.KeyTab,
		"<back>": tea.KeyBackspace, "<ctrl+c>": tea.KeyCtrlC, "<ctrl+z>": tea.KeyCtrlZ, "<ctrl+l>": tea.KeyCtrlL, "<space>": tea.KeySpace, "<up>": tea.KeyUp, "<right>": tea.KeyRight}
	var cmd tea.Cmd
	for _, key := range keys {
		var next tea.Model
		if k, ok := special[key]; ok {
			next, cmd = m.Update(tea.KeyMsg{Type: k, Runes: map[bool][]rune{true: {' '}}[key == "<space>"]})
			m = next.(Model)
			continue
		}
		for _, r := range key {
			next, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
			m = next.(Model)
		}
	}
	return m, cmd
}

func modelAt(t *testing.T, name string) (Model, *fakeFeed) {
	t.Helper()
	feed := newFakeFeed()
	return modelIn(situationNamed(t, name), feed, Options{Depth: canvas.DepthNone}, 100, 30), feed
}

// quits says whether a command ends the program.
func quits(cmd tea.Cmd) bool {
	if cmd == nil {
		return false
	}
	switch msg := cmd().(type) {
	case tea.QuitMsg:
		return true
	case tea.BatchMsg:
		for _, c := range msg {
			if quits(c) {
				return true
			}
		}
	}
	return false
}

func oneEntry(t *testing.T, feed *fakeFeed, want wire.Entry) {
	t.Helper()
	must.Be(t, len(feed.entries) == 1 && feed.entries[0] == want, "entries are %+v, want one: %+v", feed.entries, want)
}

func TestSurfaceReading(t *testing.T) {
	m, feed := modelAt(t, "filling")
	m, _ = press(m, "s", "<tab>", "31.5", "<enter>")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntrySurface, Station: 1, Value: 31500})
	must.Be(t, strings.Contains(m.View(), "Surface shade 31.5 °C saved"), "it does not say that it was saved:\n%s", m.View())
}

// TestSurfaceReadingInTheShownUnit: 107.6 °F is 42 °C exactly (the definition
// of the scale); a unit that is typed wins.
func TestSurfaceReadingInTheShownUnit(t *testing.T) {
	for typed, units := range map[string]quantity.System{"107.6": quantity.SystemPSIF, "42": quantity.SystemBarC,
		"42C": quantity.SystemPSIF, "107.6 F": quantity.SystemBarC, "42,0": quantity.SystemKPaC} {
		m, feed := modelAt(t, "filling")
		m.units = units
		press(m, "s", typed, "<enter>")
		must.Be(t, len(feed.entries) == 1 && feed.entries[0].Value == 42000, "%q in %v gave %+v, want 42000 m°C", typed, units, feed.entries)
	}
}

func TestWrongSurfaceReadingsAreExplained(t *testing.T) {
	for typed, says := range map[string]string{"": "Type the reading", "x": "Not a temperature", "4..1": "Not a temperature",
		"900": "not possible", "-300": "emperature", "42 bar": "Not a temperature"} {
		m, feed := modelAt(t, "filling")
		m, _ = press(m, "s", typed, "<enter>")
		must.Be(t, len(feed.entries) == 0 && strings.Contains(m.View(), says) && m.prompt.kind == promptSurface,
			"%q: entries %v, want none and %q:\n%s", typed, feed.entries, says, m.View())
	}
}

// TestDoubtfulSurfaceReading: far from the estimate is asked again, once.
func TestDoubtfulSurfaceReading(t *testing.T) {
	m, feed := modelAt(t, "filling")
	m, _ = press(m, "s", "90", "<enter>")
	must.Need(t, len(feed.entries) == 0 && strings.Contains(m.View(), "from the estimate"), "90 °C was taken at once: %v", feed.entries)
	m, _ = press(m, "<back>", "1", "<enter>")
	must.Need(t, len(feed.entries) == 0, "another number was taken on the doubt about the first")
	press(m, "<enter>")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntrySurface, Value: 91000})
}

// TestTypedIsNotLost: an entry that is not taken, and a slip onto ctrl+c, leave
// what was typed where it was.
func TestTypedIsNotLost(t *testing.T) {
	for _, keys := range [][]string{{"s", "44.5"}, {"m", "call in"}, {"t", "5 call in"}, {"g", "38"}} {
		m, feed := modelAt(t, "filling")
		m, _ = press(m, keys...)
		typed := m.prompt.text
		feed.refuse = errors.New("the disk is gone")
		m, _ = press(m, "<enter>")
		must.Be(t, m.prompt.text == typed && strings.Contains(m.View(), "disk is gone"),
			"%v: the prompt holds %q, want %q:\n%s", keys, m.prompt.text, typed, m.View())
		m, _ = press(m, "<ctrl+c>", "n")
		must.Be(t, m.prompt.text == typed && m.prompt.kind != promptQuit,
			"%v: after ctrl+c and n the prompt holds %q, want %q", keys, m.prompt.text, typed)
		feed.refuse, feed.entries = nil, nil
		m, _ = press(m, "<enter>")
		must.Be(t, len(feed.entries) == 1 && m.prompt.kind == promptNone, "%v: trying again gave %v", keys, feed.entries)
	}
}

// TestTypingIsForgiving: the same number, however it is written.
func TestTypingIsForgiving(t *testing.T) {
	for _, tc := range []struct {
		keys  []string
		value int32
	}{
		{[]string{"s", "44,5"}, 44500}, {[]string{"s", "44,5 °C"}, 44500}, {[]string{"s", "113F"}, 45000},
		{[]string{"g", "38,5"}, 3850000}, {[]string{"g", "500psi"}, 3447379}, {[]string{"g", "3,8 MPa"}, 3800000},
		{[]string{"t", "2,5"}, 150}, {[]string{"t", "90 s"}, 90}, {[]string{"t", "5min"}, 300}, {[]string{"t", "5 min call in"}, 300},
	} {
		m, feed := modelAt(t, "filling")
		press(m, append(tc.keys, "<enter>")...)
		must.Be(t, len(feed.entries) == 1 && feed.entries[0].Value == tc.value && !strings.Contains(feed.entries[0].Text, "min"),
			"%v gave %+v, want %d", tc.keys, feed.entries, tc.value)
	}
	m, feed := modelAt(t, "filling")
	m, _ = press(m, "g", "1,000 psi", "<enter>")
	must.Be(t, len(feed.entries) == 0 && strings.Contains(m.View(), "1000"), "1,000 psi was guessed at: %v\n%s", feed.entries, m.View())
}

func TestEscLeavesEveryPrompt(t *testing.T) {
	for _, key := range []string{"s", "q"} {
		m, feed := modelAt(t, "filling")
		m, _ = press(m, key, "1", "<esc>")
		must.Be(t, m.prompt.kind == promptNone && len(feed.entries) == 0, "%s: the prompt is %v, entries %v", key, m.prompt.kind, feed.entries)
	}
}

func TestMarkIsSavedAtOnce(t *testing.T) {
	m, feed := modelAt(t, "filling")
	m, _ = press(m, "m")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryMark, Text: "mark 1"})
	press(m, "gust, q", "<enter>")
	must.Be(t, len(feed.entries) == 2 && feed.entries[1].Text == "mark 1: gust, q", "entries: %+v", feed.entries)
	got := remarkText(1, strings.Repeat("é", 200))
	must.Be(t, len(got) <= wire.EntryTextMost, "a remark of %d bytes", len(got))
}

func TestAcknowledgeAndUndo(t *testing.T) {
	m, feed := modelAt(t, "ease")
	press(m, "a")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryAcknowledge})
	m, feed = modelAt(t, "filling")
	press(m, "a")
	must.Be(t, len(feed.entries) == 0, "acknowledged nothing")
	press(m, "z")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryUndo})
}

// TestRefusedEntryIsSaid: the operator must know that it was not taken.
func TestRefusedEntryIsSaid(t *testing.T) {
	m, feed := modelAt(t, "ease")
	feed.refuse = errors.New("too many entries wait")
	m, _ = press(m, "a")
	must.Be(t, strings.Contains(m.View(), "Not taken: too many entries wait"), "not said:\n%s", m.View())
}

// TestQuitIsGuarded: asks when under pressure, when the pressure is not
// known, and when it is old; y quits, anything else stays.
func TestQuitIsGuarded(t *testing.T) {
	for _, name := range []string{"filling", "pressure-lost", "waiting", "stale"} {
		for _, key := range []string{"q", "<ctrl+c>"} {
			m, _ := modelAt(t, name)
			asked, cmd := press(m, key)
			must.Be(t, !quits(cmd) && asked.prompt.kind == promptQuit && strings.Contains(asked.View(), "Quit all the same?"),
				"%s, %s: left a vessel under pressure without asking", name, key)
			stayed, cmd := press(asked, "n")
			must.Be(t, !quits(cmd) && stayed.prompt.kind == promptNone, "%s: n did not stay", name)
			again, cmd := press(asked, key)
			must.Be(t, !quits(cmd) && again.prompt.kind == promptNone, "%s: %s twice quits", name, key)
			_, cmd = press(asked, "y")
			must.Be(t, quits(cmd), "%s: y did not quit", name)
		}
	}
	m, _ := modelAt(t, "ready")
	_, cmd := press(m, "q")
	must.Be(t, quits(cmd), "asks over a vented vessel")
	m.live.Phase, m.live.PressurePa = phase.Filling, 0.4e5
	asked, cmd := press(m, "q")
	must.Be(t, !quits(cmd) && asked.prompt.kind == promptQuit, "left a fill that had only begun without asking")
	m, _ = modelAt(t, "replay")
	_, cmd = press(m, "q")
	must.Be(t, quits(cmd), "asks in a replay")
	m, _ = modelAt(t, "filling")
	m, cmd = press(m, "s", "<ctrl+c>")
	must.Be(t, !quits(cmd) && m.prompt.kind == promptQuit, "ctrl+c in a prompt is not guarded")
}

func TestSuspendIsRefused(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m, cmd := press(m, "<ctrl+z>")
	must.Be(t, cmd == nil && strings.Contains(m.View(), "Not put to sleep"), "ctrl+z:\n%s", m.View())
}

// TestRunesReadTogether: Bubble Tea joins runes that are read at once.
func TestRunesReadTogether(t *testing.T) {
	m, feed := modelAt(t, "filling")
	next, _ := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("us107")})
	m = next.(Model)
	m, _ = press(m, "<enter>")
	must.Be(t, m.units == quantity.SystemPSIF && len(feed.entries) == 1 && feed.entries[0].Value == 41667,
		"units %v, entries %+v", m.units, feed.entries)
}

func TestUnitsWindowLook(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m, _ = press(m, "uwl")
	must.Be(t, m.units == quantity.SystemPSIF && m.window == 1 && m.look == canvas.LookSun, "%v %v %v", m.units, m.window, m.look)
	text := m.View()
	must.Be(t, strings.Contains(text, "psi/min") && strings.Contains(text, "1:00 ago"), "units or window are not shown:\n%s", text)
	m, _ = press(m, "uu", "wwww", "ll")
	must.Be(t, m.units == 0 && m.window == 0 && m.look == 0, "the keys do not come round")
}

// TestPauseIsOfThePictureOnly: values stand still and are marked; verdict and
// alarms go on, and an abort ends the pause.
func TestPauseIsOfThePictureOnly(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m, _ = press(m, "p")
	s := moment(85)
	easing(&s)
	next, _ := m.Update(pulseMsg{s, m.clock.Add(time.Second)})
	m = next.(Model)
	text := m.View()
	for _, want := range []string{"44.6 bar/min", "was 26.1", "46.9?", "Ease off"} {
		must.Be(t, strings.Contains(text, want), "paused picture lacks %q:\n%s", want, text)
	}
	s = moment(90)
	stopping(&s)
	next, _ = m.Update(pulseMsg{s, m.clock.Add(time.Second)})
	must.Be(t, !next.(Model).paused, "an abort did not end the pause")
}

// TestAlarmsStayVisible under help and prompts, at every size.
func TestAlarmsStayVisible(t *testing.T) {
	for _, size := range append(append([][2]int{}, sizes[:]...), [2]int{20, 6}, [2]int{40, 12}) {
		for _, key := range []string{"?", "s", "q", "m"} {
			m, _ := modelAt(t, "ease")
			m.w, m.h = size[0], size[1]
			m, _ = press(m, key)
			text := m.View()
			for _, want := range []string{"CAUTION Ease", "MARGIN", "PRESSURE"} {
				must.Be(t, strings.Contains(strings.Replace(text, "CAUTION new   0:03  ", "CAUTION ", 1), want),
					"%v, key %s hides %q:\n%s", size, key, want, text)
			}
		}
	}
}

// TestHelpNamesEveryKey, on as many pages as it takes, at every size, and those
// of a practice in a practice.
func TestHelpNamesEveryKey(t *testing.T) {
	for i, size := range append(append([][2]int{}, sizes[:]...), [2]int{20, 6}, [2]int{40, 12}, [2]int{80, 24}) {
		m, _ := modelAt(t, "filling")
		if m.w, m.h = size[0], size[1]; i > len(sizes) {
			m.opt.Valves = &fakeValves{}
		}
		all := ""
		for page := 0; page < 80; page++ {
			m, _ = press(m, "?")
			if m.help < 0 {
				break
			}
			all += m.View()
		}
		must.Be(t, m.help < 0, "%v: the help has no end", size)
		for i := range bindings {
			b := &bindings[i]
			want := "  " + strings.Fields(b.keys)[0] + " "
			must.Be(t, b.long == "" || !b.offered(m.mode()) || strings.Contains(all, want), "%v: the help does not name %q", size, want)
		}
	}
}

func TestAbortClosesHelpAndRings(t *testing.T) {
	m, _ := modelAt(t, "filling")
	var rung strings.Builder
	m.opt.Output = &rung
	m, _ = press(m, "?")
	s := moment(90)
	stopping(&s)
	next, cmd := m.Update(pulseMsg{s, m.clock.Add(time.Second)})
	m = next.(Model)
	must.Be(t, m.help < 0, "the help hides an abort")
	m.wait.ctx = canceled()
	for _, c := range cmd().(tea.BatchMsg) {
		c()
	}
	must.Be(t, rung.String() == "\a", "the bell wrote %q", rung.String())
	next, cmd = m.Update(pulseMsg{s, m.clock.Add(2 * time.Second)})
	msg := cmd()
	must.Be(t, next != nil && msg == nil, "the same abort rings again: %v", msg)
}

// TestSilentMonitoringAges: when no Snapshot comes at all the screen itself
// finds that the data is old.
func TestSilentMonitoringAges(t *testing.T) {
	m, _ := modelAt(t, "filling")
	next, _ := m.Update(tickMsg(m.clock.Add(1200 * time.Millisecond)))
	m = next.(Model)
	must.Be(t, m.stale() && strings.Contains(m.View(), "OLD"), "a monitoring that says nothing looks fresh:\n%s", m.View())
}

func TestReplayKeys(t *testing.T) {
	for _, sit := range situations() {
		if sit.replay == nil {
			continue
		}
		m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, 100, 30)
		m, _ = press(m, "<space>", "<right>", "<right>", "n", "+", "=", "-", ".", "[", "]", ",", "<", ">")
		p := sit.replay.position
		must.Be(t, p.Paused && p.Speed == 8 && sit.replay.steps == 2 && sit.replay.nexts == 1, "%+v, %d steps", p, sit.replay.steps)
		must.Be(t, strings.Contains(m.View(), "REPLAY paused  1:22 of 7:01"), "the position is not shown:\n%s", m.View())
		feed := m.feed.(*fakeFeed)
		press(m, "s", "m", "a", "z")
		must.Be(t, len(feed.entries) == 0, "a replay took entries")
	}
}

// TestFlashIsSlowEnough: not faster than 3 Hz, and the words never flash.
func TestFlashIsSlowEnough(t *testing.T) {
	if hz := 1 / (2 * blink.Seconds()); hz > 2.8 || hz < 1.4 {
		t.Errorf("flashes at %g Hz", hz) // IEC 60073: 1.4 to 2.8 Hz, from memory
	}
	m, _ := modelAt(t, "abort-stop")
	next, _ := m.Update(tickMsg(m.clock.Add(100 * time.Millisecond)))
	a, b := m.View(), next.(Model).View()
	must.Be(t, a != b, "a new abort does not flash")
	must.Be(t, strings.NewReplacer("■", "x", "□", "x").Replace(a) == strings.NewReplacer("■", "x", "□", "x").Replace(b),
		"more than the shape flashes")
}

// TestFaultOfTheScreenIsShown: a panic in drawing gives the plain line.
func TestFaultOfTheScreenIsShown(t *testing.T) {
	m, _ := modelAt(t, "filling")
	m.hist = nil
	text := m.View()
	must.Be(t, strings.Contains(text, "FILL at most 31.0 bar/min") && strings.Contains(text, "The picture failed"), "fall-back:\n%s", text)
	next, cmd := m.Update(pulseMsg{monitor.Snapshot{Seq: 1}, m.clock})
	must.Be(t, cmd != nil && next.(Model).trouble != "", "a fault while taking a Snapshot ends the watch")
}
