package conformance

import (
	"math"

	"fillwright/internal/wire"
)

// step is a request to be sent at a time.
type step struct {
	atS  float64
	kind stepKind
}

type stepKind uint8

const (
	stepAsk stepKind = iota + 1
	stepPing
	stepDamaged
	stepUnknown
	stepOther  // another rate
	stepReturn // the first rate again
)

// request is one that was sent.
type request struct {
	step
	token   uint32
	rateMHz uint32 // asked for
	ownMHz  uint32 // the rate before
	seen    int    // frames before it
}

type pongSeen struct {
	atS   float64
	token uint32
	diff  int64 // against the last sample, ms
	dated bool
}

// afterS is what the requests take, and the listening after them. It is no
// whole number, so that few of them fall on the hellos' own rhythm.
const afterS = 16.37

// askApartS is between two asks: one hello alone can't be the answer to both.
const askApartS = 0.7

// unknownType is a request that nobody knows.
const unknownType wire.Type = 0x7e

// damagedSeq gives an ask-hello whose CRC has no zero in it, so that a bit of
// it can be turned over without touching the COBS.
const damagedSeq = 0x11

func planFor(forS float64) []step {
	t := max(forS, LeastS) - afterS
	return []step{
		{t, stepAsk}, {t + askApartS, stepAsk},
		{t + 1.4, stepPing}, {t + 1.9, stepPing}, {t + 2.4, stepPing},
		{t + 3.0, stepDamaged}, {t + 3.8, stepDamaged},
		{t + 4.6, stepUnknown},
		{t + 6.0, stepOther}, {t + 10.5, stepReturn},
	}
}

// Next is the request that is due at atS, nil if there is none. token is drawn
// at random by the caller. The bytes begin and end with a delimiter.
func (x *Exam) Next(atS float64, token uint32) []byte {
	x.Tick(atS)
	if len(x.plan) == 0 || atS < x.plan[0].atS || x.format != framing {
		return nil
	}
	r := request{step: x.plan[0], token: token, seen: len(x.arrivals)}
	r.atS = atS
	x.plan = x.plan[1:]
	out, seq := []byte{0}, uint8(len(x.requests))
	switch r.kind {
	case stepAsk:
		out = wire.AppendAskHello(out, seq)
	case stepPing:
		out = wire.AppendPing(out, seq, wire.Ping{Token: token})
	case stepDamaged:
		out = wire.AppendAskHello(out, damagedSeq)
		out[len(out)-2] ^= 0x02 // the CRC's high byte
	case stepUnknown:
		out = wire.AppendFrame(out, unknownType, seq, []byte{1, 2, 3})
	case stepOther, stepReturn:
		r.ownMHz = x.hello.RateMHz
		if r.rateMHz = x.rateFor(r.kind); r.rateMHz == 0 {
			return nil
		}
		out = wire.AppendSetRate(out, seq, wire.SetRate{RateMHz: r.rateMHz})
		x.newSegment(true)
	}
	x.requests = append(x.requests, r)
	return out
}

// rateFor is half of the logger's own rate, or twice it when that is little;
// and in the end its own again.
func (x *Exam) rateFor(k stepKind) uint32 {
	if k == stepReturn {
		for _, r := range x.requests {
			if r.kind == stepOther {
				return r.ownMHz
			}
		}
		return 0
	}
	own := x.hello.RateMHz
	switch {
	case !x.known || own == 0 || own > math.MaxInt32:
		return 0
	case own >= 10_000:
		return own / 2
	}
	return own * 2
}

func (x *Exam) takePong(body []byte) {
	var p wire.Pong
	if err := wire.ParsePong(body, &p); err != nil {
		x.spoilt(wire.TypePong, err)
		return
	}
	if len(x.pongs) >= eventsMost {
		return
	}
	seen := pongSeen{atS: x.nowS, token: p.Token}
	if g := x.segment(); g != nil && len(g.ms) > 0 {
		seen.dated, seen.diff = true, int64(int32(p.TimeMS-g.lastMS))
	}
	x.pongs = append(x.pongs, seen)
}
