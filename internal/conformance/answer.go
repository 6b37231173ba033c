package conformance

import (
	"fmt"
	"math"
)

// An answer has to come within 200 ms; the host's side of the cable (USB, a
// network, this computer) may take some more.
const (
	answerS = 0.2
	pathS   = 0.08
	giveUpS = 1.0
)

// helloAfter is the first hello within so many seconds after t that did not
// come by itself; where there is none, one that did; nil: none.
func (x *Exam) helloAfter(t, withinS float64) *helloSeen {
	var due *helloSeen
	for i := range x.hellos {
		h := &x.hellos[i]
		if d := h.atS - t; d < 0 || d > withinS {
			continue
		}
		if !h.due {
			return h
		}
		if due == nil {
			due = h
		}
	}
	return due
}

func judgeAskHello(x *Exam) (Verdict, string) {
	worst, answered, asked := 0.0, 0, 0
	for _, r := range x.requests {
		if r.kind != stepAsk {
			continue
		}
		h := x.helloAfter(r.atS, askApartS-0.05)
		if h != nil && h.due {
			continue // it says nothing
		}
		asked++
		if h != nil {
			answered, worst = answered+1, max(worst, h.atS-r.atS)
		}
	}
	return answers("hello", answered, asked, worst)
}

func answers(what string, answered, asked int, worst float64) (Verdict, string) {
	switch {
	case answered == 0:
		return LeftOut, fmt.Sprintf("no %s came when asked", what)
	case answered < asked:
		return Wrong, fmt.Sprintf("%d of %d requests were answered", answered, asked)
	case worst > answerS+pathS:
		return Wrong, fmt.Sprintf("a %s came %.0f ms after the request; wanted are at most 200", what, worst*1000)
	}
	return Right, fmt.Sprintf("a %s within %.0f ms", what, worst*1000)
}

// pongTimeMS is how far a pong's time may lie from the last sample's.
const pongTimeMS = 1500

func judgePing(x *Exam) (Verdict, string) {
	worst, answered, asked, other := 0.0, 0, 0, 0
	for _, r := range x.requests {
		if r.kind != stepPing {
			continue
		}
		asked++
		for _, p := range x.pongs {
			d := p.atS - r.atS
			if d < 0 || d > giveUpS {
				continue
			}
			if p.token != r.token {
				other++
				continue
			}
			if p.dated && (p.diff < -pongTimeMS || p.diff > pongTimeMS) {
				return Wrong, fmt.Sprintf("a pong's time is %d ms away from the samples'", p.diff)
			}
			answered, worst = answered+1, max(worst, d)
			break
		}
	}
	if answered == 0 && other > 0 {
		return Wrong, "pongs came, and none had the token of its ping"
	}
	return answers("pong", answered, asked, worst)
}

func judgeSetRate(x *Exam) (Verdict, string) {
	answered, asked, worst, named := 0, 0, 0.0, ""
	for _, r := range x.requests {
		if r.kind != stepOther && r.kind != stepReturn {
			continue
		}
		asked++
		h := x.helloOf(&r)
		if h == nil {
			continue
		}
		answered, worst = answered+1, max(worst, h.atS-r.atS)
		if r.kind == stepOther {
			named = fmt.Sprintf("; asked for %.4g Hz, it says %.4g Hz", float64(r.rateMHz)/1000, float64(h.rateMHz)/1000)
		}
	}
	v, text := answers("hello", answered, asked, worst)
	if v == LeftOut && x.rateMoved() {
		return Wrong, "the rate changed, and no hello said so"
	}
	return v, text + named
}

// rateMoved says whether the samples came at another rate while no hello had
// answered a set-rate.
func (x *Exam) rateMoved() bool {
	own := 0.0
	for _, g := range x.segments {
		steps := g.steps()
		if len(steps) < stepsLeast {
			continue
		}
		if !g.unsure {
			own = median(steps)
		} else if own > 0 && math.Abs(median(steps)/own-1) > 10*rateOff {
			return true
		}
	}
	return false
}

// helloOf is the hello that answers a set-rate: the first that names another
// rate than before, or did not come by itself; nil: none.
func (x *Exam) helloOf(r *request) *helloSeen {
	for i := range x.hellos {
		h := &x.hellos[i]
		if d := h.atS - r.atS; d >= 0 && d <= giveUpS && (!h.due || h.rateMHz != r.ownMHz) {
			return h
		}
	}
	return nil
}

func judgeDamagedRequest(x *Exam) (Verdict, string) {
	obeyed, sent := 0, 0
	for _, r := range x.requests {
		if r.kind == stepDamaged {
			sent++
			if h := x.helloAfter(r.atS, answerS+pathS); h != nil {
				obeyed++
			}
		}
	}
	if obeyed == sent { // one alone may be the hello that was due
		return Wrong, "a request with a bad CRC was obeyed"
	}
	return Right, "a damaged request is ignored"
}

// silenceS is how long a logger must not fall silent over a request that it
// does not know.
const silenceS = 1.2

func judgeUnknownRequest(x *Exam) (Verdict, string) {
	for _, r := range x.requests {
		if r.kind != stepUnknown {
			continue
		}
		if r.seen == 0 {
			return NotSeen, "no frame came"
		}
		last := r.atS
		for _, at := range x.arrivals[min(r.seen, len(x.arrivals)):] {
			if at-last > silenceS {
				break
			}
			last = at
			if last > r.atS+silenceS {
				return Right, "a request that it does not know is ignored"
			}
		}
	}
	return Wrong, "after a request that it does not know the logger fell silent"
}
