package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"fillwright/internal/calibrate"
	calrun "fillwright/internal/calibrate/run"
	"fillwright/internal/fault"
	"fillwright/internal/logger"
	"fillwright/internal/mimic"
	"fillwright/internal/mimic/port"
	"fillwright/internal/quantity"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// openLive opens the logger, or the demo's. The Run closes the cable.
func (o *offsetsFlags) openLive(ctx context.Context, t *terminal, cfg calrun.Config) (*calrun.Run, func() error, error) {
	decoder, err := o.decoder()
	if err != nil {
		return nil, nil, err
	}
	ended, opener := func() error { return nil }, o.opener()
	if o.demo {
		at, stop, err := o.startBench(ctx, cfg.Method)
		if err != nil {
			return nil, nil, err
		}
		t.note("%s; it goes into %s, which is worth nothing", demoMark, o.out)
		ended, opener, cfg.Pretence = stop, openerAt(at, o.baud), demoName
	}
	cable, err := logger.Open(ctx, logger.Config{Opener: opener, Hello: wire.AppendAskHello(nil, 0)})
	if err != nil {
		return nil, nil, errors.Join(err, ended())
	}
	cfg.Profile, cfg.Cable, cfg.Decoder = o.profile, cable, decoder
	b, err := calrun.New(cfg)
	if err != nil {
		return nil, nil, errors.Join(usage("%s", err), cable.Close(), ended())
	}
	return b, ended, nil
}

// startBench starts an invented bench.
func (o *offsetsFlags) startBench(ctx context.Context, m calibrate.Method) (at port.Place, stop func() error, err error) {
	w := watchFlags{}
	if err := w.demoProfile(); err != nil {
		return at, nil, err
	}
	o.profile = w.profile
	d, err := mimic.NewDevice(o.profile, inventedBench(m), mimic.Options{Seed: 1, WaitForHost: true})
	if err != nil {
		return at, nil, err
	}
	ctx, cancel := context.WithCancel(ctx)
	at, wait, err := port.Here(ctx, d)
	if err != nil {
		cancel()
		return at, nil, err
	}
	return at, func() error { cancel(); return ended(wait()) }, nil
}

// inventedBench is the demo: a gas probe that is 6 K off and a wall probe with
// a bad contact. In the shade the invented thermometer reads 21.3 °C.
func inventedBench(m calibrate.Method) mimic.Scene {
	b := mimic.Bath{TempK: 294.45, FromK: 297.15, LagS: 20, Bad: 3, NoiseK: 4}
	switch m {
	case calibrate.MethodIce:
		b.TempK = 273.15
	case calibrate.MethodSteam:
		b.TempK = calibrate.BoilingK(101325)
	case calibrate.MethodBath:
		b.TempK = 313.15
	}
	return mimic.Bench(b, [vessel.ChannelsMost]float64{1: 6, 2: -0.8, 3: 0.4, 5: 0.3})
}

// openReplay takes a recording in the logger's place.
func (o *offsetsFlags) openReplay(_ context.Context, t *terminal, cfg calrun.Config) (*calrun.Run, func() error, error) {
	rec, err := openRecording(o.replay, &o.inputs)
	if err != nil {
		return nil, nil, err
	}
	rec.tell(t)
	if rec.reader.Kind() == runlog.FileCSV {
		return nil, nil, errors.Join(usage("%s is a CSV file: its values are finished, and offsets are found from raw ones", o.replay).
			hint("give a run log or a capture of the port"), rec.reader.Close())
	}
	cfg.Profile, cfg.Source = rec.profile, rec.reader
	b, err := calrun.New(cfg)
	if err != nil {
		return nil, nil, errors.Join(usage("%s", err), rec.reader.Close())
	}
	return b, rec.reader.Close, nil
}

// lineEveryS is how often plain output says how it stands.
const lineEveryS = 5

// How an offsets command ends that has found nothing to use.
var (
	errNothingFound = errors.New("no offset was found; the lines above say why")
	errDisagree     = errors.New("the span check has not passed; the lines above say why")
)

// offsetsAsLines prints lines until every sensor is done, then writes.
func (t *terminal) offsetsAsLines(ctx context.Context, r *calrun.Run, o *offsetsFlags, units quantity.System) error {
	ctx, stop := untilSignal(ctx)
	defer stop()
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- fault.Guard("the calibration", func() error { return r.Run(ctx) }) }()
	v := r.Latest()
	if _, err := fmt.Fprintf(t.out, "%s. %s\n", v.Method.Name(), v.Method.Needs()); err != nil {
		return err
	}
	last, link := math.Inf(-1), ""
	var runErr error
	for running := true; running && !r.Latest().Done; {
		select {
		case runErr = <-done:
			running = false
			done <- nil
		case <-r.Notify():
		}
		if v = r.Latest(); v.Link != link && v.Link != "" {
			t.note("%s", v.Link)
		}
		link = v.Link
		if o.replay == "" && v.ElapsedS-last >= lineEveryS {
			last = v.ElapsedS
			if _, err := fmt.Fprintln(t.out, standing(&v, units)); err != nil {
				return err
			}
		}
	}
	interrupted := ctx.Err() != nil
	cancel()
	if err := errors.Join(runErr, <-done); err != nil || interrupted {
		return err
	}
	return t.offsetsFound(r, o, units)
}

// standing is one line of how far the sensors have come.
func standing(v *calrun.View, units quantity.System) string {
	s := quantity.Clock(v.ElapsedS)
	for i := range v.Probes {
		p := &v.Probes[i]
		value := units.Temperature(p.Reading.Value)
		if v.Method.Pressure() {
			value = units.Pressure(p.Reading.Value)
		}
		s += fmt.Sprintf("; channel %d %s %s", p.Reading.Channel, value, p.State)
	}
	return s
}

// offsetsFound prints what was found and writes it.
func (t *terminal) offsetsFound(r *calrun.Run, o *offsetsFlags, units quantity.System) error {
	v := r.Latest()
	if _, err := fmt.Fprintf(t.out, "reference: %s\n", v.Reference); err != nil {
		return err
	}
	taken := 0
	for i := range v.Results {
		if v.Results[i].Refused == "" {
			taken++
		}
		if _, err := fmt.Fprintln(t.out, strings.Join(calrun.Lines(&v.Results[i], units), "\n  ")); err != nil {
			return err
		}
	}
	none := errNothingFound
	if v.Method == calibrate.MethodSpan {
		none = errDisagree
	}
	switch {
	case taken == 0 && v.Method != calibrate.MethodSpan:
		return none
	case o.dryRun:
		t.note("nothing was written, as --dry-run says")
		if taken == 0 {
			return none
		}
		return nil
	}
	said, err := r.Take(o.consent)
	if said != "" {
		t.note("%s", said)
	}
	if err != nil && v.Method == calibrate.MethodZero {
		return fmt.Errorf("%w\n  when you have looked: --vented; with gas possibly trapped also --reading \"1.2 bar\", what the sensor reads", err)
	}
	if err == nil && taken == 0 {
		return none
	}
	return err
}
