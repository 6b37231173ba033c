// Package valve is what the person at a pretended valve has before him: keys
// that turn it, and a gauge. The screen of the watch is on another machine.
package valve

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/quantity"
	_ "fillwright/internal/screen/background" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/program"
)

// Valves are the pretended valves; *mimic.Hand is them. The words say why
// nothing was turned.
type Valves interface {
	Open() (refused string)
	Close() (refused string)
	Shut() (refused string)
	Vent() (refused string)
	Standing() string
}

// Dials is what can be read at the pretended vessel.
type Dials struct {
	TimeS      float64
	PressurePa float64 // gauge
	Skins      []Skin
}

// Skin is what a thermometer held to a station reads.
type Skin struct {
	Station string
	K       float64
}

// Gauge reads the pretended vessel. It must not wait.
type Gauge func() Dials

// Options is how it is drawn. Valves and Gauge are required.
type Options struct {
	Valves Valves
	Gauge  Gauge
	Scene  string
	At     string // where the watch connects
	Units  quantity.System
	Input  io.Reader // nil: the standard input
	Output io.Writer // nil: the standard output
}

// Model is the Bubble Tea model.
type Model struct {
	opt     Options
	notice  string
	leaving bool // asked whether to leave a vessel under pressure
}

// NewModel makes the model.
func NewModel(opt Options) Model { return Model{opt: opt} }

// lookEvery is how often the gauge is read.
const lookEvery = 200 * time.Millisecond

// emptyPa is what counts as no pressure when the practice is left.
const emptyPa = 0.3e5

type lookMsg struct{}

func look() tea.Cmd { return tea.Tick(lookEvery, func(time.Time) tea.Msg { return lookMsg{} }) }

// Init starts the reading of the gauge.
func (m Model) Init() tea.Cmd { return look() }

// Update takes one message.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case lookMsg:
		return m, look()
	case tea.KeyMsg:
		if msg.Type == tea.KeyCtrlC {
			return m, tea.Quit
		}
		for _, r := range msg.Runes {
			var quit bool
			if m, quit = m.press(r); quit {
				return m, tea.Quit
			}
		}
	}
	return m, nil
}

// press does what a key does.
func (m Model) press(r rune) (next Model, quit bool) {
	if m.leaving {
		m.leaving, m.notice = false, ""
		return m, r == 'y'
	}
	v := m.opt.Valves
	switch r {
	case 'o':
		m.notice = v.Open()
	case 'c':
		m.notice = v.Close()
	case 'x':
		m.notice = v.Shut()
	case 'v':
		m.notice = v.Vent()
	case 'q':
		if m.opt.Gauge().PressurePa <= emptyPa {
			return m, true
		}
		m.leaving, m.notice = true, "The pretended vessel is under pressure. End all the same? y ends, any other key stays"
	default:
		m.notice = fmt.Sprintf("%q does nothing here.", r)
	}
	return m, false
}

// View draws it: a few lines, without taking the terminal over.
func (m Model) View() string {
	d := m.opt.Gauge()
	skins := make([]string, len(d.Skins))
	for i, s := range d.Skins {
		skins[i] = s.Station + " " + m.opt.Units.Temperature(s.K)
	}
	return strings.Join([]string{
		"",
		"  PRACTICE  an invented vessel, scene " + m.opt.Scene + "; watched at " + m.opt.At,
		"  time      " + quantity.Clock(d.TimeS),
		"  valves    " + m.opt.Valves.Standing(),
		"  gauge     " + m.opt.Units.Pressure(d.PressurePa),
		"  skin      " + strings.Join(skins, ", ") + "  by a pretended thermometer: call it out",
		"  o open a step  c close a step  x shut both  v vent a step  q end, and be told what was true",
		"  " + m.notice,
		"",
	}, "\n")
}

// Run shows it until the person ends it (nil) or ctx ends (its error). The
// terminal is restored in every case.
func Run(ctx context.Context, opt Options) error {
	if opt.Output == nil {
		opt.Output = os.Stdout
	}
	options := []tea.ProgramOption{tea.WithoutSignalHandler(), tea.WithOutput(opt.Output)}
	if opt.Input != nil {
		options = append(options, tea.WithInput(opt.Input))
	}
	err := program.Run(ctx, tea.NewProgram(NewModel(opt), options...))
	switch {
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case err != nil:
		return fmt.Errorf("the terminal failed: %w", err)
	}
	return nil
}
