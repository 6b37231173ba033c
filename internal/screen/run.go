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
	"os"

	_ "fillwright/internal/screen/background" // before Bubble Tea asks the terminal
	"fillwright/internal/screen/program"
)

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
