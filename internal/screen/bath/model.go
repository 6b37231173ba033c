// Package bath draws a calibration of sensors on a terminal: how each comes to
// rest, what it reads too much and how sure that is, and what was refused and
// why. It turns keys into requests to package bench.
package bath

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/bath"
	"fillwright/internal/bench"
	"fillwright/internal/quantity"
	_ "fillwright/internal/screen/early" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/program"
)

// Feed is what the screen draws and asks; *bench.Bench is one. Its methods
// must not wait for anything slow.
type Feed interface {
	Latest() bench.View
	Notify() <-chan struct{}
	Refer(text string) error
	Again(w bath.Way) error
	Wants() (vented, retype bool, why string)
	Take(c bench.Consent) (lines []string, err error)
}

// Options is how it is drawn.
type Options struct {
	Units   quantity.System
	Colours bool // 16 colours
	Styles  bool // bold and reverse at the least
	ASCII   bool
	Input   io.Reader // nil: the standard input
	Output  io.Writer // nil: the standard output
}

// Model is the Bubble Tea model: the newest View and what is being typed.
type Model struct {
	feed    Feed
	ctx     context.Context
	opt     Options
	view    bench.View
	w, h    int
	units   quantity.System
	palette *palette
	signs   *signs
	help    bool
	ask     asking
	input   string
	next    bath.Way // after askDiscard
	consent bench.Consent
	notice  string
	trouble string
}

// Before the first size message a terminal is taken to be so large; more than
// the most of it is not drawn on: what it says of itself may be anything.
const (
	firstW, firstH = 80, 24
	mostW, mostH   = 1000, 400
)

// NewModel makes the model; ctx ends the waiting for the feed.
func NewModel(ctx context.Context, feed Feed, opt Options) Model {
	m := Model{feed: feed, ctx: ctx, opt: opt, view: feed.Latest(), w: firstW, h: firstH, units: opt.Units,
		palette: newPalette(opt.Colours, opt.Styles), signs: &unicodeSigns}
	if opt.ASCII {
		m.signs = &asciiSigns
	}
	return m
}

// newsMsg says that there is a newer View.
type newsMsg struct{}

// frameLeast caps the rate of pictures.
const frameLeast = 100 * time.Millisecond

// Init starts the waiting.
func (m Model) Init() tea.Cmd { return m.wait() }

func (m Model) wait() tea.Cmd {
	ctx, notify := m.ctx, m.feed.Notify()
	return func() tea.Msg {
		select {
		case <-ctx.Done():
			return nil
		case <-notify:
		}
		timer := time.NewTimer(frameLeast)
		defer timer.Stop()
		select {
		case <-ctx.Done():
			return nil
		case <-timer.C:
		}
		return newsMsg{}
	}
}

// Update takes one message. A fault in it is shown, and the screen goes on.
func (m Model) Update(msg tea.Msg) (out tea.Model, cmd tea.Cmd) {
	defer func() {
		if r := recover(); r != nil {
			m.trouble = "The screen met a fault of its own and goes on."
			out, cmd = m, nil
			if _, news := msg.(newsMsg); news {
				cmd = m.wait()
			}
		}
	}()
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = min(max(msg.Width, 1), mostW), min(max(msg.Height, 1), mostH)
	case program.SleepRefused:
		m.notice = "Not put to sleep. q quits."
	case newsMsg:
		m.view = m.feed.Latest()
		return m, m.wait()
	case tea.KeyMsg:
		return m.keyed(msg)
	}
	return m, nil
}

// Run shows the screen until the operator quits (nil) or ctx ends (its error).
// The terminal is restored in every case.
func Run(ctx context.Context, feed Feed, opt Options) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if opt.Output == nil {
		opt.Output = os.Stdout
	}
	options := []tea.ProgramOption{tea.WithAltScreen(), tea.WithoutSignalHandler(), tea.WithOutput(opt.Output)}
	if opt.Input != nil {
		options = append(options, tea.WithInput(opt.Input))
	}
	err := program.Run(ctx, tea.NewProgram(NewModel(ctx, feed, opt), options...))
	switch {
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case err != nil:
		return fmt.Errorf("the terminal failed: %w", err)
	}
	return nil
}
