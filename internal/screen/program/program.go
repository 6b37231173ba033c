// Package program runs a terminal program and ends it in order.
package program

import (
	"context"
	"io"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// quitMost is how long a program that was told to quit has for it. One that
// hangs longer is killed, so that the end of ctx always ends the screen.
const quitMost = time.Second

// SleepRefused tells the program that somebody outside wanted to put it to
// sleep. It was not: a vessel is being watched.
type SleepRefused struct{}

// Awake tells the program that it was stopped and goes on, and that input and
// mode of the terminal are set up anew: nothing that it drew is there any more.
type Awake struct{ Err error }

// Run runs p, made without tea.WithContext, until it quits or ctx ends. A
// context that p itself knows would kill it, and a killed program closes its
// input while the goroutine that reads it still does (Bubble Tea 1.3.10,
// Program.shutdown): a data race.
func Run(ctx context.Context, p *tea.Program) error {
	done := make(chan struct{})
	defer close(done)
	stop := context.AfterFunc(ctx, func() {
		go p.Quit() // waits for its turn; nothing is left of it once p has ended
		select {
		case <-done:
		case <-time.After(quitMost):
			p.Kill()
		}
	})
	defer stop()
	defer onSleep(done, func() { p.Send(SleepRefused{}) }, func() { p.Send(setUpAnew()) })()
	_, err := p.Run()
	return err
}

// setUpAnew makes p let go of the terminal and take it again, in p's own
// goroutine: whoever had the terminal meanwhile has left it in another mode.
func setUpAnew() tea.Msg {
	return tea.Exec(nothing{}, func(err error) tea.Msg { return Awake{err} })()
}

// nothing is run between the two.
type nothing struct{}

func (nothing) Run() error          { return nil }
func (nothing) SetStdin(io.Reader)  {}
func (nothing) SetStdout(io.Writer) {}
func (nothing) SetStderr(io.Writer) {}
