// Package planning draws a plan before the day: the day's inputs to the left, the
// answer large, the forecast, and the remedies, each of which a key puts in place.
// Whatever is changed is answered at once, and in full a moment later.
package planning

import (
	"context"
	"io"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
)

// Options is how it is drawn.
type Options struct {
	Units  quantity.System
	Look   canvas.Look
	Depth  canvas.Depth
	ASCII  bool
	Input  io.Reader // nil: the standard input
	Output io.Writer // nil: the standard output
}

// Model is the Bubble Tea model: the day as it stands, and its newest answer.
type Model struct {
	setup  plan.Setup // without remedies
	first  plan.Day   // of which nothing is said but what the profile says
	fields []plan.Field
	at     int // field under the cursor
	on     []string
	page   int // of the remedies, where not all have room

	answer plan.Answer // of the setup with the remedies that are on
	table  plan.Comparison
	sides  string
	seq    int  // of the setup as it stands
	stale  bool // the answer is an older setup's
	full   bool // the answer and the table are whole

	typing  bool
	input   string
	notice  string
	trouble bool
	help    bool

	w, h     int
	units    quantity.System
	look     canvas.Look
	palettes [canvas.Looks]*canvas.Palette
	g        *canvas.Glyphs
	redraws  int
}

// A terminal is taken to be so large before it says, and at the most.
const (
	firstW, firstH = 80, 24
	mostW, mostH   = 1000, 400
	typedMost      = 60
)

// NewModel is the screen of a sound setup.
func NewModel(s plan.Setup, opt Options) Model {
	m := Model{setup: s, first: plan.NewSetup(s.Vessel, s.Model, plan.NewDay()).Day, fields: plan.Fields(),
		w: firstW, h: firstH, units: opt.Units, look: opt.Look, g: canvas.GlyphsFor(opt.ASCII), stale: true}
	for l := range canvas.Looks {
		m.palettes[l] = canvas.NewPalette(l, opt.Depth)
	}
	return m
}

// Setup is the day as it was left, without remedies.
func (m Model) Setup() plan.Setup { return m.setup }

// InPlace names the remedies that are in place.
func (m Model) InPlace() string {
	var names []string
	for _, r := range m.setup.Remedies() {
		if slices.Contains(m.on, r.Key) {
			names = append(names, m.setup.Told(r.Name, m.units))
		}
	}
	return strings.Join(names, "; ")
}

// quickMsg is an answer without course, remedies and what would narrow it.
type quickMsg struct {
	seq    int
	answer plan.Answer
}

// fullMsg is the rest.
type fullMsg struct {
	seq    int
	answer plan.Answer
	table  plan.Comparison
	sides  string
}

// faultMsg says that a setup could not be worked out.
type faultMsg struct{ seq int }

// Init asks for the first answer.
func (m Model) Init() tea.Cmd { return m.solve() }

// solve works the setup out at once, and in full after that.
func (m Model) solve() tea.Cmd {
	s, seq, on := m.setup, m.seq, m.on
	return guarded(seq, func() tea.Msg { return quickMsg{seq, plan.Solve(s, plan.DepthQuick, on...)} })
}

// complete works the rest out.
func (m Model) complete() tea.Cmd {
	s, seq, on := m.setup, m.seq, m.on
	return guarded(seq, func() tea.Msg {
		with, _ := s.With(on...)
		a := plan.Solve(s, plan.DepthFull, on...)
		return fullMsg{seq, a, plan.Compare(s, a.RampPaS, on...), with.Sides(&a)}
	})
}

// guarded keeps a fault in the sums from ending the program.
func guarded(seq int, work func() tea.Msg) tea.Cmd {
	return func() (msg tea.Msg) {
		defer func() {
			if r := recover(); r != nil {
				msg = faultMsg{seq}
			}
		}()
		return work()
	}
}

// Update takes one message.
func (m Model) Update(msg tea.Msg) (out tea.Model, cmd tea.Cmd) {
	defer func() {
		if r := recover(); r != nil {
			m.trouble = true
			out, cmd = m, nil
		}
	}()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = min(max(msg.Width, 1), mostW), min(max(msg.Height, 1), mostH)
	case program.SleepRefused:
		m.notice = "Not put to sleep. q quits."
	case program.Awake:
		m.redraws++
	case quickMsg:
		if msg.seq == m.seq {
			m.answer, m.stale, m.full = msg.answer, false, false
			return m, m.complete()
		}
	case fullMsg:
		if msg.seq == m.seq {
			m.answer, m.table, m.sides, m.stale, m.full = msg.answer, msg.table, msg.sides, false, true
		}
	case faultMsg:
		m.trouble = m.trouble || msg.seq == m.seq
	case tea.KeyMsg:
		return m.keyed(msg)
	}
	return m, nil
}

// changed takes a changed day in, if its parts go together.
func (m Model) changed(d plan.Day) (Model, tea.Cmd) {
	s := plan.NewSetup(m.setup.Vessel, m.setup.Model, d)
	if err := s.Sound(); err != nil {
		m.notice = oneLine(err)
		return m, nil
	}
	m.setup = s
	return m.anew()
}

// anew asks for a new answer.
func (m Model) anew() (Model, tea.Cmd) {
	m.seq++
	m.stale, m.trouble = true, false
	return m, m.solve()
}

// Run shows the screen until the operator quits; the model is as it was left,
// whatever ended the screen.
func Run(ctx context.Context, s plan.Setup, opt Options) (Model, error) {
	last := NewModel(s, opt)
	err := program.Show(ctx, kept{last, &last}, opt.Input, opt.Output)
	return last, err
}

// kept is the model with a place where it is left when it ends.
type kept struct {
	Model
	last *Model
}

// Update implements tea.Model.
func (k kept) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	next, cmd := k.Model.Update(msg)
	k.Model = next.(Model)
	*k.last = k.Model
	return k, cmd
}
