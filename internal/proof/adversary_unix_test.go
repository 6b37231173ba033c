//go:build unix

package proof

import (
	"testing"

	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"

	"fillwright/internal/logger"
)

// The same lies through a pseudo-terminal, as a board on USB would tell them.
func TestAdversaryOverPTY(t *testing.T) {
	for _, lie := range lies() {
		t.Run(lie.name, func(t *testing.T) {
			t.Parallel()
			master, slave, err := pty.Open()
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = master.Close() }) // ends what reads it
			if _, err := term.MakeRaw(slave.Fd()); err != nil {
				t.Fatal(err)
			}
			// Held open, so that the host's closing is no hang-up for the liar.
			t.Cleanup(func() { _ = slave.Close() })
			pretend(t, lie, logger.NewSerial(slave.Name(), 115200), master)
		})
	}
}
