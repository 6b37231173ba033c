package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/calibrate"
	calrun "fillwright/internal/calibrate/run"
	"fillwright/internal/offsets"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/calibration"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/screen/program"
)

type offsetsFlags struct {
	inputs
	cable
	demo, plain, ascii, show, dryRun bool
	replay, method, out, units       string
	start                            calibrate.Config
	second                           bool
	consent                          calrun.Consent
}

func offsetsCommand(t *terminal) *cobra.Command {
	var o offsetsFlags
	c := &cobra.Command{
		Use: "offsets", Short: "Finds what the sensors read too much, before a session",
		Long: `Finds what the sensors read too much by holding them against something known,
and writes it into an offsets file, which watch, replay and learn take off with
--offsets. Earlier offsets stay in the file as history.

Methods:
       shade  all probes together in still shade, beside one thermometer
       ice    in melting ice
       steam  in steam; --reference is the air pressure (not reduced to sea
              level) or the altitude
       bath   in a stirred bath; --reference is its temperature
       zero   the vessel vented: zero of the pressure sensor
       span   at a steady pressure against a gauge; a check, corrects nothing
Two points, such as ice and then steam with --second, give offset and gain.`,
		Example: "  fillwright offsets --demo\n" +
			"  fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --method shade\n" +
			"  fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --method steam --reference \"1002 hPa\" --plain\n" +
			"  fillwright offsets --show",
		Args: wanted(0, 0, "options only", "fillwright offsets --port /dev/ttyUSB0 --vessel vessel.toml --method shade"),
		RunE: func(c *cobra.Command, _ []string) error { return t.offsets(c.Context(), &o) },
	}
	o.vesselFlag(c, "profile of the vessel")
	o.flags(c)
	return c
}

func (o *offsetsFlags) flags(c *cobra.Command) {
	o.cable.flags(c)
	o.formatFlag(c)
	f := c.Flags()
	f.StringVar(&o.replay, "replay", "", "a recording instead of a logger: run log or capture (`file`)")
	f.BoolVar(&o.demo, "demo", false, "an invented bench instead of a logger")
	f.StringVar(&o.method, "method", "shade", "how: "+calibrate.MethodList())
	f.StringVar(&o.start.Typed.Value, "reference", "", "what the reference reads, such as \"21.3 °C\"; steam: \"1002 hPa\" or \"250 m\"; span: \"40 bar\"")
	f.StringVar(&o.start.Typed.Accuracy, "accuracy", "", "how far the reference may be off, such as \"0.2 °C\"")
	f.IntVar(&o.start.Beside, "beside", -1, "`channel` of a trusted thermometer beside the probes, with the method shade")
	f.IntSliceVar(&o.start.Channels, "channel", nil, "only these channels of the logger")
	f.BoolVar(&o.second, "second", false, "join with the point in the file: offset and gain")
	f.BoolVar(&o.consent.Vented, "vented", false, "the vessel is vented, I have looked; for the method zero")
	f.StringVar(&o.consent.Retyped, "reading", "", "the sensor's reading retyped, where gas may be trapped; for the method zero")
	f.StringVar(&o.consent.Remark, "remark", "", "remark for the record")
	f.StringVar(&o.out, "out", "", "offsets `file` to read and to write (offsets.toml)")
	f.BoolVar(&o.dryRun, "dry-run", false, "write nothing")
	f.BoolVar(&o.plain, "plain", false, "lines instead of the screen; writes at the end without asking")
	f.BoolVar(&o.show, "show", false, "print each sensor's history and trend, and end")
	f.BoolVar(&o.ascii, "ascii", false, "draw with ASCII only")
	f.StringVar(&o.units, "units", "bar", "units of the screen: bar, psi or kPa")
}

// check refuses what can't be meant.
func (o *offsetsFlags) check() error {
	switch n := given(o.port != "", o.tcp != "", o.replay != "", o.demo); {
	case n == 0:
		return usage("offsets needs to know where the logger is").hint(
			"give --port /dev/ttyUSB0 or --tcp host:port; for the list of ports type: fillwright ports",
			"without a logger there are --replay FILE and --demo; to see the history: fillwright offsets --show")
	case n > 1:
		return usage("--port, --tcp, --replay and --demo exclude each other").hint("give one of them")
	case o.demo && o.vesselFile != "":
		return usage("the demo brings its own invented vessel; --vessel does not go with --demo").hint("leave one of them out")
	case (o.port != "" || o.tcp != "") && o.vesselFile == "":
		return needsVessel("offsets", ", for its channels")
	}
	return o.checkBaud()
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
		return t.showOffsets(o)
	}
	if err := o.check(); err != nil {
		return err
	}
	if o.start.Method, err = calibrate.ParseMethod(o.method); err != nil {
		return usage("%s", err)
	}
	m := o.start.Method
	if o.start.Beside >= 0 && m != calibrate.MethodShade {
		return usage("a thermometer beside the probes goes with the method shade only, and the method is %s", m)
	}
	onScreen := !o.plain && o.replay == "" && program.IsTerminal()
	if prompt, example := m.Asks(); !onScreen && prompt != "" && o.start.Typed.Value == "" && o.start.Beside < 0 {
		return usage("the method %s needs --reference: %s", m, prompt).hint(fmt.Sprintf("give for example: --reference %q", example))
	}
	o.start.Typed.Value = calibrate.WithUnit(m, o.start.Typed.Value, units, false)
	o.start.Typed.Accuracy = calibrate.WithUnit(m, o.start.Typed.Accuracy, units, true)
	o.consent.Retyped = calibrate.WithUnit(m, o.consent.Retyped, units, false)
	cfg := calrun.Config{Config: o.start, Second: o.second}
	if cfg.File, err = offsets.Read(o.out); err != nil {
		return err
	}
	open := o.openLive
	if o.replay != "" {
		open = o.openReplay
	}
	r, ended, err := open(ctx, t, cfg)
	if err != nil {
		return err
	}
	if onScreen {
		err = beside(ctx, r.Run, func(ctx context.Context) error {
			return calibration.Run(ctx, r, calibration.Options{Units: units, ASCII: o.ascii || canvas.WantsASCII(os.Getenv), Depth: canvas.DepthOf(os.Getenv)})
		})
	} else {
		err = t.offsetsAsLines(ctx, r, o, units)
	}
	return errors.Join(err, ended())
}

// showOffsets prints what is known of each sensor.
func (t *terminal) showOffsets(o *offsetsFlags) error {
	text, err := read(o.out, "name the offsets file: --out FILE; to make one: fillwright offsets --port …")
	if err != nil {
		return err
	}
	all, err := probe.ParseOffsets(o.out, []byte(text))
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(t.out, offsets.History(all, time.Now(), func(channel int) string {
		if o.profile == nil {
			return ""
		}
		c, _ := o.profile.ChannelAt(channel)
		return strings.TrimSpace(string(c.Role) + " " + c.Station)
	}))
	return err
}

// tellOffsets says which offsets are taken off and how old they are.
func (t *terminal) tellOffsets(in *inputs) {
	if in.offsets == nil {
		return
	}
	for _, l := range offsets.Describe(in.offsets, time.Now()) {
		t.note("%s: %s", filepath.Base(in.offsetsFile), l)
	}
}

// tellChanges says what the named offsets change against those of a recording.
func (t *terminal) tellChanges(rec *recording) error {
	t.tellOffsets(rec.given)
	text := rec.reader.Texts().Offsets
	if rec.given.offsets == nil || text == "" {
		for _, l := range offsets.Changes(nil, rec.offsets) {
			t.note("offsets taken off: %s", l)
		}
		return nil
	}
	before, err := probe.ParseOffsets(rec.reader.Name()+" (recorded offsets)", []byte(text))
	if err != nil {
		return err
	}
	lines := offsets.Changes(before, rec.offsets)
	for _, l := range lines {
		t.note("offsets changed against the recording: %s", l)
	}
	if len(lines) == 0 {
		t.note("the named offsets are those of the recording")
	}
	return nil
}
