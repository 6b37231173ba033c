package logger

import (
	"bytes"
	"fmt"

	"fillwright/internal/wire"
)

// Format says how a logger speaks.
type Format uint8

// The formats.
const (
	FormatAuto   Format = iota // found out from what it says
	FormatFrames               // frames of the wire protocol
	FormatLines                // lines of comma-separated values with a header
)

// ParseFormat reads a format's name: auto, frames or lines.
func ParseFormat(s string) (Format, error) {
	for i, name := range formatNames {
		if s == name {
			return Format(i), nil
		}
	}
	return 0, fmt.Errorf("format %q is not known; write auto, frames or lines", s)
}

var formatNames = [...]string{"auto", "frames", "lines"}

// String is the format's name.
func (f Format) String() string { return formatNames[f] }

// undecidedMost is how many bytes without one good frame Auto takes before it
// complains, and before it doubts a format that it had found: some seconds at
// 50 Hz, several headers at 5 s.
const undecidedMost = 16 << 10

// Auto finds the frames in what a logger says, whichever way it says them.
// While the format is not known both decoders listen, and the first that
// finds a good frame wins. The zero value finds out by itself. It is for one
// goroutine.
type Auto struct {
	forced Format
	found  Format // FormatAuto: not yet
	frames wire.Decoder
	lines  wire.TextLines
	gate   lineGate
	barren int // bytes since the last good frame
	told   bool
	sample []byte // the first of the barren bytes, for the complaint
}

// sampleMost is how much of what can't be understood is looked at.
const sampleMost = 256

// NewAuto makes a decoder for a format. header, where not empty, is the
// header of a logger that prints lines without one; it is an error with
// FormatFrames or when it can't be understood.
func NewAuto(format Format, header string) (*Auto, error) {
	a := &Auto{forced: format, found: format}
	if header == "" {
		return a, nil
	}
	if format == FormatFrames {
		return nil, fmt.Errorf("a header was given, but frames have none; leave the header out or give the format lines")
	}
	if err := a.lines.Declare(header); err != nil {
		return nil, err
	}
	return a, nil
}

// Decode consumes all of p and calls yield for each good frame. A frame's
// Body is valid during that call only.
func (a *Auto) Decode(p []byte, yield func(wire.Frame)) {
	for len(p) > 0 {
		// In small parts, so that what goes before a frame found late in p is
		// not given to the losing decoder's successor.
		part := p[:min(len(p), chunkMost)]
		p = p[len(part):]
		a.decode(part, yield)
	}
}

func (a *Auto) decode(p []byte, yield func(wire.Frame)) {
	good := false
	take := func(f wire.Frame) {
		good = true
		yield(f)
	}
	if a.found != FormatLines {
		a.frames.Decode(p, take)
		if good {
			a.found = FormatFrames
		}
	}
	if a.found != FormatFrames {
		a.gate.pass(p, func(q []byte) { a.lines.Decode(q, take) })
		if good {
			a.found = FormatLines
		}
	}
	if good {
		a.barren, a.told, a.sample = 0, false, a.sample[:0]
		return
	}
	a.sample = append(a.sample, p[:min(len(p), sampleMost-len(a.sample))]...)
	if a.barren += len(p); a.barren > undecidedMost {
		a.found = a.forced // what was found may have been plugged out
	}
}

// Interrupted tells that bytes may be missing from here on: the cable was
// gone. What was unfinished is thrown away, never joined with what follows.
func (a *Auto) Interrupted() {
	none := func(wire.Frame) {}
	if a.frames.Pending() > 0 {
		a.frames.Decode([]byte{0}, none)
	}
	if a.lines.Pending() > 0 {
		a.lines.Decode([]byte{0, '\n'}, none) // no line holds a zero
	}
	a.gate.closed, a.gate.first = true, a.gate.first[:0]
	a.barren, a.told, a.sample = 0, false, a.sample[:0]
}

// Found is the format in use, FormatAuto while it is not known.
func (a *Auto) Found() Format { return a.found }

// Counts is what the decoder in use has met; both together while the format
// is not known.
func (a *Auto) Counts() wire.Counts {
	switch a.found {
	case FormatFrames:
		return a.frames.Counts()
	case FormatLines:
		return a.lines.Counts()
	}
	c, l := a.frames.Counts(), a.lines.Counts()
	c.Damaged += l.Damaged
	c.Oversize += l.Oversize
	return c
}

// Complaint is, once for each time that it happens, a line for people when
// much has come and nothing of it can be understood; empty otherwise.
func (a *Auto) Complaint() string {
	if a.barren < undecidedMost/4 || a.told {
		return ""
	}
	a.told = true
	problem := a.lines.Problem()
	switch {
	case a.found == FormatFrames || !wire.IsText(append(a.sample, '\n')):
		return "the logger's bytes can't be understood: check --baud, the cable and the ground wire"
	case problem != nil:
		return "the logger prints lines that can't be understood: " + problem.Error()
	}
	return "the logger prints lines without a header: restart it, or begin with " + wire.ExampleHeader
}

// lineGate keeps the first line after an interruption from the decoder of
// lines: cut in front it may still look like a whole one. A header passes,
// whole as it is, for it may belong to another logger.
type lineGate struct {
	closed bool
	first  []byte
}

func (g *lineGate) pass(p []byte, decode func([]byte)) {
	if !g.closed {
		decode(p)
		return
	}
	end := bytes.IndexByte(p, '\n')
	part := p
	if end >= 0 {
		part = p[:end+1]
	}
	g.first = append(g.first, part[:min(len(part), wire.LineMost+2-len(g.first))]...)
	if end < 0 {
		return
	}
	g.closed = false
	if len(g.first) > 5 && bytes.EqualFold(g.first[:5], []byte("time_")) && g.first[len(g.first)-1] == '\n' {
		decode(g.first)
	}
	decode(p[end+1:])
}
