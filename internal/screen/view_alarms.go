package screen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// alarmLook is the word, the colour and the shape of a level. What is past has
// neither: colour goes with what is now.
func (v *view) alarmLook(a *alarm.Active) (word, shape string, r canvas.Role) {
	switch a.Level {
	case alarm.LevelAbort:
		shape = v.g.Abort
		if v.flash && a.State == alarm.StateUnacknowledged {
			shape = v.g.AbortOff
		}
		word, r = "ABORT", canvas.Abort
	case alarm.LevelCaution:
		word, shape, r = "CAUTION", v.g.Caution, canvas.Caution
	default:
		word, shape, r = "NOTE", v.g.Advisory, canvas.Text
	}
	switch {
	case headline.Past(a):
		shape, r = v.g.Past, canvas.Text
	case a.State == alarm.StateAcknowledged && r == canvas.Caution:
		r = canvas.Strong // accepted: keep the word and the shape, give back the colour
	}
	return word, shape, r
}

// alarms lists the alarms, worst first. The first may wrap, since its action
// matters most; each other gets a row; what does not fit is counted and named.
func (v *view) alarms(rows, w int) []canvas.Row {
	all := v.standing()
	if len(all) == 0 {
		return []canvas.Row{v.noAlarms()}
	}
	most := min(rows, max(2, rows-len(all)+1)) // rows of the first
	out := v.alarmRows(&all[0], most, w)
	if len(all) > 1 && len(out) == rows { // leave room for the count at its end
		out = v.alarmRows(&all[0], most, w-len(" +99 alarms "))
	}
	rest := all[1:]
	for len(rest) > 0 && len(out) < rows {
		if len(rest) > 1 && len(out) == rows-1 {
			return append(out, canvas.RowOf(canvas.Strong, "  "+moreAlarms(len(rest))+": "+v.alarmNames(rest)))
		}
		out = append(out, v.alarmRows(&rest[0], max(1, rows-len(out)-len(rest)+1), w)...)
		rest = rest[1:]
	}
	if len(rest) > 0 { // no row is left: the count stands at the end of the last
		_, _, r := v.alarmLook(&all[0])
		if r != canvas.Abort {
			r = canvas.Strong
		}
		out[rows-1] = out[rows-1].Flush(canvas.RowOf(r, " "+moreAlarms(len(rest))+" "), w)
		for i := range out {
			if r == canvas.Abort {
				out[i] = out[i].Fit(w).All(r)
			}
		}
	}
	return out
}

// adviceOverS is how long a note that is over stays in the picture.
const adviceOverS = 30.0

// standing is what the picture lists: a note whose cause is gone for good and
// that nobody accepted would go on ordering what is done already.
func (v *view) standing() []alarm.Active {
	out := make([]alarm.Active, 0, len(v.Now.Alarms))
	for _, a := range v.Now.Alarms {
		over := a.Level == alarm.LevelAdvisory && a.State == alarm.StateReturned && v.Now.TimeS-a.SinceS > adviceOverS
		if !over || a.Name == alarm.Reminder {
			out = append(out, a)
		}
	}
	slices.SortStableFunc(out, func(a, b alarm.Active) int { return v.rank(&a) - v.rank(&b) })
	return out
}

// rank puts the alarm that is the verdict first (to shut is not the order any
// more when it is to vent), and what is past last.
func (v *view) rank(a *alarm.Active) int {
	switch {
	case headline.Past(a):
		return 3
	case v.Now.Advice.Verdict != advise.VerdictVent:
		return 1
	case a.Name == alarm.VentAdvised:
		return 0
	case a.Level < alarm.LevelAbort && (a.Name == alarm.Leak || a.Name == alarm.GasLoss):
		return 1
	case a.Level < alarm.LevelAbort:
		return 2
	}
	return 1
}

// noAlarms says so, and what waits before a fill and after it.
func (v *view) noAlarms() canvas.Row {
	r := canvas.RowOf(canvas.Label, "  no alarms")
	switch {
	case v.FillOver():
		r = r.Add(canvas.Text, "   the fill has ended: r for its account")
	case v.Now.Ready != nil:
		r = r.Add(canvas.Text, "   before the fill: "+v.readyText()+", r for the list")
	}
	return r
}

// alarmRows is one alarm in at most n rows: level, age, state, cause, action.
func (v *view) alarmRows(a *alarm.Active, n, w int) []canvas.Row {
	word, shape, r := v.alarmLook(a)
	state := headline.StateWord(a)
	head := shape + " " + canvas.Left(word, 7) + " "
	note := canvas.Left(state, 4) + " " + canvas.Right(clock(sinceS(v.Now.TimeS, a.SinceS)), 5) + "  "
	if w < 64 {
		head, note = shape+" "+word+" ", ""
	}
	order := v.clean(a.Do)
	if headline.Past(a) { // nothing is left to do
		order = headline.WhenText(a) + ":"
		note = canvas.Left(state, 4) + "  "
	}
	if need := canvas.Cells(head) + canvas.Cells(note) + 1; len(canvas.Wrap(order, w-need, n+1, "")) > n {
		note = "" // the order matters more than the age of the alarm
	}
	text := v.clean(wording.Capital(v.cause(a)))
	if a.First && len(v.Now.Alarms) > 1 && w >= 52 {
		text += " (came first)"
	}
	text = strings.TrimSpace(order + " " + text)
	if a.Name == alarm.Reminder { // its cause is what the operator wants done
		text = strings.TrimSpace(v.clean(v.cause(a)) + " " + order)
	}
	if v.replay == nil && !v.Second && a.Present() {
		text += wordsFor[a.Name] // last: a hand goes to the valve first
	}
	indent := canvas.Cells(head) + canvas.Cells(note)
	var out []canvas.Row
	for i, line := range canvas.Wrap(text, w-indent-1, n, v.g.More) {
		if i == 0 {
			out = append(out, canvas.RowOf(r, head).Add(canvas.Text, note).Add(canvas.Strong, line))
			continue
		}
		out = append(out, canvas.RowOf(canvas.Text, strings.Repeat(" ", indent)).Add(canvas.Strong, line))
	}
	if r == canvas.Abort {
		for i := range out {
			out[i] = out[i].Fit(w).All(r)
		}
	}
	return out
}

// wordsFor says which key answers an alarm that a person may know better.
var wordsFor = map[string]string{
	alarm.GasLoss: " (Venting it already? Key v.)",
	alarm.Leak:    " (Doubt it? Key k measures anew.)",
}

// moreAlarms counts the alarms that there is no room for.
func moreAlarms(n int) string { return "+" + count(n, "alarm") }

func (v *view) alarmNames(all []alarm.Active) string {
	names := make([]string, len(all))
	for i := range all {
		names[i] = all[i].Name
	}
	return v.clean(strings.Join(names, ", "))
}

// cause is what is the case as a sentence, in the operator's units.
func (v *view) cause(a *alarm.Active) string { return wording.Sentence(a.Cause.In(v.Units), a.Name) }

// definitionsByName is the alarm table by name, made once.
var definitionsByName = func() map[string]alarm.Definition {
	out := map[string]alarm.Definition{}
	for _, d := range alarm.Definitions() {
		out[d.Name] = d
	}
	return out
}()

// alarmLeaf is every alarm that stands with all that its row in the table
// says: cause, what follows, what to do and in what time.
func (v *view) alarmLeaf(w int) []canvas.Row {
	if len(v.Now.Alarms) == 0 {
		return []canvas.Row{canvas.RowOf(canvas.Text, "  No alarm stands.")}
	}
	var out []canvas.Row
	for i := range v.Now.Alarms {
		a := &v.Now.Alarms[i]
		word, shape, r := v.alarmLook(a)
		state := headline.StateWord(a)
		if state != "" {
			state += ", "
		}
		d := definitionsByName[a.Name]
		head := fmt.Sprintf("%s%s, since %s (%s)", state, a.Name, clock(math.Max(a.SinceS, 0)), clock(sinceS(v.Now.TimeS, a.SinceS)))
		told := [][2]string{{"cause", v.cause(a)}, {"or else", wording.Sentence(d.Consequence, "not known")},
			{"do", fmt.Sprintf("%s Within %.0f s.", a.Do, d.RespondS)}}
		if headline.Past(a) {
			head = state + a.Name + ", " + headline.WhenText(a)
			told = [][2]string{{"was", v.cause(a)}}
		}
		if a.First {
			head += ", came first"
		}
		out = append(out, canvas.RowOf(r, shape+" "+word+" ").Add(canvas.Strong, " "+v.clean(head)))
		for _, line := range told {
			for j, part := range canvas.Wrap(v.clean(line[1]), max(w-12, 8), 2, v.g.More) {
				label := ""
				if j == 0 {
					label = line[0]
				}
				out = append(out, canvas.RowOf(canvas.Label, "  "+canvas.Left(label, 9)).Add(canvas.Text, part))
			}
		}
	}
	return out
}
