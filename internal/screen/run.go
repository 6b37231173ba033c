// Package screen draws Snapshots on a terminal and turns keys into entries.
//
// The picture follows the operator's questions in their order: what must I do
// now and why, how close am I, where am I, what is the wall doing, what is
// ahead, can I trust it, what happened. Normal is plain (after ISA-101);
// colour (after IEC 60073) means that something wants the operator, and always
// comes with a word and a shape. Without a terminal there are PlainLine and
// AppendJSON.
package screen

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/mattn/go-isatty"

	_ "fillwright/internal/screen/early" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/program"
)

// SignalError says that a signal ended the screen. The terminal was restored.
type SignalError struct{ Signal os.Signal }

func (e *SignalError) Error() string { return "ended by the signal: " + e.Signal.String() }

// IsTerminal says whether both ends of the screen are a terminal. If not, the
// caller falls back to plain lines.
func IsTerminal() bool {
	return isTerminal(os.Stdin) && isTerminal(os.Stdout) && os.Getenv("TERM") != ""
}

func isTerminal(f *os.File) bool {
	return isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())
}

// Run shows the screen until the operator quits (nil), ctx ends (its error), a
// signal ends it (*SignalError) or the terminal fails. The terminal is restored
// in every case.
func Run(ctx context.Context, feed Feed, opt Options) error {
	if opt.Profile == nil {
		return errors.New("screen: no vessel profile was given")
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	if opt.Output == nil {
		opt.Output = os.Stdout
	}
	options := []tea.ProgramOption{tea.WithoutSignalHandler(), tea.WithFPS(1),
		tea.WithOutput(mute(opt.Output))}
	if opt.Input != nil {
		options = append(options, tea.WithInput(opt.Input))
	}
	stop := onSignal(cancel)
	defer stop()
	p := newPainter(opt.Output, func(err error) { cancel(fmt.Errorf("the terminal failed: %w", err)) })
	err := program.Run(ctx, tea.NewProgram(stage{NewModel(ctx, feed, opt), p}, options...))
	return runError(ctx, errors.Join(err, p.close()))
}

// runError tells the caller why the screen ended.
func runError(ctx context.Context, err error) error {
	var sig *SignalError
	switch cause := context.Cause(ctx); {
	case errors.As(cause, &sig):
		return sig
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
	signal.Notify(got, program.Ends()...)
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
