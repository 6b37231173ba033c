package screen

import (
	"context"
	"flag"
	"os"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

var update = flag.Bool("update", false, "write the golden files anew")

var testContext = context.Background()

// TestMain settles what would depend on the terminal of the tests.
func TestMain(m *testing.M) {
	if os.Getenv(childEnv) != "" {
		os.Exit(child())
	}
	flag.Parse()
	lipgloss.SetColorProfile(termenv.ANSI)
	os.Exit(m.Run())
}

// fakeFeed keeps what the screen hands in.
type fakeFeed struct {
	latest  monitor.Snapshot
	notify  chan struct{}
	entries []wire.Entry
	refuse  error
}

func newFakeFeed() *fakeFeed { return &fakeFeed{notify: make(chan struct{}, 1)} }

func (f *fakeFeed) Latest() monitor.Snapshot { return f.latest }
func (f *fakeFeed) Notify() <-chan struct{}  { return f.notify }
func (f *fakeFeed) Entry(e wire.Entry) error {
	if f.refuse != nil {
		return f.refuse
	}
	f.entries = append(f.entries, e)
	return nil
}
