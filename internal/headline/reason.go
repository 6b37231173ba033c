package headline

import (
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/checklist"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/wording"
)

// Why is the reason as one text, in the words of the advice; old data comes first.
func (t *Told) Why() string {
	a, age := &t.Now.Advice, AgeText(t.AgeS)
	switch {
	case !t.Started():
		return wording.WaitForReading
	case t.Apart():
		return t.secondWhy()
	case !t.Stale():
		return t.fresh()
	}
	old := wording.NoNewData(age)
	switch {
	case math.IsInf(t.AgeS, 1):
		old = wording.NoDataYet
	case !t.Now.Link.Up:
		old = wording.CableDown(age)
	}
	switch {
	case IsAbort(a.Verdict):
		return wording.Sentence(t.fresh(), "") + " " + old
	case t.Now.Phase == phase.Venting:
		return wording.LetVent + old
	case t.Now.Phase == phase.Filling && !(t.AgeS <= monitor.BlindAfterS):
		return wording.ShutTheSupplyNow + old
	case t.Now.Phase == phase.Filling:
		return wording.ShutUntilData + old
	case !a.Verdict.AsksForGas():
		return old + t.reason()
	}
	return old + wording.NotToStart
}

// secondWhy is the reason on a second screen on which nothing is of now. What
// was last known is told as past: an order that is old must not be followed, and
// an abort must not be forgotten.
func (t *Told) secondWhy() string {
	text := wording.NothingFromWatch(AgeText(t.ApartS))
	if math.IsInf(t.ApartS, 1) {
		text = wording.StillRecorded
	}
	if IsAbort(t.verdict()) {
		text += wording.LastKnownThere(words[t.verdict()].Order)
	}
	return text
}

// fresh is the reason while the data is: the order comes first.
func (t *Told) fresh() string {
	a, reason := &t.Now.Advice, t.reason()
	switch {
	case a.Verdict == advise.VerdictStop:
		return wording.ShutNowFor(reason)
	case a.Verdict == advise.VerdictVent && t.Now.Phase == phase.Filling:
		return wording.ShutAndVentFor(reason)
	case a.Verdict == advise.VerdictVent && t.Now.Phase == phase.Venting && !t.Unsaid():
		return wording.LetVentUntil + reason
	case a.Verdict == advise.VerdictVent:
		return wording.KeepAwayAndVentFor(reason)
	case a.Verdict == advise.VerdictUnknown && t.Now.Phase == phase.Venting:
		return wording.LetVent + reason
	case t.AfterFill():
		gauge := wording.LookAtGauge(t.Units.Pressure(math.Abs(t.Now.PressurePa)))
		if a.Verdict == advise.VerdictNoStart {
			return gauge + wording.NoOtherFill(reason)
		}
		return gauge + wording.AccountIsAtR
	case t.NotReady():
		return wording.DoFirst(t.toDo(), t.Units.Ramp(a.RampPaS), t.change()+reason)
	case a.Verdict == advise.VerdictEase && a.Then.Known():
		return wording.Sentence(reason, "") + " " + t.change() // what is to be done now comes first
	}
	return t.change() + reason
}

// change is the next change of the ramp as a sentence, empty where there is none.
func (t *Told) change() string {
	a := &t.Now.Advice
	if !a.Verdict.AsksForGas() || !a.Then.Known() {
		return ""
	}
	inS := math.NaN()
	if t.Now.Phase == phase.Filling {
		inS = (a.Then.FromPa - t.Now.PressurePa) / t.Now.RampPaS
	}
	return wording.FromOn(t.Units.Pressure(a.Then.FromPa), inS, t.Units.Ramp(a.Then.RampPaS))
}

// reason is the advice's as a sentence; no verdict is left without words.
func (t *Told) reason() string {
	if t.Now.Advice.Reason.Empty() {
		return wording.NoReason
	}
	return wording.Capital(t.Now.Advice.Reason.In(t.Units))
}

// summaryForS is how long the account of a fill stands in the picture.
const summaryForS = 600.0

// FillOver says whether a fill has ended not long ago.
func (t *Told) FillOver() bool {
	s := &t.Now.Summary
	return s.Done && t.Now.Phase == phase.Vented && t.Now.TimeS-s.EndS < summaryForS
}

// AfterFill says whether the fill that ended is what the operator must know of
// first: until every check for another one is done.
func (t *Told) AfterFill() bool {
	switch t.Now.Advice.Verdict {
	case advise.VerdictReady:
		return t.FillOver() && (t.Now.Ready == nil || t.ToDoCount() > 0)
	case advise.VerdictNoStart:
		return t.FillOver()
	}
	return false
}

// NotReady says whether the wall allows a fill that the list does not.
func (t *Told) NotReady() bool {
	return t.Now.Advice.Verdict == advise.VerdictReady && t.ToDoCount() > 0
}

// ToDoCount is how many items of the list are not ready.
func (t *Told) ToDoCount() int {
	n := 0
	for i := range t.Now.Ready {
		if t.Now.Ready[i].State != checklist.Yes {
			n++
		}
	}
	return n
}

// toDo names what is open, by hand first.
func (t *Told) toDo() string {
	var hand, rest []string
	for i := range t.Now.Ready {
		switch item := &t.Now.Ready[i]; {
		case item.State == checklist.Yes:
		case item.Hand:
			hand = append(hand, item.Title)
		default:
			rest = append(rest, item.Title)
		}
	}
	return strings.Join(append(hand, rest...), ", ")
}

// AtOnce stands for no time at all.
const AtOnce = "now"

// MayStayOpen is how long the supply may stay open at the present ramp, and
// what ends it: the wall or the target, whichever comes first.
func (t *Told) MayStayOpen() (text, why string) {
	s := t.Now
	leftS, why := s.Outlook.ToLimitS, "(wall)"
	toTargetS := (s.TargetPa - s.PressurePa) / s.RampPaS
	switch {
	case s.Advice.Verdict == advise.VerdictStop, IsAbort(s.Advice.Verdict) && s.Phase == phase.Filling:
		leftS, why = 0, ""
	case s.Phase != phase.Filling:
		return quantity.Unknown, ""
	case t.Stale():
		leftS, why = 0, "(no data)"
	case t.Word().Order == wording.ShutSupply:
		leftS, why = 0, ""
	case s.RampPaS > 0 && toTargetS < leftS:
		leftS, why = math.Max(toTargetS, 0), "(target)"
	}
	switch {
	case leftS < 0.5:
		return AtOnce, why
	case math.IsNaN(leftS) || math.IsInf(leftS, 1):
		return quantity.Unknown, ""
	}
	return Clock(leftS), why
}
