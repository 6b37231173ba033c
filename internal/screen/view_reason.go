package screen

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/screen/canvas"
)

// reason says why, in the words of the advice; old data comes first.
func (v *view) reason(rows, w int) []canvas.Row {
	word := v.word()
	r := canvas.Strong
	if word.role == canvas.Abort {
		r = canvas.Abort
	}
	var out []canvas.Row
	for _, line := range canvas.Wrap(v.notNow()+v.rateApart(w)+v.clean(v.tell(v.why())), w-4, rows, v.g.More) {
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
		return "Waiting for the first reading of the logger. Do not start."
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
		return sentence(v.fresh(), "") + " " + old
	case v.now.Phase == monitor.PhaseVenting:
		return "Let it vent. Keep your distance. " + old
	case v.now.Phase == monitor.PhaseFilling && !(v.ageS <= blindAfterS):
		return "Shut the supply now. " + old
	case v.now.Phase == monitor.PhaseFilling:
		return "Shut the supply until there are data. " + old
	case !a.Verdict.AsksForGas():
		return old + reasonOr(a)
	}
	return old + "Do not start."
}

// blindAfterS is how old data may get in a fill before it has to end; the
// monitor's own limit, for when the monitor itself is silent.
const blindAfterS = 3.0

// fresh is the reason while the data is: the order comes first.
func (v *view) fresh() string {
	a, reason := &v.now.Advice, reasonOr(&v.now.Advice)
	switch {
	case a.Verdict == advise.VerdictStop:
		return "Shut the supply now: " + lowered(reason)
	case a.Verdict == advise.VerdictVent && v.now.Phase == monitor.PhaseFilling:
		return "Shut the supply and vent: " + lowered(reason)
	case a.Verdict == advise.VerdictVent && v.now.Phase == monitor.PhaseVenting && !v.unsaid():
		return "Let it vent until it is empty. Keep your distance. " + reason
	case a.Verdict == advise.VerdictVent:
		return "Keep away and vent: " + lowered(reason)
	case a.Verdict == advise.VerdictUnknown && v.now.Phase == monitor.PhaseVenting:
		return "Let it vent. Keep your distance. " + reason
	case v.afterFill():
		gauge := fmt.Sprintf("The pressure reads %.1f bar. Look at a second gauge before you go near. ", math.Abs(v.now.PressurePa)/1e5)
		if a.Verdict == advise.VerdictNoStart {
			return gauge + "Do not start another fill: " + lowered(reason)
		}
		return gauge + "r shows the account of the fill."
	case v.notReady():
		return "Do first: " + v.toDo() + fmt.Sprintf(". Then at most %.1f bar/min. ", a.RampPaS*60/1e5) + reason
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

// lowered makes a sentence the second half of one.
func lowered(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && (s[1] == ' ' || s[1] >= 'a' && s[1] <= 'z') {
		return string(s[0]-'A'+'a') + s[1:]
	}
	return s
}

func verdictIsAbort(a advise.Verdict) bool {
	return a == advise.VerdictStop || a == advise.VerdictVent
}

// reasonOr is the reason as a sentence; no verdict is left without words.
func reasonOr(a *advise.Advice) string {
	if a.Reason == "" {
		return "No reason was given. Count it as not known."
	}
	return raised(a.Reason)
}
