package program

import (
	"context"
	"errors"
	"io"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fillwright/internal/must"
)

// model says when it runs, and hangs in its first update if it is told to.
type model struct {
	runs chan struct{}
	hang chan struct{} // nil: it never hangs
}

func (m model) Init() tea.Cmd { return func() tea.Msg { return struct{}{} } }

func (m model) Update(tea.Msg) (tea.Model, tea.Cmd) {
	select {
	case <-m.runs:
	default:
		close(m.runs)
		if m.hang != nil {
			<-m.hang
		}
	}
	return m, nil
}

func (m model) View() string { return "" }

// run runs m and ends its context as soon as it runs.
func run(t *testing.T, m model) error {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	in, out := io.Pipe()
	t.Cleanup(func() { _ = out.Close() })
	go func() {
		<-m.runs
		cancel()
		if m.hang != nil {
			time.Sleep(quitMost + quitMost/2)
			close(m.hang)
		}
	}()
	return Run(ctx, tea.NewProgram(m, tea.WithInput(in), tea.WithOutput(io.Discard), tea.WithoutSignalHandler()))
}

func TestContextQuits(t *testing.T) {
	err := run(t, model{runs: make(chan struct{})})
	must.Be(t, err == nil, "the end of the context is no failure of the program: %v", err)
}

func TestHungProgramIsKilled(t *testing.T) {
	err := run(t, model{runs: make(chan struct{}), hang: make(chan struct{})})
	must.Be(t, errors.Is(err, tea.ErrProgramKilled), "got %v, want %v", err, tea.ErrProgramKilled)
}
