package conformance

import (
	"errors"
	"fmt"
	"strings"

	"fillwright/internal/wire"
)

// helloSeen is one hello, with the time at which it came.
type helloSeen struct {
	atS     float64
	atMS    int64 // device time of the sample after it
	rateMHz uint32
	session int
	due     bool // it came by itself, to judge by those before it
}

func (x *Exam) takeHello(f *wire.Frame) {
	var h wire.Hello
	if err := wire.ParseHello(f.Body, &h); err != nil {
		if errors.Is(err, wire.ErrVersion) {
			x.badVersion++
		}
		x.spoilt(wire.TypeHello, err)
		return
	}
	anew := !x.known || h.Board != x.hello.Board || h.Boot != x.hello.Boot || h.Boot == 0 && f.Seq == 0
	if x.known && anew {
		x.restarted()
	}
	if x.known && !anew && (h.N != x.hello.N || h.Channels != x.hello.Channels) {
		x.tableBad = true
	}
	if g := x.segment(); !x.known || anew || h.RateMHz != x.hello.RateMHz || g != nil && g.unsure {
		x.newSegment(false)
	}
	x.restartIn.justHello = true
	x.hello, x.known = h, true
	x.labels(&h)
	if len(x.hellos) < eventsMost {
		x.hellos = append(x.hellos, helloSeen{atS: x.nowS, rateMHz: h.RateMHz, session: len(x.restarts), due: x.helloDue()})
	}
}

// helloDue says whether a hello now may be one of the rhythm: a whole number
// of periods after an earlier one.
func (x *Exam) helloDue() bool {
	const near = 0.25
	for _, h := range x.hellos {
		for k := 1.0; k <= 3; k++ {
			if d := x.nowS - h.atS - k*helloEveryS; d > -near && d < near {
				return true
			}
		}
	}
	return false
}

// labels looks for what is no padded ASCII.
func (x *Exam) labels(h *wire.Hello) {
	for i := range h.N {
		l := h.Channels[i].Label
		end := false
		for _, b := range l {
			switch {
			case b == 0:
				end = true
			case end:
				x.labelBad = fmt.Sprintf("the label of channel %d goes on after a zero byte", h.Channels[i].Index)
			case b < ' ' || b > '~':
				x.labelBad = fmt.Sprintf("the label of channel %d is not ASCII", h.Channels[i].Index)
			}
		}
		if l[0] == 0 {
			x.labelBad = fmt.Sprintf("channel %d has no label", h.Channels[i].Index)
		}
	}
}

func judgeHelloThere(x *Exam) (Verdict, string) {
	switch {
	case len(x.hellos) > 0:
		return Right, fmt.Sprintf("%d came", len(x.hellos))
	case x.badBodies[wire.TypeHello] != "":
		return Wrong, "hellos came, and none can be used"
	case x.good == 0:
		return NotSeen, "no frame came"
	}
	return Wrong, "no hello came: the host can't know what the values are"
}

func judgeVersion(x *Exam) (Verdict, string) {
	switch {
	case x.badVersion > 0:
		return Wrong, x.badBodies[wire.TypeHello]
	case !x.known:
		return NotSeen, "no hello came"
	}
	return Right, "protocol 1"
}

func judgeHelloBody(x *Exam) (Verdict, string) {
	var said []string
	for _, t := range []wire.Type{wire.TypeHello, wire.TypeSample, wire.TypeFault, wire.TypePong} {
		if e := x.badBodies[t]; e != "" && !(t == wire.TypeHello && x.badVersion > 0) {
			said = append(said, e)
		}
	}
	if len(said) > 0 {
		return Wrong, strings.Join(said, "; ")
	}
	if x.good == 0 {
		return NotSeen, "no frame came"
	}
	return Right, "every body has its fields"
}

func judgeBoard(x *Exam) (Verdict, string) {
	switch {
	case x.hello.Board == 0 && x.hello.Boot == 0:
		return LeftOut, "neither board nor boot number: offsets belong to no board, and a restart is told by seq 0 alone"
	case x.hello.Board == 0:
		return LeftOut, "no board number: offsets can't be tied to this board"
	case x.hello.Boot == 0:
		return LeftOut, "no boot number: a restart is told by seq 0 alone"
	}
	return Right, fmt.Sprintf("board 0x%X, boot %d", x.hello.Board, x.hello.Boot)
}

func judgeChannels(x *Exam) (Verdict, string) {
	h, said := &x.hello, []string{}
	for i := range h.N {
		c := &h.Channels[i]
		switch {
		case c.Kind < wire.KindNanovolt || c.Kind > wire.KindPascal:
			said = append(said, fmt.Sprintf("channel %d is of an unknown kind %d", c.Index, uint8(c.Kind)))
		case c.Kind == wire.KindCounts && c.Scale <= 0:
			said = append(said, fmt.Sprintf("channel %d: scale %d, wanted is the count of a full-scale reading", c.Index, c.Scale))
		case c.Kind != wire.KindCounts && c.Scale != 0:
			said = append(said, fmt.Sprintf("channel %d: scale %d, wanted is 0 for this kind", c.Index, c.Scale))
		}
	}
	if len(said) > 0 {
		return Wrong, strings.Join(said, "; ")
	}
	if h.N == 0 {
		return Wrong, "there is no channel"
	}
	return Right, fmt.Sprintf("%d channels, each with a known kind", h.N)
}

func judgeLabels(x *Exam) (Verdict, string) {
	if x.labelBad != "" {
		return Wrong, x.labelBad + "; ASCII, padded with zero bytes"
	}
	return Right, "ASCII, padded with zero bytes"
}

func judgeTable(x *Exam) (Verdict, string) {
	if x.tableBad {
		return Wrong, "the channel table changed without another boot"
	}
	return Right, "the channel table stays"
}

// How much later than 5 s a hello may come.
const (
	helloEveryS = 5.0
	helloLateS  = 1.0
)

// judgeHelloPeriod takes host time, or of a recording device time.
func judgeHelloPeriod(x *Exam) (Verdict, string) {
	longest, n := 0.0, 0
	if x.opt.Live && len(x.hellos) > 0 {
		longest = x.hellos[0].atS
	}
	seen := x.hellos
	if !x.opt.Live {
		seen = seen[:x.undated]
	}
	for i := 1; i < len(seen); i++ {
		a, b := &seen[i-1], &seen[i]
		if a.session != b.session || !x.opt.Live && a.atMS > b.atMS {
			continue
		}
		gap := b.atS - a.atS
		if !x.opt.Live {
			gap = float64(b.atMS-a.atMS) / 1000
		}
		longest, n = max(longest, gap), n+1
	}
	last := 0.0
	if len(x.hellos) > 0 && x.opt.Live {
		last = x.nowS - x.hellos[len(x.hellos)-1].atS
	}
	longest = max(longest, last)
	what := "hello"
	miss := Wrong
	if x.format == printing {
		what, miss = "header", LeftOut
	}
	switch {
	case longest > helloEveryS+helloLateS && x.seqs.lost > 0:
		return NotSeen, fmt.Sprintf("%.1f s without a %s, which lost frames may explain", longest, what)
	case longest > helloEveryS+helloLateS:
		return miss, fmt.Sprintf("%.1f s without a %s; wanted is one every 5 s, so that a host may join late", longest, what)
	case n == 0:
		return NotSeen, "listened for too short a time"
	}
	return Right, fmt.Sprintf("a %s at least every %.1f s", what, longest)
}
