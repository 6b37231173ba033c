// Package program runs a terminal program and ends it in order.
package program

import (
	"context"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// quitMost is how long a program that was told to quit has for it. One that
// hangs longer is killed, so that the end of ctx always ends the screen.
const quitMost = time.Second

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
	_, err := p.Run()
	return err
}
