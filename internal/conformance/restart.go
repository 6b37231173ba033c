package conformance

import (
	"fmt"

	"fillwright/internal/wire"
)

// freshMS is how small device time is soon after a start.
const freshMS = 3000

// restart is a start of the logger that was seen.
type restart struct {
	told      bool // by a hello with another boot
	first     bool // the hello came before anything else
	delimiter bool // 0x00 came before the hello
}

// restartWatch looks for starts that no hello has told.
type restartWatch struct {
	sameSession bool // the samples to come belong with those before
	justHello   bool // since the last sample
	pending     bool // time began anew, and no hello has told it yet
}

// restarted takes a hello that tells a restart.
func (x *Exam) restarted() {
	w := &x.restartIn
	r := restart{told: true, first: !w.pending, delimiter: x.emptyPart || x.lastDamage != ""}
	switch n := len(x.restarts); {
	case w.pending: // its samples came first
		x.restarts[n-1] = r
	case n < eventsMost:
		x.restarts = append(x.restarts, r)
	}
	if x.lastDamage != "" { // the frame that the restart cut off
		x.damage[x.lastDamage]--
		if x.damage[x.lastDamage] == 0 {
			delete(x.damage, x.lastDamage)
		}
	}
	w.pending, w.sameSession = false, false
	x.seqs.pause()
	x.newSegment(false)
}

// Restarts is how many starts of the logger were seen.
func (x *Exam) Restarts() int { return len(x.restarts) }

// began takes a device time that began anew without another boot number.
func (x *Exam) began() {
	w := &x.restartIn
	if len(x.restarts) < eventsMost {
		x.restarts = append(x.restarts, restart{first: w.justHello, delimiter: true})
		w.pending = !w.justHello
	}
}

func judgeBoot(x *Exam) (Verdict, string) {
	told, silent := 0, 0
	for _, r := range x.restarts {
		if r.told {
			told++
		} else {
			silent++
		}
	}
	switch {
	case silent > 0:
		return Wrong, fmt.Sprintf("device time began anew %d times, and no hello had another boot number", silent)
	case told > 0:
		return Right, fmt.Sprintf("another boot number after each of %d restarts", told)
	}
	return NotSeen, "it did not restart: give --press to be asked for the reset button"
}

func judgeRestartFirst(x *Exam) (Verdict, string) {
	n := 0
	for _, r := range x.restarts {
		switch {
		case !r.first:
			return Wrong, "after a restart something else came before the hello"
		case !r.delimiter:
			return Wrong, "after a restart no 0x00 came before the hello: a frame that was cut off would spoil it"
		}
		n++
	}
	if n == 0 {
		return NotSeen, "it did not restart: give --press to be asked for the reset button"
	}
	return Right, "0x00 and a hello come first"
}

func judgeCause(x *Exam) (Verdict, string) {
	switch {
	case x.hello.Restart > wire.RestartBrownOut:
		return Wrong, fmt.Sprintf("restart cause %d has no meaning", uint8(x.hello.Restart))
	case x.hello.Restart == wire.RestartUnknown:
		return LeftOut, "the cause of the last start is not told"
	}
	return Right, fmt.Sprintf("last start: %s", x.hello.Restart)
}
