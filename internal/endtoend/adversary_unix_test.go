//go:build unix

package endtoend

import (
	"io"
	"testing"

	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"

	"fillwright/internal/logger"
	"fillwright/internal/must"
)

// The same lies through a pseudo-terminal, as a board on USB would tell them.
func TestAdversaryOverPTY(t *testing.T) {
	tellAll(t, func(t *testing.T) (logger.Opener, io.ReadWriter) {
		master, slave, err := pty.Open()
		must.Do(t, err)
		t.Cleanup(func() { _ = master.Close() }) // ends what reads it
		if _, err := term.MakeRaw(slave.Fd()); err != nil {
			t.Fatal(err)
		}
		// Held open, so that the host's closing is no hang-up for the liar.
		t.Cleanup(func() { _ = slave.Close() })
		return logger.NewSerial(slave.Name(), 115200), master
	})
}
