package screen

import (
	"context"
	"io"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
	"fillwright/internal/wording"
)

// Model is the Bubble Tea model: the newest Snapshot and how to show it. It is
// a value; only Update makes new ones.
type Model struct {
	opt      Options
	feed     Feed
	wait     *waiter
	stations []string
	palettes [canvas.Looks]*canvas.Palette
	glyphs   *canvas.Glyphs

	w, h   int
	live   monitor.Snapshot // newest
	frozen monitor.Snapshot // the one the picture was paused at
	hist   *Trail
	seenAt time.Time // when live was found to be new
	clock  time.Time // host time of the newest message that carries one

	units  quantity.System
	look   canvas.Look
	window int
	paused bool
	flash  bool
	help   int // page of the leaf; -1: closed
	leaf   leaf
	pin    *pinned
	prompt prompt
	marks  int

	redraws int // how often the whole screen was asked for anew

	notice     string
	noticeTill time.Time
	trouble    string // a fault of the screen itself, shown rather than hidden
}

// NewModel makes the model. ctx ends the waiting for the feed.
func NewModel(ctx context.Context, feed Feed, opt Options) Model {
	m := Model{opt: opt, feed: feed, w: program.FirstW, h: program.FirstH, hist: opt.Trail, help: -1,
		units: opt.Units, look: opt.Look % canvas.Looks, glyphs: canvas.GlyphsFor(opt.ASCII), live: monitor.Unknown(),
		wait: newWaiter(ctx, feed, opt.FramesPerS)}
	if m.hist == nil {
		m.hist = NewTrail()
	}
	for l := range m.palettes {
		m.palettes[l] = canvas.NewPalette(canvas.Look(l), opt.Depth)
	}
	for _, st := range opt.Profile.Stations {
		m.stations = append(m.stations, st.Name)
	}
	return m
}

// tickMsg comes four times a second: ages and flashes.
type tickMsg time.Time

// pulseMsg says that there is something new to draw.
type pulseMsg struct {
	snapshot monitor.Snapshot
	at       time.Time
}

func tick() tea.Cmd { return tea.Tick(blink, func(t time.Time) tea.Msg { return tickMsg(t) }) }

// Init starts the waiting for Snapshots and the clock.
func (m Model) Init() tea.Cmd { return tea.Batch(m.wait.next, tick()) }

// Update takes one message. It never fails: a fault in it is shown on the
// screen, and watching goes on.
func (m Model) Update(msg tea.Msg) (out tea.Model, cmd tea.Cmd) {
	defer func() {
		if r := recover(); r != nil {
			m.trouble = "The screen met a fault of its own; watching goes on."
			out, cmd = m, m.rearm(msg)
		}
	}()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = program.Window(msg)
	case program.SleepRefused:
		return m.say(notAsleep), nil
	case program.Awake:
		if m.redraws++; msg.Err != nil {
			m.trouble = "The terminal could not be set up anew: keys may be dead; watching goes on."
		}
	case tickMsg:
		return m.ticked(time.Time(msg)), tick()
	case pulseMsg:
		return m.pulsed(msg)
	case tea.KeyMsg:
		return m.keyed(msg)
	}
	return m, nil
}

// rearm keeps the clock and the waiting alive after a fault.
func (m Model) rearm(msg tea.Msg) tea.Cmd {
	switch msg.(type) {
	case tickMsg:
		return tick()
	case pulseMsg:
		return m.wait.next
	}
	return nil
}

// ticked ages the data and toggles what flashes.
func (m Model) ticked(t time.Time) Model {
	m.clock = t
	m.flash = !m.flash && m.wantsFlash()
	if !t.Before(m.noticeTill) {
		m.notice = ""
	}
	return m
}

// wantsFlash: only an abort that nobody has accepted yet flashes.
func (m Model) wantsFlash() bool {
	for i := range m.live.Alarms {
		if a := &m.live.Alarms[i]; a.Level == alarm.LevelAbort && a.State == alarm.StateUnacknowledged {
			return true
		}
	}
	return false
}

// pulsed takes the newest Snapshot in.
func (m Model) pulsed(p pulseMsg) (tea.Model, tea.Cmd) {
	before := m.live
	m.live, m.clock = p.snapshot, p.at
	if p.snapshot.Seq != before.Seq || m.seenAt.IsZero() {
		m.seenAt = p.at
	}
	if m.opt.Trail == nil {
		m.hist.Add(&m.live)
	}
	if text := refusal(&before, &m.live, m.units); text != "" {
		m = m.say(text)
	}
	cmds := []tea.Cmd{m.wait.next}
	if newAbort(&before, &m.live) {
		m.help = -1 // an abort closes help and a paused picture
		m.paused = false
		if !m.opt.Silent {
			cmds = append(cmds, m.bell)
		}
	}
	return m, tea.Batch(cmds...)
}

// refusal is the newest event that turned an entry of the operator down, of
// those that are new in after. The operator was told that it was handed in.
func refusal(before, after *monitor.Snapshot, u quantity.System) string {
	for _, e := range slices.Backward(after.EventsSince(before.EventCount)) {
		if e.Refused {
			return wording.Capital(e.Text.In(u)) + "."
		}
	}
	return ""
}

// newAbort says whether an abort stands in after that did not in before.
func newAbort(before, after *monitor.Snapshot) bool {
	for i := range after.Alarms {
		a := &after.Alarms[i]
		if a.Level == alarm.LevelAbort && a.State == alarm.StateUnacknowledged && !headline.Stands(before, a) {
			return true
		}
	}
	return false
}

// bell rings the terminal's bell, in one write, so that it can't fall into a picture.
func (m Model) bell() tea.Msg {
	if m.opt.Output != nil {
		if _, err := io.WriteString(m.opt.Output, "\a"); err != nil {
			return nil // a terminal that is gone ends the program by itself
		}
	}
	return nil
}

// ageS is the age of the data now: what the monitor says, and how long the
// monitor itself has said nothing.
func (m Model) ageS() float64 {
	age := m.live.Link.AgeS + m.quietS()
	if m.opt.Second != nil {
		age += m.opt.Second.LateS()
	}
	return age
}

// quietS is how long the monitor itself has said nothing; 0 in a replay.
func (m Model) quietS() float64 {
	if m.opt.Replay != nil || m.seenAt.IsZero() {
		return 0
	}
	if quiet := m.clock.Sub(m.seenAt).Seconds(); quiet > 0.5 {
		return quiet
	}
	return 0
}

// stale says whether the newest data is too old to be relied on.
func (m Model) stale() bool { return !(m.ageS() <= headline.OldAfterS) || !m.live.Link.Up }

// bare is the view of this moment without what lies over it.
func (m Model) bare() *view {
	v := &view{Told: headline.Told{Now: &m.live, AgeS: m.ageS(), Units: m.units}, shown: &m.live, hist: m.hist, profile: m.opt.Profile, g: m.glyphs,
		pal: m.palettes[m.look], plan: newPlan(m.w, m.h, m.wallLines()), old: m.stale(),
		paused: m.paused, flash: m.flash, windowS: windowsS[m.window]}
	if m.paused {
		v.shown, v.old = &m.frozen, true
	}
	if m.opt.Second != nil {
		v.Second, v.ApartS = true, m.quietS()+m.opt.Second.LateS()
	}
	if m.opt.Replay != nil {
		p := m.opt.Replay.Position()
		v.replay = &p
	}
	v.pin, v.planned = m.pin, m.opt.Planned
	return v
}

// picture makes the view of this moment.
func (m Model) picture() *view {
	v := m.bare()
	valves := ""
	if m.opt.Valves != nil {
		valves = m.opt.Valves.Standing()
	}
	v.keys = keyRowFor(m.w, m.mode(), valves)
	if m.help >= 0 {
		v.help, _ = m.helpRows(m.help)
	}
	v.foot = m.footRows()
	return v
}

// leaf is what lies over the lower part of the picture on demand.
type leaf uint8

const (
	leafHelp leaf = iota
	leafReady
	leafAlarms
	leafCount
)

var leafTitles = [leafCount]struct{ title, key string }{{"HELP", "?"}, {"BEFORE THE FILL", "r"}, {"ALARMS", "i"}}

// leafRows is all of a leaf, for w cells.
func (m Model) leafRows() []canvas.Row {
	v := m.bare()
	switch m.leaf {
	case leafReady:
		return v.readyLeaf(m.w)
	case leafAlarms:
		return v.alarmLeaf(m.w)
	}
	var out []canvas.Row
	for _, line := range helpLines(m.glyphs, m.mode()) {
		out = append(out, canvas.RowOf(canvas.Text, canvas.Cut(line, m.w, m.glyphs.More)))
	}
	return out
}

// helpRows is a page of the open leaf, as large as the room under the numbers.
func (m Model) helpRows(page int) ([]canvas.Row, bool) {
	p := newPlan(m.w, m.h, m.wallLines())
	room := m.h
	for s := secVerdict; s <= secNumbers; s++ {
		room -= p.rows[s]
	}
	l := leafTitles[m.leaf]
	return helpPage(l.title, l.key, m.leafRows(), page, room, m.w)
}

// footRows is a prompt, or a passing notice.
func (m Model) footRows() []canvas.Row {
	n := 2
	if m.h < 10 {
		n = 1
	}
	switch {
	case m.prompt.kind != promptNone:
		return m.prompt.rows(n, m.w, m.units, m.stations, m.glyphs)
	case m.notice != "":
		return []canvas.Row{canvas.RowOf(canvas.Strong, canvas.Cut(" "+canvas.Clean(m.notice, m.glyphs.ASCII), m.w, m.glyphs.More))}
	case m.trouble != "":
		return []canvas.Row{canvas.RowOf(canvas.Caution, canvas.Cut(" "+m.glyphs.Caution+" "+m.trouble, m.w, m.glyphs.More))}
	}
	return nil
}
