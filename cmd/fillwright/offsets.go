package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/bath"
	"fillwright/internal/bench"
	"fillwright/internal/card"
	"fillwright/internal/logger"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/runlog"
	bathscreen "fillwright/internal/screen/bath"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
	"fillwright/internal/vessel"
)

type offsetsFlags struct {
	inputs
	port, tcp, replay, format, header string
	baud                              int
	demo, plain, ascii, show, dryRun  bool
	way, out, units, remark           string
	ask                               bench.Asked
	beside                            int
	channels                          []int
	second, vented                    bool
	reading                           string
	oldDays                           int
}

func offsetsCommand(t *terminal) *cobra.Command {
	var o offsetsFlags
	c := &cobra.Command{
		Use: "offsets", Short: "Finds what the sensors read too much, before a session",
		Long: `Finds what the sensors read too much by holding them against something known,
and writes it into an offsets file, which watch, replay and learn take off with
--offsets. Earlier offsets stay in the file as history.

Ways:  shade  all probes together in still shade, beside one thermometer
       ice    in melting ice
       steam  in steam; --reference is the air pressure (not reduced to sea
              level) or the altitude
       bath   in a stirred bath; --reference is its temperature
       zero   the vessel vented: zero of the pressure sensor
       span   at a steady pressure against a gauge; a check, corrects nothing
Two points, such as ice and then steam with --second, give offset and gain.`,
		Example: "  fillwright offsets --demo\n" +
			"  fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --way shade\n" +
			"  fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --way steam --reference \"1002 hPa\" --plain\n" +
			"  fillwright offsets --show",
		Args: wanted(0, 0, "options only", "fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --way shade"),
		RunE: func(c *cobra.Command, _ []string) error { return t.offsets(c.Context(), &o) },
	}
	o.vesselFlag(c, "profile of the vessel")
	o.flags(c)
	return c
}

func (o *offsetsFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.port, "port", "", "serial `port` of the logger (see: fillwright ports)")
	f.StringVar(&o.tcp, "tcp", "", "`host:port` of a logger on the network")
	f.StringVar(&o.replay, "replay", "", "a recording instead of a logger: run log or capture (`file`)")
	f.BoolVar(&o.demo, "demo", false, "an invented bench instead of a logger")
	f.IntVar(&o.baud, "baud", logger.BaudDefault, "speed of the serial port")
	f.StringVar(&o.format, "format", "auto", "how the logger speaks: auto, frames or lines")
	f.StringVar(&o.header, "header", "", "header of a logger that prints lines without one")
	f.StringVar(&o.way, "way", "shade", "how: "+bath.WayList())
	f.StringVar(&o.ask.Reference, "reference", "", "what the reference reads, such as \"21.3 °C\"; steam: \"1002 hPa\" or \"250 m\"; span: \"40 bar\"")
	f.StringVar(&o.ask.Accuracy, "accuracy", "", "how far the reference may be off, such as \"0.2 °C\"")
	f.IntVar(&o.beside, "beside", -1, "`channel` of a trusted thermometer beside the probes, with the way shade")
	f.IntSliceVar(&o.channels, "channel", nil, "only these channels of the logger")
	f.BoolVar(&o.second, "second", false, "join with the point in the file: offset and gain")
	f.BoolVar(&o.vented, "vented", false, "the vessel is vented, I have looked; for the way zero")
	f.StringVar(&o.reading, "reading", "", "the sensor's reading retyped, where gas may be trapped; for the way zero")
	f.StringVar(&o.remark, "remark", "", "remark for the record")
	f.StringVar(&o.out, "out", "", "offsets `file` to read and to write (offsets.toml)")
	f.BoolVar(&o.dryRun, "dry-run", false, "write nothing")
	f.BoolVar(&o.plain, "plain", false, "lines instead of the screen; writes at the end without asking")
	f.BoolVar(&o.show, "show", false, "print each sensor's history and trend, and end")
	f.IntVar(&o.oldDays, "old", card.AgeMostDays, "age in `days` from which an offset counts as old, with --show")
	f.BoolVar(&o.ascii, "ascii", false, "draw with ASCII only")
	f.StringVar(&o.units, "units", "bar", "units of the screen: bar, psi or kPa")
}

// check refuses what can't be meant.
func (o *offsetsFlags) check() error {
	n := 0
	for _, given := range []bool{o.port != "", o.tcp != "", o.replay != "", o.demo} {
		if given {
			n++
		}
	}
	switch {
	case n == 0:
		return usage("offsets needs to know where the logger is").hint(
			"give --port /dev/ttyUSB0 or --tcp host:port; for the list of ports type: fillwright ports",
			"without a logger there are --replay FILE and --demo; to see the history: fillwright offsets --show")
	case n > 1:
		return usage("--port, --tcp, --replay and --demo exclude each other").hint("give one of them")
	case o.demo && o.vesselFile != "":
		return usage("the demo brings its own invented vessel; --vessel does not go with --demo").hint("leave one of them out")
	case (o.port != "" || o.tcp != "") && o.vesselFile == "":
		return usage("offsets needs the profile of the vessel, for its channels").hint(
			"give it: --vessel vessel.toml", "to write one type: fillwright profile new vessel.toml")
	}
	return checkBaud(o.baud)
}

func (t *terminal) offsets(ctx context.Context, o *offsetsFlags) error {
	units, err := quantity.ParseSystem(o.units)
	if err != nil {
		return err
	}
	if o.out == "" {
		if o.out = "offsets.toml"; o.demo {
			o.out = "offsets-invented.toml"
		}
	}
	if err := o.load(); err != nil {
		return err
	}
	if o.show {
		return t.showCard(o)
	}
	if err := o.check(); err != nil {
		return err
	}
	way, err := bath.ParseWay(o.way)
	if err != nil {
		return usage("%s", err)
	}
	onScreen := !o.plain && o.replay == "" && program.IsTerminal()
	if prompt, example := bench.Prompt(way); !onScreen && prompt != "" && o.ask.Reference == "" && o.beside < 0 {
		return usage("the way %s needs --reference: %s", way, prompt).hint(fmt.Sprintf("give for example: --reference %q", example))
	}
	o.ask.Reference = bench.WithUnit(way, o.ask.Reference, units, false)
	o.ask.Accuracy = bench.WithUnit(way, o.ask.Accuracy, units, true)
	o.reading = bench.WithUnit(way, o.reading, units, false)
	cfg := bench.Config{Way: way, Ask: o.ask, Beside: o.beside, Channels: o.channels, Second: o.second}
	if cfg.Card, err = readCard(o.out); err != nil {
		return err
	}
	open := o.openLive
	if o.replay != "" {
		open = o.openReplay
	}
	b, ended, err := open(ctx, t, cfg)
	if err != nil {
		return err
	}
	if onScreen {
		err = beside(ctx, b.Run, func(ctx context.Context) error {
			return bathscreen.Run(ctx, b, bathscreen.Options{Units: units, ASCII: o.ascii || canvas.WantsASCII(os.Getenv),
				Colours: canvas.DepthOf(os.Getenv) == canvas.DepthColour, Styles: canvas.DepthOf(os.Getenv) != canvas.DepthNone})
		})
	} else {
		err = t.offsetsAsLines(ctx, b, o, units)
	}
	return errors.Join(err, ended())
}

// readCard reads the offsets file. What is wrong with it is the file's fault.
func readCard(file string) (*card.Card, error) {
	c, err := card.Read(file)
	var bad *card.FileError
	if errors.As(err, &bad) {
		return nil, &runlog.FileError{File: bad.File, What: bad.What, Do: bad.Do, Err: bad.Err}
	}
	return c, err
}

// showCard prints the sensor card.
func (t *terminal) showCard(o *offsetsFlags) error {
	if _, err := os.Stat(o.out); err != nil {
		return &runlog.FileError{File: o.out, What: "can't be read", Err: errors.Unwrap(err), Do: "name the offsets file: --out FILE; to make one: fillwright offsets --port …"}
	}
	c, err := readCard(o.out)
	if err != nil {
		return err
	}
	p := card.Picture{Width: 100, ASCII: o.ascii || canvas.WantsASCII(os.Getenv), Now: time.Now(), Days: o.oldDays}
	if o.profile != nil {
		p.Naming = func(channel int) string { return channelName(o.profile, channel) }
	}
	_, err = fmt.Fprint(t.out, p.Draw(c.Offsets))
	return err
}

func channelName(p *vessel.Profile, channel int) string {
	c, ok := p.ChannelAt(channel)
	if !ok {
		return ""
	}
	if c.Station != "" {
		return string(c.Role) + " " + c.Station
	}
	return string(c.Role)
}

// tellOffsets says which offsets are taken off and how old they are.
func (t *terminal) tellOffsets(in *inputs) {
	lines, _ := card.Describe(in.offsets, time.Now(), in.offsetsDays)
	for _, l := range lines {
		t.note("%s: %s", filepath.Base(in.offsetsFile), l)
	}
}

// tellChanges says what the named offsets change against those of a recording.
func (t *terminal) tellChanges(rec *recording) error {
	if rec.given.offsets != nil {
		t.tellOffsets(rec.given)
	}
	text := rec.reader.Texts().Offsets
	if rec.given.offsets == nil || text == "" {
		for _, l := range card.Changes(nil, rec.offsets) {
			t.note("offsets taken off: %s", l)
		}
		return nil
	}
	before, err := probe.ParseOffsets(rec.reader.Name()+" (recorded offsets)", []byte(text))
	if err != nil {
		return err
	}
	lines := card.Changes(before, rec.offsets)
	for _, l := range lines {
		t.note("offsets changed against the recording: %s", l)
	}
	if len(lines) == 0 {
		t.note("the named offsets are those of the recording")
	}
	return nil
}
