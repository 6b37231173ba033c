package program

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"

	tea "github.com/charmbracelet/bubbletea"

	_ "fillwright/internal/screen/background" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/canvas"
)

// Scene is a Bubble Tea model that draws pictures of its own: its View is not
// asked.
type Scene interface {
	tea.Model
	// Frame is the picture of this moment. It must not fail. After Awake it must
	// be one that is drawn anew.
	Frame() *canvas.Frame
}

// SignalError says that a signal ended the screen. The terminal was restored.
type SignalError struct{ Signal os.Signal }

func (e *SignalError) Error() string { return "ended by the signal: " + e.Signal.String() }

// Show runs a Scene on a terminal until it quits (nil), ctx ends (its cause), a
// signal ends it (*SignalError) or the terminal fails. The terminal is restored
// in every case. in and out may be nil: the standard input and output.
func Show(ctx context.Context, s Scene, in io.Reader, out io.Writer) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	if out == nil {
		out = os.Stdout
	}
	options := []tea.ProgramOption{tea.WithoutSignalHandler(), tea.WithFPS(1), tea.WithOutput(mute(out))}
	if in != nil {
		options = append(options, tea.WithInput(in))
	}
	stop := onSignal(cancel)
	defer stop()
	p := canvas.NewPainter(out, func(err error) { cancel(fmt.Errorf("the terminal failed: %w", err)) })
	err := Run(ctx, tea.NewProgram(stage{s, p}, options...))
	return showError(ctx, errors.Join(err, p.Close()))
}

// showError tells the caller why the screen ended.
func showError(ctx context.Context, err error) error {
	switch cause := context.Cause(ctx); {
	case cause != nil:
		return cause
	case err != nil:
		return fmt.Errorf("the terminal failed: %w", err)
	}
	return nil
}

// onSignal ends the screen on whatever signal would kill the program: before
// the terminal is restored and before the log is closed.
func onSignal(cancel context.CancelCauseFunc) (stop func()) {
	got := make(chan os.Signal, 1)
	done := make(chan struct{})
	signal.Notify(got, Ends()...)
	go func() {
		select {
		case s := <-got:
			cancel(&SignalError{s})
		case <-done:
		}
	}()
	return func() {
		signal.Stop(got)
		close(done)
	}
}
