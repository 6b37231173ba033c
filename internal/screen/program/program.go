// Package program runs a terminal program and ends it in order.
package program

import (
	"context"
	"io"
	"os"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/mattn/go-isatty"
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

// Before the first size message a terminal is taken to be this large, in cells.
const FirstW, FirstH = 80, 24

// The largest picture that is drawn: a wall of screens in the smallest print.
// What a terminal says of itself may be anything.
const MostW, MostH = 1000, 400

// Window is the size of the picture in a window, in cells; the rest of it stays
// empty.
func Window(msg tea.WindowSizeMsg) (w, h int) {
	return min(max(msg.Width, 1), MostW), min(max(msg.Height, 1), MostH)
}

// IsTerminal says whether both ends of the screen are a terminal. If not, the
// caller falls back to plain lines.
func IsTerminal() bool {
	return isTerminal(os.Stdin) && isTerminal(os.Stdout) && os.Getenv("TERM") != ""
}

func isTerminal(f *os.File) bool {
	return isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd())
}

// Ends are the signals that ask the program to end, and those that end one
// which does not listen: with a terminal in raw mode each has to be heard. A
// fault of the processor in our own code is none of them: it is a panic.
func Ends() []os.Signal {
	return append([]os.Signal{os.Interrupt, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGQUIT, syscall.SIGABRT, syscall.SIGSEGV,
		syscall.SIGBUS, syscall.SIGFPE, syscall.SIGILL, syscall.SIGTRAP, syscall.SIGALRM}, moreEnds...)
}
