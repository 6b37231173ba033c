package screen

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"fillwright/internal/monitor"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
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

// childEnv makes the test binary act as a small program on a terminal of its own.
const childEnv = "FILLWRIGHT_SCREEN_CHILD"

// child is that program: "start" only starts and prints; a situation's name
// runs the screen on it. Look, size of steps and ASCII come from the arguments.
func child() int {
	what := os.Getenv(childEnv)
	if what == "start" {
		fmt.Println("started")
		return 0
	}
	for _, sit := range situations() {
		if sit.name == what {
			return runChild(sit)
		}
	}
	fmt.Println("no such situation:", what)
	return 2
}

func runChild(sit situation) int {
	feed := &movingFeed{sit: sit, notify: make(chan struct{}, 1)}
	opt := Options{Profile: plover(), Depth: canvas.DepthOf(os.Getenv), ASCII: os.Getenv("CHILD_ASCII") != ""}
	if n, err := strconv.Atoi(os.Getenv("CHILD_LOOK")); err == nil {
		opt.Look = canvas.Look(n)
	}
	if sit.replay != nil {
		opt.Replay = sit.replay
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go feed.run(ctx)
	err := Run(ctx, feed, opt)
	var sig *program.SignalError
	switch {
	case errors.As(err, &sig):
		fmt.Println("signal:", sig.Signal)
		return 3
	case err != nil:
		fmt.Println("error:", err)
		return 1
	}
	fmt.Println("quit")
	return 0
}

// movingFeed walks to the last moment of a situation at once, then keeps it,
// with new inputs 20 times a second.
type movingFeed struct {
	mu     sync.Mutex
	sit    situation
	at     float64 // session time, s
	more   uint64
	notify chan struct{}
}

func (f *movingFeed) run(ctx context.Context) {
	for ctx.Err() == nil {
		f.mu.Lock()
		if f.at < f.sit.atS {
			f.at++
		} else {
			f.more++
		}
		f.mu.Unlock()
		select {
		case f.notify <- struct{}{}:
		default:
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (f *movingFeed) Latest() monitor.Snapshot {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.sit.at(f.at)
	s.Seq += f.more
	return s
}
func (f *movingFeed) Notify() <-chan struct{} { return f.notify }
func (f *movingFeed) Entry(wire.Entry) error  { return nil }
