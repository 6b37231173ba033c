// Package calibration draws a calibration of sensors on a terminal: how each
// comes to rest, what it reads too much and how sure that is, and what was
// refused and why. It turns keys into requests to package run.
package calibration

import (
	"context"
	"io"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/calibrate"
	"fillwright/internal/calibrate/run"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
)

// Feed is what the screen draws and asks; *run.Run is one. Its methods must
// not wait for anything slow.
type Feed interface {
	Latest() run.View
	Notify() <-chan struct{}
	Refer(text string) error
	Again(m calibrate.Method) error
	Wants() (vented, retype bool, why string)
	Take(c run.Consent) (said string, err error)
}

// Options is how it is drawn.
type Options struct {
	Units  quantity.System
	Depth  canvas.Depth
	ASCII  bool
	Input  io.Reader // nil: the standard input
	Output io.Writer // nil: the standard output
}

// Model is the Bubble Tea model: the newest View and what is being typed.
type Model struct {
	feed    Feed
	ctx     context.Context
	view    run.View
	w, h    int
	units   quantity.System
	palette *canvas.Palette
	glyphs  *canvas.Glyphs
	redraws int // each asks for the whole picture anew
	help    bool
	ask     asking
	input   string
	method  calibrate.Method // to begin anew with, after askDiscard
	consent run.Consent
	notice  string
}

// NewModel makes the model; ctx ends the waiting for the feed.
func NewModel(ctx context.Context, feed Feed, opt Options) Model {
	return Model{feed: feed, ctx: ctx, view: feed.Latest(), w: program.FirstW, h: program.FirstH, units: opt.Units,
		palette: canvas.NewPalette(canvas.LookPlain, opt.Depth), glyphs: canvas.GlyphsFor(opt.ASCII)}
}

// Run shows the screen until the operator quits (nil), ctx ends (its cause) or
// a signal ends it. The terminal is restored in every case.
func Run(ctx context.Context, feed Feed, opt Options) error {
	return program.Show(ctx, NewModel(ctx, feed, opt), opt.Input, opt.Output)
}

// newsMsg says that there is a newer View.
type newsMsg struct{}

// pictureEvery caps the rate of pictures.
const pictureEvery = 100 * time.Millisecond

// Init starts the waiting.
func (m Model) Init() tea.Cmd { return m.wait }

func (m Model) wait() tea.Msg {
	select {
	case <-m.ctx.Done():
		return nil
	case <-m.feed.Notify():
	}
	select {
	case <-m.ctx.Done():
		return nil
	case <-time.After(pictureEvery):
	}
	return newsMsg{}
}

// Update takes one message. A fault in it is told, and the screen goes on.
func (m Model) Update(msg tea.Msg) (out tea.Model, cmd tea.Cmd) {
	defer func() {
		if r := recover(); r != nil {
			m.notice = "The screen met a fault of its own and goes on."
			out, cmd = m, nil
			if _, news := msg.(newsMsg); news {
				cmd = m.wait
			}
		}
	}()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = program.Window(msg)
		m.redraws++
	case program.Awake:
		m.redraws++
	case program.SleepRefused:
		m.notice = "Not put to sleep. q quits."
	case newsMsg:
		m.view = m.feed.Latest()
		return m, m.wait
	case tea.KeyMsg:
		return m.keyed(msg)
	}
	return m, nil
}

// View implements tea.Model: the picture without its inks.
func (m Model) View() string {
	lines := make([]string, 0, m.h)
	for _, r := range m.rows() {
		var b strings.Builder
		r.Paint(&b, m.palette)
		lines = append(lines, b.String())
	}
	return strings.Join(lines, "\n")
}

// Frame is the picture of this moment.
func (m Model) Frame() *canvas.Frame {
	return canvas.FrameOf(m.rows(), m.w, m.h, m.palette, m.redraws)
}
