package program

import (
	"os"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/mattn/go-isatty"
)

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
