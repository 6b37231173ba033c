// Package recording reads a logger's frames and the host's, live or recorded,
// in one way for whoever wants them: what was read and when, and which of the
// hand-held readings stand.
package recording

import (
	"fmt"
	"math"

	"fillwright/internal/clock"
	"fillwright/internal/probe"
	"fillwright/internal/wire"
)

// Playback takes frames in, one by one. The zero value is ready; with a Bank it
// keeps the sensors' present readings.
type Playback struct {
	Bank     *probe.Bank
	Time     clock.Timeline
	Hello    wire.Hello // the newest
	Greeted  bool       // there was one
	Stations int        // of the vessel: hand-held readings of others do not count
	sample   wire.Sample
	hand     Hand
}

// Heard is what one frame said. Nothing in it is of the frame's memory but the
// Entry's text.
type Heard struct {
	Type       wire.Type // 0: its body makes no sense, or it is of no kind that matters here
	Fresh      bool      // of a sample: with a new time, and fit for the hello
	TimeS      float64   // of a sample: session time
	First      bool      // of a hello: the first
	Restarted  bool      // … that the logger has started again, or is another
	OtherBoard bool      // … that it is another
	Changed    string    // … in words what makes it that of another logger, empty: nothing
	Problems   []error   // … channels of the profile that can't be read now
	Entry      wire.Entry
	Reading    int // of an entry: the hand-held reading that it is or takes back, counted from 0; -1: none
	Station    int // … and of which station
}

// Step takes one frame in.
func (p *Playback) Step(f wire.Frame) Heard {
	out := Heard{Type: f.Type, Reading: -1}
	ok := true
	switch f.Type {
	case wire.TypeLogStart:
		p.Time.Part()
		p.hand.forget() // the live session began anew too
	case wire.TypeHello:
		ok = p.hello(f.Body, &out)
	case wire.TypeSample:
		ok = p.readSample(f.Body, &out)
	case wire.TypeEntry:
		ok = p.entry(f.Body, &out)
	case wire.TypeFault:
		var v wire.Fault
		if ok = wire.ParseFault(f.Body, &v) == nil; ok && p.Bank != nil {
			p.Bank.Fault(&v)
		}
	case wire.TypeSilence:
		var v wire.Silence
		if ok = wire.ParseSilence(f.Body, &v) == nil; ok {
			p.Time.Silence(v.AgeMS)
		}
	case wire.TypeArrival:
		var v wire.Arrival
		if ok = wire.ParseArrival(f.Body, &v) == nil; ok {
			p.Time.Arrival(v.HostMS)
		}
	}
	if !ok {
		out.Type = 0
	}
	return out
}

func (p *Playback) hello(body []byte, out *Heard) bool {
	var h wire.Hello
	if wire.ParseHello(body, &h) != nil {
		return false
	}
	out.First, out.Restarted = !p.Greeted, p.Time.Hello(&h)
	if p.Greeted {
		out.OtherBoard, out.Changed = h.Board != p.Hello.Board, changes(&p.Hello, &h)
	}
	p.Hello, p.Greeted = h, true
	if p.Bank != nil && (out.First || out.Restarted || out.Changed != "") {
		if out.Changed != "" {
			p.Bank.Forget()
		}
		out.Problems = p.Bank.Hello(&h)
	}
	return true
}

// changes says in words what makes a hello that of another logger; empty when
// it is the same, restarted or not.
func changes(was, is *wire.Hello) string {
	if was.Board != is.Board {
		return fmt.Sprintf("its number is %x, was %x", is.Board, was.Board)
	}
	if was.N != is.N {
		return fmt.Sprintf("it has %d channels, had %d", is.N, was.N)
	}
	for i := range is.N {
		a, b := &was.Channels[i], &is.Channels[i]
		switch {
		case a.Index != b.Index:
			return fmt.Sprintf("channel %d stands where channel %d stood", b.Index, a.Index)
		case a.Kind != b.Kind:
			return fmt.Sprintf("channel %d sends %s, sent %s", b.Index, b.Kind, a.Kind)
		case a.Scale != b.Scale:
			return fmt.Sprintf("full scale of channel %d is %d, was %d", b.Index, b.Scale, a.Scale)
		case a.Label != b.Label:
			return fmt.Sprintf("channel %d is called %s, was %s", b.Index, b.Label, a.Label)
		}
	}
	return ""
}

// readSample takes a reading of every channel in. One that does not fit the hello, or
// whose time is not later than the last one's, says nothing.
func (p *Playback) readSample(body []byte, out *Heard) bool {
	if wire.ParseSample(body, &p.sample) != nil {
		return false
	}
	out.TimeS, out.Fresh = p.Time.Sample(p.sample.TimeMS)
	out.Fresh = out.Fresh && !(p.Greeted && p.sample.N != p.Hello.N)
	if p.Bank != nil {
		p.Bank.StaleS = p.StaleAfterS()
		if out.Fresh {
			p.Bank.Sample(&p.sample, out.TimeS)
		}
	}
	return true
}

// StaleMostS is the age from which readings are old at the latest.
const StaleMostS = 2.0

const slowerThan = 1.6 // readings of a slow logger are old after so many of its periods

// StaleAfterS is the age from which readings are old: a slow logger's are not
// old at each of its samples.
func (p *Playback) StaleAfterS() float64 {
	if hz := p.Time.Hz(); hz > 0 {
		return math.Max(probe.StaleDefaultS, math.Min(slowerThan/hz, StaleMostS))
	}
	return probe.StaleDefaultS
}

func (p *Playback) entry(body []byte, out *Heard) bool {
	if wire.ParseEntry(body, &out.Entry) != nil {
		return false
	}
	switch e := &out.Entry; {
	case e.Kind == wire.EntrySurface && int(e.Station) < p.Stations:
		out.Station = int(e.Station)
		out.Reading = p.hand.Number(out.Station, p.Time.NowS())
	case e.Kind == wire.EntryUndo:
		out.Reading, out.Station = p.hand.Undo(p.Time.NowS())
	}
	return true
}
