package session

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fillwright/internal/logger"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// The log starts with what was in force, in parts that a frame takes, and the
// texts come back whole.
func TestStartHoldsWhatWasInForce(t *testing.T) {
	profile := bytes.Repeat([]byte("# an invented vessel\n"), 100)
	model := bytes.Repeat([]byte("m"), 2*wire.TextPartMost)
	r := newRig(t, func(c *Config) { c.Texts = wire.Texts{Profile: string(profile), Model: string(model)} }).run()
	r.clock.pass(t, tickEvery)
	must.Do(t, r.end())
	got := r.log.frames()
	var start wire.LogStart
	err := wire.ParseLogStart(got[0].Body, &start)
	must.Need(t, err == nil && start.UnixMS == newHandClock().now.UnixMilli(), "start %+v, %v", start, err)
	texts := map[wire.TextKind][]byte{}
	for _, f := range got[1 : len(got)-1] {
		var part wire.Text
		must.Do(t, wire.ParseText(f.Body, &part))
		must.Be(t, len(part.Data) <= wire.TextPartMost, "a part of %d bytes", len(part.Data))
		texts[part.Kind] = append(texts[part.Kind], part.Data...)
	}
	want := map[wire.TextKind][]byte{wire.TextProfile: profile, wire.TextModel: model}
	d := cmp.Diff(want, texts)
	must.Be(t, d == "", "%v", d)
	last := got[len(got)-1]
	must.Be(t, last.Type == wire.TypeClock, "no clock after the texts: %s", types(got))
	must.Be(t, r.log.closed && r.cable.closed, "log or cable left open")
}

// A log that has written the start itself gets it once, and the stepper too.
func TestStartLoggedByTheLog(t *testing.T) {
	start := wire.LogStart{Version: wire.Version, UnixMS: 12345, App: wire.MakeLabel("1.0")}
	r := newRig(t, func(c *Config) { c.Start, c.StartLogged = start, true })
	r.log.kept = wire.AppendLogStart(nil, 0, start)
	r.run()
	r.clock.pass(t, tickEvery)
	must.Do(t, r.end())
	wantSame(t, r.stepper.got(), r.log.frames())
}

// When the stepper gets an input the log has been given it already: it gets
// there though the loop stands still in the step.
func TestLogBeforeStep(t *testing.T) {
	r := newRig(t, nil)
	steps := 0
	r.stepper.before = func(f wire.Frame) {
		steps++
		for stop := time.Now().Add(patience); len(r.log.frames()) < steps; time.Sleep(50 * time.Microsecond) {
			if time.Now().After(stop) {
				t.Errorf("step %d, type %02x: used before it was recorded", steps, uint8(f.Type))
				return
			}
		}
		kept := r.log.frames()[steps-1]
		must.Be(t, kept.Type == f.Type && kept.Seq == f.Seq && bytes.Equal(kept.Body, f.Body),
			"step %d: type %02x, in the log type %02x", steps, uint8(f.Type), uint8(kept.Type))
	}
	r.run()
	r.cable.bytes(append(hello(), sample(1)...))
	for i := range 20 {
		r.cable.bytes(sample(uint8(2 + i)))
		r.clock.pass(t, 3*tickEvery)
		r.cable.say(logger.Event{Kind: logger.Up, Text: "up"})
		must.Do(t, r.s.Entry(wire.Entry{Kind: wire.EntryUndo}))
		r.clock.pass(t, 6*tickEvery)
	}
	must.Do(t, r.end())
	must.Be(t, steps >= 80, "only %d steps", steps)
}

// Silence is told 250 ms after the last good frame and every 250 ms from
// then, with its age, also before the first frame; rubbish is silence.
func TestSilenceCadence(t *testing.T) {
	r := newRig(t, nil).run()
	ages := func() (ages []uint32) {
		for _, f := range r.stepper.of(wire.TypeSilence) {
			var s wire.Silence
			must.Do(t, wire.ParseSilence(f.Body, &s))
			ages = append(ages, s.AgeMS)
		}
		return ages
	}
	r.clock.pass(t, time.Second)
	r.cable.bytes(hello())
	r.clock.pass(t, 200*time.Millisecond)
	r.cable.bytes(sample(1))
	r.clock.pass(t, 200*time.Millisecond)
	r.cable.bytes([]byte("\x05rubbish\x00"))
	r.clock.pass(t, 350*time.Millisecond)
	r.cable.bytes(sample(2))
	r.clock.pass(t, 200*time.Millisecond)
	must.Do(t, r.end())
	d := cmp.Diff([]uint32{250, 500, 750, 1000, 250, 500}, ages())
	must.Be(t, d == "", "%v", d)
}

// The time of day is recorded each minute.
func TestClockEachMinute(t *testing.T) {
	r := newRig(t, nil).run()
	r.clock.pass(t, 3*time.Minute+time.Second)
	must.Do(t, r.end())
	var got []int64
	for _, f := range r.stepper.of(wire.TypeClock) {
		var c wire.Clock
		must.Do(t, wire.ParseClock(f.Body, &c))
		got = append(got, c.UnixMS-newHandClock().now.UnixMilli())
	}
	d := cmp.Diff([]int64{0, 60000, 120000, 180000}, got)
	must.Be(t, d == "", "%v", d)
}

// The cable's ups and downs become inputs; halves of frames on both sides of
// a gap are not joined; the logger is asked again until its hello comes.
func TestReconnect(t *testing.T) {
	r := newRig(t, nil).run()
	r.cable.say(logger.Event{Kind: logger.Up, Text: "ttyUSB0 is open"})
	r.clock.pass(t, 30*time.Second)
	must.Soon(t, "asked as often as allowed", func() bool { return r.cable.sends() == asksMost })
	r.cable.bytes(hello())
	r.cable.bytes(sample(1)[:5])
	r.cable.say(logger.Event{Kind: logger.Down, Text: "ttyUSB0 is gone"})
	r.cable.say(logger.Event{Kind: logger.Trouble, Text: "still gone"})
	r.cable.say(logger.Event{Kind: logger.Up, Text: "ttyUSB0 is open"})
	r.cable.bytes(append(sample(9)[5:], helloSeq(1)...))
	r.cable.bytes(sample(2))
	r.clock.pass(t, 30*time.Second)
	n := r.cable.sends()
	must.Be(t, n == asksMost, "asked %d times, a hello had come", n)
	must.Do(t, r.end())
	var links []string
	for _, f := range r.stepper.of(wire.TypeLink) {
		l := parseLink(t, f)
		links = append(links, fmt.Sprint(l.State, " ", l.Text))
	}
	want := []string{"1 ttyUSB0 is open", "2 ttyUSB0 is gone", "2 still gone", "1 ttyUSB0 is open"}
	d := cmp.Diff(want, links)
	must.Be(t, d == "", "%v", d)
	samples := r.stepper.of(wire.TypeSample)
	must.Be(t, len(samples) == 1 && samples[0].Seq == 2, "samples %s", types(samples))
}

// A logger can't act for the operator: the host's frames are not taken from
// the cable.
func TestHostFramesFromCableAreRefused(t *testing.T) {
	r := newRig(t, nil).run()
	r.cable.bytes(hello())
	for range 5 {
		r.cable.bytes(wire.AppendEntry(nil, 3, wire.Entry{Kind: wire.EntryAcknowledge}))
		r.cable.bytes(wire.AppendAskHello(nil, 4))
	}
	r.clock.pass(t, 2*time.Second)
	must.Do(t, r.end())
	got := r.stepper.of(wire.TypeEntry)
	must.Be(t, len(got) == 0, "%d entries taken from the cable", len(got))
	links := r.stepper.of(wire.TypeLink)
	must.Be(t, len(links) == 1 && strings.Contains(parseLink(t, links[0]).Text, "0x83"), "told %d times", len(links))
}

// Repeated troubles become one line a second at most, and the newest is not
// lost.
func TestTroublesAreLimited(t *testing.T) {
	r := newRig(t, nil).run()
	for i := range 100 {
		r.cable.say(logger.Event{Kind: logger.Trouble, Text: fmt.Sprintf("overrun %d", i)})
	}
	r.clock.pass(t, 5*time.Second)
	must.Do(t, r.end())
	links := r.stepper.of(wire.TypeLink)
	must.Be(t, len(links) == 2 && parseLink(t, links[1]).Text == "overrun 99", "%d lines", len(links))
}

// Before the first input no number is shown as known.
func TestUnknownIsUnknown(t *testing.T) {
	known := map[string]bool{"TimeS": true, "PhaseSince": true,
		"Advice.Then.RampPaS": true, "Advice.Then.FromPa": true} // 0: no change of ramp
	var look func(path string, v reflect.Value)
	look = func(path string, v reflect.Value) {
		switch v.Kind() {
		case reflect.Float64:
			must.Be(t, math.IsNaN(v.Float()) || known[path], "%s is %v", path, v.Float())
		case reflect.Struct:
			for i := range v.NumField() {
				look(strings.TrimPrefix(path+"."+v.Type().Field(i).Name, "."), v.Field(i))
			}
		}
	}
	s := monitor.Unknown()
	look("", reflect.ValueOf(s))
	must.Be(t, s.Hottest == -1 && !s.Link.Up, "hottest %d, link up %v", s.Hottest, s.Link.Up)
}

func TestNewRefuses(t *testing.T) {
	_, err := New(Config{})
	must.Be(t, err != nil, "nothing given, no error")
	r := newRig(t, nil)
	cfg := r.s.cfg
	cfg.Texts.Profile = strings.Repeat("#", wire.TextMost+1)
	must.Refuse(t, must.Err(New(cfg)), "profile")
	r.run()
	r.clock.pass(t, tickEvery)
	must.Do(t, r.end())
	must.Refuse(t, r.s.Run(t.Context()), "twice")
	err = r.s.Entry(wire.Entry{Kind: wire.EntryMark})
	must.Be(t, errors.Is(err, ErrEnded), "Entry after the end: %v", err)
}
