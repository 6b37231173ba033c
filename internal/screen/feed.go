// Package screen draws Snapshots on a terminal and turns keys into entries.
//
// The picture follows the operator's questions in their order: what must I do
// now and why, how close am I, where am I, what is the wall doing, what is
// ahead, can I trust it, what happened. Normal is plain (after ISA-101);
// colour (after IEC 60073) means that something wants the operator, and always
// comes with a word and a shape. Without a terminal there is package lines.
package screen

import (
	"context"
	"errors"
	"io"
	"os"

	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	_ "fillwright/internal/screen/background" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Feed is where Snapshots come from and where the operator's entries go. The
// screen only ever asks for the newest Snapshot: a slow terminal misses
// pictures, the monitoring misses nothing.
type Feed interface {
	// Latest returns the newest Snapshot. It must not wait for anything slow.
	Latest() monitor.Snapshot
	// Notify is ready when there is a newer Snapshot than the last one asked
	// for. Notices are coalesced: a channel with room for one.
	Notify() <-chan struct{}
	// Entry hands in something the operator did. It must not wait for the
	// monitoring; an error says why the entry was not taken.
	Entry(wire.Entry) error
}

// ReplayControl drives a replay. Its methods must not wait for the replay.
type ReplayControl interface {
	Pause(on bool)
	Speed(times float64)
	Step() // one input on, while paused
	Next() // as fast as it goes to the next event, then on as before
	Position() session.Position
}

// Valves are pretended valves that the operator of a practice turns by keys.
// Their methods must not wait; the words say why nothing was turned.
type Valves interface {
	Open() (refused string)  // the supply, a step
	Close() (refused string) // what is open, a step
	Shut() (refused string)  // both
	Vent() (refused string)  // the vent, a step
	Standing() string        // "supply 3/16"
	// Touch is what a thermometer held to a station's skin reads, K; NaN: nothing.
	Touch(station int) float64
}

// Second is the way to a watch elsewhere that a second screen follows. Nothing
// can be entered on it.
type Second interface {
	// LateS is how much later than it was recorded the newest Snapshot came; +Inf
	// while that is not known. It must not wait.
	LateS() float64
}

// Options is what the screen needs besides the feed. Only Profile is required.
type Options struct {
	Profile *vessel.Profile // limits, onset, reserve and station names
	Replay  ReplayControl   // nil: live
	Second  Second          // nil: this is no second screen
	Valves  Valves          // nil: no practice, the valves are real
	Planned *Planned        // nil: nothing was planned
	Units   quantity.System
	Look    canvas.Look
	Depth   canvas.Depth // how much the terminal can show; see DepthOf
	ASCII   bool         // draw with ASCII only
	Silent  bool         // no bell on a new abort
	// FramesPerS caps regular pictures; 0 means 3. A changed verdict or
	// alarm is drawn at once all the same.
	FramesPerS float64
	// Trail is fed with every Snapshot by the caller, so that the chart's past
	// has them all; nil: the screen keeps those that it draws.
	Trail *Trail

	Input  io.Reader // nil: the standard input
	Output io.Writer // nil: the standard output
}

// Run shows the screen until the operator quits (nil), ctx ends (its cause), a
// signal ends it (*program.SignalError) or the terminal fails. The terminal is restored
// in every case.
func Run(ctx context.Context, feed Feed, opt Options) error {
	if opt.Profile == nil {
		return errors.New("screen: no vessel profile was given")
	}
	if opt.Output == nil {
		opt.Output = os.Stdout
	}
	return program.Show(ctx, NewModel(ctx, feed, opt), opt.Input, opt.Output)
}
