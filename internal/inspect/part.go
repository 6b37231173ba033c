package inspect

import (
	"fmt"

	"fillwright/internal/wire"
)

// part is one time of watching: what must follow what in it.
type part struct {
	watched bool // the host told its clock: it was recorded live, and its own frames are numbered
	hostMS  uint32
	stepMS  uint32 // the shortest between two of its times
	seq     uint8  // of the host's next frame
	seqHas  bool
	hurt    bool      // something was damaged since the host's last good frame
	gone    []Problem // frames of the logger that are missing since then
	sampled bool
	firstMS uint32
	lastMS  uint32
	hello   bool
	boot    uint16
	board   uint64
	text    textOf
	texts   [textsKinds]bool // that are whole
}

// textOf is a text whose parts are being read.
type textOf struct {
	kind        wire.TextKind
	next, parts uint16
}

// atMS is the time of the last sample since the first; -1: there was none.
func (p *part) atMS() int64 {
	if !p.sampled {
		return -1
	}
	return int64(p.lastMS - p.firstMS)
}

// frame looks at a good frame.
func (c *checker) frame(f wire.Frame) {
	c.report.Frames++
	if f.Type == wire.TypeLogStart {
		c.part.close(c)
		c.part = part{}
		if c.report.Parts++; c.report.Parts == 1 && c.piece > 0 {
			c.add(c.from, 0, "the log begins here, not at the first byte")
		}
	}
	p := &c.part
	if f.Type >= wire.TypeLogStart {
		p.numbered(c, f)
	}
	if err := p.check(c, f); err != nil {
		c.add(c.from, c.at-c.from, "a %s frame can't be read: %v", f.Type, err)
	}
}

// numbered follows the numbers of the host's frames.
func (p *part) numbered(c *checker, f wire.Frame) {
	gap := p.watched && p.seqHas && f.Seq != p.seq
	p.settle(c, !gap && !p.hurt)
	if gap {
		c.add(c.from, 0, "frames of the program itself missing before this byte: %d, or 256 more, or more than that", f.Seq-p.seq)
	}
	p.seq, p.seqHas, p.hurt = f.Seq+1, true, false
}

// lost notes frames of the logger that are missing. Whether they were lost on
// the cable or out of the file, the host's own next frame tells: they are
// numbered too, and lie between them.
func (p *part) lost(c *checker, n uint64) {
	if p.gone = append(p.gone, Problem{Byte: c.from, Part: c.report.Parts, AtMS: p.atMS(),
		What: fmt.Sprintf("frames of the logger missing before this byte: %d, or 256 more, or more than that", n)}); !p.watched {
		p.settle(c, false)
	}
}

func (p *part) settle(c *checker, cable bool) {
	for _, g := range p.gone {
		if g.Cable = cable; cable {
			g.What += "; lost on the way to the program, which has all of its own"
		}
		c.put(g)
	}
	p.gone = p.gone[:0]
}

// check looks into a frame. An error says that its body makes no sense.
func (p *part) check(c *checker, f wire.Frame) error {
	switch f.Type {
	case wire.TypeLogStart:
		var v wire.LogStart
		return wire.ParseLogStart(f.Body, &v)
	case wire.TypeText:
		return p.takeText(c, f.Body)
	case wire.TypeArrival:
		return p.takeArrival(c, f.Body)
	case wire.TypeHello:
		return p.takeHello(f.Body)
	case wire.TypeSample:
		return p.takeSample(c, f.Body)
	case wire.TypeClock:
		var v wire.Clock
		return wire.ParseClock(f.Body, &v)
	case wire.TypeEntry:
		var v wire.Entry
		return wire.ParseEntry(f.Body, &v)
	case wire.TypeSilence:
		var v wire.Silence
		return wire.ParseSilence(f.Body, &v)
	case wire.TypeLink:
		var v wire.Link
		return wire.ParseLink(f.Body, &v)
	case wire.TypeFault:
		var v wire.Fault
		return wire.ParseFault(f.Body, &v)
	}
	return nil // of a later version, or a question and its answer: nothing depends on it
}

func (p *part) takeArrival(c *checker, body []byte) error {
	var v wire.Arrival
	if err := wire.ParseArrival(body, &v); err != nil {
		return err
	}
	if step := v.HostMS - p.hostMS; p.watched {
		// A pretended logger may go faster than time, and the host's clock with it.
		if p.stepMS = min(p.stepMS, step); step > max(stillMostMS, stillSteps*p.stepMS) {
			c.add(c.from, 0, "nothing was recorded for %.1f s before this byte: a hole, or the program stood still", float64(step)/1000)
		}
	} else {
		p.stepMS = 1 << 20
	}
	p.watched, p.hostMS = true, v.HostMS
	return nil
}

func (p *part) takeHello(body []byte) error {
	var v wire.Hello
	if err := wire.ParseHello(body, &v); err != nil {
		return err
	}
	if p.hello && (v.Boot != p.boot || v.Board != p.board) {
		p.sampled = false // another start of the logger, another clock
	}
	p.hello, p.boot, p.board = true, v.Boot, v.Board
	return nil
}

func (p *part) takeSample(c *checker, body []byte) error {
	var v wire.Sample
	if err := wire.ParseSample(body, &v); err != nil {
		return err
	}
	c.report.Samples++
	if !p.sampled {
		p.sampled, p.firstMS = true, v.TimeMS
	}
	p.lastMS = v.TimeMS
	return nil
}

func (p *part) takeText(c *checker, body []byte) error {
	var v wire.Text
	if err := wire.ParseText(body, &v); err != nil {
		return err
	}
	t := &p.text
	if v.Part == 0 {
		p.closeText(c)
		*t = textOf{kind: v.Kind, parts: v.Parts}
	}
	if v.Kind != t.kind || v.Part != t.next || v.Parts != t.parts {
		c.add(c.from, 0, "the recorded %s has parts missing before this byte", v.Kind)
		*t = textOf{}
		return nil
	}
	if t.next++; t.next == t.parts {
		if int(t.kind) < len(p.texts) {
			p.texts[t.kind] = true
		}
		*t = textOf{}
	}
	return nil
}

func (p *part) closeText(c *checker) {
	if p.text.next > 0 {
		c.add(c.from, 0, "the recorded %s ends before this byte, with parts missing", p.text.kind)
	}
	p.text = textOf{}
}

// close judges a part that has ended.
func (p *part) close(c *checker) {
	p.settle(c, false)
	p.closeText(c)
	if c.report.Parts > 0 && !p.texts[wire.TextProfile] {
		c.add(c.from, 0, "the part that ends here has no whole vessel profile")
	}
}
