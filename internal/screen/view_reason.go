package screen

import (
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// reason says why, in the words of the advice; old data comes first.
func (v *view) reason(rows, w int) []canvas.Row {
	word := v.word()
	r := canvas.Strong
	if word.role == canvas.Abort {
		r = canvas.Abort
	}
	var out []canvas.Row
	for _, line := range canvas.Wrap(v.notNow()+v.rateApart(w)+v.clean(v.why()), w-4, rows, v.g.More) {
		out = append(out, canvas.RowOf(r, "  "+line))
	}
	for i := 0; i < rows && r == canvas.Abort; i++ {
		if i == len(out) {
			out = append(out, nil)
		}
		out[i] = out[i].Fit(w).All(r)
	}
	return out
}

// headline is the large word: of a replay just that, for nobody who looks at
// it from afar may take a recorded order for one.
func (v *view) headline() word {
	w := v.word()
	if v.replay != nil {
		w.big, w.tail = "REPLAY", ""
	}
	return w
}

// notNow begins the reason of a replay: what was the large word.
func (v *view) notNow() string {
	if v.replay == nil {
		return ""
	}
	w := v.word()
	text := "Recorded: " + strings.TrimSpace(w.big+" "+w.tail)
	if rate := strings.Join(strings.Fields(v.rate()), " "); rate != "" {
		text += " " + rate
	}
	return text + ". "
}

// rateApart is how fast, where there is no room for it beside the large word.
func (v *view) rateApart(w int) string {
	rate, rows := strings.Join(strings.Fields(v.rate()), " "), v.plan.rows[secVerdict]
	if v.replay != nil || rate == "" {
		return "" // a replay has said it
	}
	lines, tail := v.letters(v.word(), rows, w)
	word := canvas.Cells(tailAt(tail, rows/2, rows)) + canvas.Cells(lines[rows/2])
	if 2+word+canvas.Cells(v.rate()) < w-2 {
		return ""
	}
	return strings.ToUpper(rate[:1]) + rate[1:] + ". "
}

// why is the reason as one text.
func (v *view) why() string {
	a := &v.now.Advice
	switch {
	case !v.started():
		return "Waiting for the first reading of the logger. Do not start. If gas flows, shut the supply."
	case v.apart():
		return v.secondWhy()
	case !v.stale():
		return v.fresh()
	}
	old := "No new data for " + ageText(v.ageS) + ". "
	if !v.now.Link.Up {
		old = "The cable is down. No new data for " + ageText(v.ageS) + ". "
	}
	switch {
	case verdictIsAbort(a.Verdict):
		return wording.Sentence(v.fresh(), "") + " " + old
	case v.now.Phase == phase.Venting:
		return "Let it vent. Keep your distance. " + old
	case v.now.Phase == phase.Filling && !(v.ageS <= blindAfterS):
		return "Shut the supply now. " + old
	case v.now.Phase == phase.Filling:
		return "Shut the supply until there are data. " + old
	case !a.Verdict.AsksForGas():
		return old + v.reasonOr(a)
	}
	return old + "Do not start."
}

// blindAfterS is how old data may get in a fill before it has to end; the
// monitor's own limit, for when the monitor itself is silent.
const blindAfterS = 3.0

// fresh is the reason while the data is: the order comes first.
func (v *view) fresh() string {
	a, reason := &v.now.Advice, v.reasonOr(&v.now.Advice)
	switch {
	case a.Verdict == advise.VerdictStop:
		return "Shut the supply now: " + wording.Lower(reason)
	case a.Verdict == advise.VerdictVent && v.now.Phase == phase.Filling:
		return "Shut the supply and vent: " + wording.Lower(reason)
	case a.Verdict == advise.VerdictVent && v.now.Phase == phase.Venting && !v.unsaid():
		return "Let it vent until it is empty. Keep your distance. " + reason
	case a.Verdict == advise.VerdictVent:
		return "Keep away and vent: " + wording.Lower(reason)
	case a.Verdict == advise.VerdictUnknown && v.now.Phase == phase.Venting:
		return "Let it vent. Keep your distance. " + reason
	case v.afterFill():
		gauge := "The pressure reads " + v.u.Pressure(math.Abs(v.now.PressurePa)) + ". Look at a second gauge before you go near. "
		if a.Verdict == advise.VerdictNoStart {
			return gauge + "Do not start another fill: " + wording.Lower(reason)
		}
		return gauge + "r shows the account of the fill."
	case v.notReady():
		return "Do first: " + v.toDo() + ". Then at most " + v.u.Ramp(a.RampPaS) + ". " + reason
	}
	return reason
}

// unsaid says whether gas leaves, and nobody said that it is vented.
func (v *view) unsaid() bool {
	for i := range v.now.Alarms {
		if a := &v.now.Alarms[i]; a.Name == alarm.GasLoss && a.Present() {
			return true
		}
	}
	return false
}

func verdictIsAbort(a advise.Verdict) bool {
	return a == advise.VerdictStop || a == advise.VerdictVent
}

// reasonOr is the reason as a sentence; no verdict is left without words.
func (v *view) reasonOr(a *advise.Advice) string {
	if a.Reason.Empty() {
		return "No reason was given. Count it as not known."
	}
	return wording.Capital(a.Reason.In(v.u))
}
