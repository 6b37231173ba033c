package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/lines"
	"fillwright/internal/quantity"
	"fillwright/internal/screen"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
	"fillwright/internal/wholefile"
	"fillwright/internal/wrongfile"
)

// output is how watch and replay show what they find.
type output struct {
	plain, json, ascii, silent bool
	every                      time.Duration
	look, units                string
}

func (o *output) flags(c *cobra.Command) {
	f := c.Flags()
	f.BoolVar(&o.plain, "plain", false, "one line a second instead of the screen; alarms have lines at once")
	f.BoolVar(&o.json, "json", false, "one JSON object a line: one for each sample, or as --every says")
	lapseVar(f, &o.every, "every", 0, "session `time` between lines, such as 1s (plain: 1s, JSON: every sample)")
	f.BoolVar(&o.ascii, "ascii", false, "draw with ASCII only")
	f.BoolVar(&o.silent, "silent", false, "no bell on a new abort")
	f.StringVar(&o.look, "look", "plain", "colours of the screen: plain, sun or night")
	f.StringVar(&o.units, "units", "bar", "units of screen and plain lines: bar, psi or kPa")
}

// onScreen says whether the screen is to be drawn: not when lines are asked
// for, and not without a terminal.
func (o *output) onScreen() bool { return !o.plain && !o.json && program.IsTerminal() }

// options turns the flags into what the screen wants.
func (o *output) options() (screen.Options, error) {
	var opt screen.Options
	if o.plain && o.json {
		return opt, usage("--plain and --json exclude each other").hint("give one of them")
	}
	if o.every < 0 {
		return opt, usage("--every %s is less than nothing", o.every).hint("give a time such as --every 1s")
	}
	units, err := quantity.ParseSystem(o.units)
	if err != nil {
		return opt, err
	}
	look, known := map[string]canvas.Look{"plain": canvas.LookPlain, "sun": canvas.LookSun, "night": canvas.LookNight}[o.look]
	if !known {
		return opt, usage("there is no look %q", o.look).hint("give --look plain, sun or night")
	}
	return screen.Options{Units: units, Look: look, Depth: canvas.DepthOf(os.Getenv),
		ASCII: o.ascii || canvas.WantsASCII(os.Getenv), Silent: o.silent}, nil
}

// lines turns the flags into the maker of lines.
func (o *output) lines(units quantity.System) *lines.Lines {
	l := &lines.Lines{JSON: o.json, EveryS: o.every.Seconds(), Units: units}
	if !o.json && o.every == 0 {
		l.EveryS = 1
	}
	return l
}

// mayReplace refuses to write over anything but what is read as the same sort of
// file, and that only with --force.
func mayReplace(path, what string, force bool, parse func(text []byte) error) error {
	if _, err := os.Stat(path); err != nil {
		return nil // nothing is there; what is wrong with the folder the writing will tell
	}
	if !force {
		return usage("%s is there already", path).hint("give --out another name, or --force to put the new " + what + " in its place")
	}
	text, err := read(path, "")
	if err == nil {
		err = parse([]byte(text))
	}
	if err != nil {
		return usage("%s is there already and is no %s that this program reads, so it is not replaced", path, what).
			hint("give --out another name, or move it away")
	}
	return nil
}

// show prints a result as text, or as JSON, a line.
func (t *terminal) show(asJSON bool, text string, inJSON func() ([]byte, error)) error {
	if asJSON {
		line, err := inJSON()
		if err != nil {
			return err
		}
		text = string(line) + "\n"
	}
	_, err := io.WriteString(t.out, text)
	return err
}

func thereAlready(path, do string) error {
	return &wrongfile.Error{File: path, What: "is there already and is not overwritten", Do: do}
}

// newFile makes a file that must not be there yet and has fill write it. When
// that fails the unfinished file is removed again.
func newFile(path string, fill func(io.Writer) error) error {
	err := wholefile.New(path, fill)
	var system *fs.PathError
	switch {
	case errors.Is(err, fs.ErrExist):
		return thereAlready(path, "give another name, or move it away")
	case errors.As(err, &system) && system.Op == "open":
		return &wrongfile.Error{File: path, What: "can't be made", Err: system.Err, Do: "check the folder and who may write there"}
	}
	return err
}
