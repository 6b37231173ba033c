// Package headline says what the operator is told first, in words: what to do,
// how fast, why, and how long the supply may stay open; alarms and sensors by
// their names. It is the same on the screen and in plain lines. The words
// themselves stand in package wording.
package headline

import (
	"math"
	"strconv"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/wording"
)

// Told is what it is told of: the newest Snapshot, and how old its data are.
type Told struct {
	Now    *monitor.Snapshot
	AgeS   float64 // of the data now; NaN: none came yet
	Units  quantity.System
	Second bool    // it follows a watch elsewhere …
	ApartS float64 // … and is that far behind it
}

// Word is the order with the level of what stands behind it: 0 is calm.
type Word struct {
	wording.Order
	Level alarm.Level
}

// OldAfterS is the age of data from which on every measured value is old.
const OldAfterS = probe.StaleDefaultS

// words are those of the verdicts.
var words = [...]Word{
	advise.VerdictUnknown: {wording.KeepShut, alarm.LevelCaution},
	advise.VerdictReady:   {wording.ReadyToFill, 0},
	advise.VerdictFill:    {wording.Fill, 0},
	advise.VerdictEase:    {wording.EaseOff, alarm.LevelCaution},
	advise.VerdictHold:    {wording.KeepShut, 0},
	advise.VerdictTopUp:   {wording.MayTopUp, 0},
	advise.VerdictNoStart: {wording.DoNotStart, alarm.LevelCaution},
	advise.VerdictStop:    {wording.ShutNow, alarm.LevelAbort},
	advise.VerdictVent:    {wording.Vent, alarm.LevelAbort},
}

// Started says whether anything came from the logger yet.
func (t *Told) Started() bool { return t.Now.Seq > 0 }

// Stale says whether the newest data is too old to act on.
func (t *Told) Stale() bool { return !(t.AgeS <= OldAfterS) || !t.Now.Link.Up }

// Apart says whether what a second screen has is not of now. What is old at the
// watch itself is another matter, and shown as there.
func (t *Told) Apart() bool { return t.Second && !(t.ApartS <= OldAfterS) }

// verdict is the one in force, of those that are known.
func (t *Told) verdict() advise.Verdict {
	if v := t.Now.Advice.Verdict; int(v) < len(words) {
		return v
	}
	return advise.VerdictUnknown
}

// Word is the verdict to show. Advice to put gas in is not shown as good on
// old data; advice to stop or to wait is.
func (t *Told) Word() Word {
	if !t.Started() {
		return Word{wording.DoNotStartYet, 0}
	}
	verdict := t.verdict()
	w := words[verdict]
	switch {
	case t.Apart():
		return Word{wording.NoData, alarm.LevelCaution} // whoever watches there may have data: no order of here is worth anything
	case verdict == advise.VerdictVent && !t.aborting():
		w.Level = alarm.LevelCaution // as its alarm
		return w
	case w.Level == alarm.LevelAbort:
	case t.Stale() && (verdict.AsksForGas() || verdict == advise.VerdictUnknown || t.Now.Phase == phase.Venting):
		return t.wordOld()
	case t.Now.Phase == phase.Venting && math.IsNaN(t.Now.PressurePa) && math.IsNaN(t.Now.RampPaS):
		return Word{wording.NoData, alarm.LevelCaution} // nobody knows whether it still empties
	case t.Now.Phase == phase.Venting:
		return Word{wording.Emptying, w.Level} // KEEP SHUT would read as: shut the vent
	case t.AfterFill():
		return Word{wording.Ended, 0}
	case t.NotReady():
		return Word{wording.ToDo(strconv.Itoa(t.ToDoCount())), 0}
	case t.Now.Phase == phase.Filling && (verdict == advise.VerdictHold || verdict == advise.VerdictUnknown):
		return Word{wording.ShutSupply, alarm.LevelCaution} // the supply is open
	}
	return w
}

// wordOld is what to do while nothing new comes; the lack of data stands beside it.
func (t *Told) wordOld() Word {
	switch {
	case t.Now.Phase == phase.Vented:
		return Word{wording.DoNotStartOld, alarm.LevelCaution}
	case t.Now.Phase == phase.Holding:
		return Word{wording.KeepShutNoData, alarm.LevelCaution}
	case t.Now.Phase != phase.Filling:
		return Word{wording.NoData, alarm.LevelCaution}
	case t.AgeS <= monitor.BlindAfterS:
		return Word{wording.ShutNoData, alarm.LevelCaution}
	}
	return words[advise.VerdictStop] // the monitor itself is silent
}

// Rate says how fast to fill, where the verdict is about filling.
func (t *Told) Rate() string {
	a := &t.Now.Advice
	if !t.Started() || t.Stale() || !a.Verdict.AsksForGas() || math.IsNaN(a.RampPaS) || t.AfterFill() || t.NotReady() {
		return ""
	}
	before := " at most "
	if a.Verdict == advise.VerdictEase {
		before = " down to "
	}
	return before + t.Units.RampColumn(a.RampPaS)
}

// Order is word and rate in one line.
func (t *Told) Order() string {
	return strings.Join(strings.Fields(t.Word().String()+" "+t.Rate()), " ")
}

// IsAbort says whether a verdict is an order to end the fill.
func IsAbort(v advise.Verdict) bool { return v == advise.VerdictStop || v == advise.VerdictVent }

// aborting says whether an abort is the case now.
func (t *Told) aborting() bool {
	for i := range t.Now.Alarms {
		if a := &t.Now.Alarms[i]; a.Level == alarm.LevelAbort && a.Present() {
			return true
		}
	}
	return false
}

// Unsaid says whether gas leaves, and nobody said that it is vented.
func (t *Told) Unsaid() bool {
	for i := range t.Now.Alarms {
		if a := &t.Now.Alarms[i]; a.Name == alarm.GasLoss && a.Present() {
			return true
		}
	}
	return false
}
