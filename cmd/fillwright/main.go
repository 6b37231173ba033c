// Command fillwright watches the filling of a light composite pressure vessel
// and advises how fast to fill and when to stop. It advises: it never drives a
// valve, and it replaces no relief valve, no proof test and no distance.
//
// One file holds one command; what a command does lives in the packages below.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"fillwright/internal/fault"
	"fillwright/internal/plaintext"
)

// heapPercent lets rubbish grow to 16 MB between two collections: what is in use
// is a megabyte or two, and a collection at every four takes a sixth of a replay.
const heapPercent = 400

func main() {
	debug.SetGCPercent(heapPercent)
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// run carries out a command line and gives the exit code. Whatever panics, the
// person at the terminal gets a sentence. Nothing reaches the terminal but by
// the screen and by the two writers made here, which keep what stands in files
// and recordings from upsetting it.
func run(args []string, rawOut, rawErr io.Writer) (code int) {
	stdout, stderr := plaintext.NewWriter(rawOut), plaintext.NewWriter(rawErr)
	defer func() {
		if r := recover(); r != nil {
			code = report(stderr, fault.Of("the command", r))
		}
	}()
	root := newRoot(&terminal{out: stdout, err: stderr, rawOut: rawOut, rawErr: rawErr})
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(context.Background())
	return report(stderr, errors.Join(err, stdout.Close()))
}

// terminal is where a command prints: results on out, remarks on err.
type terminal struct {
	out, err io.Writer // cleaned
	// what these write to; the line of a running work goes there, since it moves
	// the cursor back
	rawOut, rawErr io.Writer

	running *progress // of the work under way; nil: none is told
}

// note prints a remark that is no result and no error.
func (t *terminal) note(format string, a ...any) {
	t.running.clear()
	// A remark that can't be printed has no better place to go.
	_, _ = fmt.Fprintf(t.err, "fillwright: "+format+"\n", a...)
}

const about = `fillwright watches the filling of a light composite pressure vessel: it reads
a USB logger, estimates the hottest part of the wall, looks ahead, advises a fill
rate and raises an abort alarm while stopping still helps.

It advises. It never drives a valve and replaces no relief valve, no proof test,
no distance and no range safety officer.

Begin with:  fillwright watch --demo
Exit codes:  0 done; 1 it failed; 2 the command line or a file is wrong;
             3 a replay raised an abort, or a plan is a no-go`

func newRoot(t *terminal) *cobra.Command {
	root := &cobra.Command{
		Use: "fillwright", Short: "Advises how fast to fill a composite pressure vessel", Long: about,
		Version:       version(),
		SilenceErrors: true, SilenceUsage: true,
		Args: unknownCommand,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetVersionTemplate("fillwright {{.Version}}\n")
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(wrongFlag)
	root.AddCommand(watchCommand(t), replayCommand(t), reviewCommand(t), learnCommand(t), importCommand(t), exportCommand(t),
		offsetsCommand(t), planCommand(t), bendCommand(t), mimicCommand(t), portsCommand(t), profileCommand(t), loggerCommand(t))
	return root
}

const release = "0.1.0"

// version is the release with the commit that it was built from, if known.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return release
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return release + " (" + s.Value[:12] + ")"
		}
	}
	return release
}

// wanted checks the number of file names on a command line.
func wanted(least, most int, what, example string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usage("%s needs %s", c.CommandPath(), what).hint("type for example: " + example)
		case most >= 0 && len(args) > most:
			return usage("%s takes %s; %q is too much", c.CommandPath(), what, strings.Join(args[most:], " ")).
				hint("type for example: " + example)
		}
		return nil
	}
}

// ended tells the ends that are no failure from those that are.
func ended(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
