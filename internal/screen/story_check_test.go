package screen

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
)

func hasEvent(s *monitor.Snapshot, text string) bool {
	return slices.ContainsFunc(s.Events, func(e monitor.Event) bool { return strings.Contains(e.Text.String(), text) })
}

func present(s *monitor.Snapshot, name string) bool {
	return slices.ContainsFunc(s.Alarms, func(a alarm.Active) bool { return a.Name == name && a.Present() })
}

// checkSnapshot is what holds of every Snapshot of every story.
func (w *walk) checkSnapshot(t *testing.T) {
	s := &w.now
	asks := s.Advice.Verdict.AsksForGas()
	under := s.Phase > phase.Vented
	wrong := func(what string) {
		t.Fatalf("%.2f s, %s, %.2f bar, %.1f bar/min: %s: %s (%s)", s.TimeS, s.Phase, s.PressurePa/vlBar, s.RampPaS/vlBarPerM, what, s.Advice.Verdict, s.Advice.Reason)
	}
	var called bool
	for i := range s.Alarms {
		a := &s.Alarms[i]
		if a.Present() {
			w.seen[a.Name] = true
			called = called || a.Name == alarm.Leak || a.Name == alarm.GasLoss
			if only, ok := ordersIn[a.Name]; ok && !slices.Contains(only, s.Phase) {
				wrong(a.Name + " orders: " + a.Do)
			}
			w.reached = w.reached || a.Name == alarm.WallOver && under
		} else if a.Do != "" || a.Cause.String() != definitionsByName[a.Name].Was {
			wrong("an order of an alarm that is over, " + a.Do + ": " + a.Cause.String())
		}
	}
	w.reached = w.reached && under
	switch {
	case called && under && asks:
		wrong("gas is asked for while a leak is called")
	case called && under && s.Advice.Verdict == advise.VerdictHold:
		wrong("a leak is called, and nothing says vent")
	case w.reached && s.Advice.Verdict != advise.VerdictVent:
		wrong("after onset")
	case s.Link.AgeS > 1 && asks:
		wrong("gas is asked for without data")
	case s.VentSaid && s.Phase == phase.Holding && asks:
		wrong("gas is asked for while it is said to be vented")
	case s.Phase == phase.Venting && asks:
		wrong("gas is asked for in a vent")
	case w.goneS > 5 && under && asks:
		wrong("gas is asked for while gas goes out")
	case s.Advice.Verdict == advise.VerdictVent && !math.IsNaN(s.Advice.WaitS):
		wrong("a countdown to more gas, in a vessel to be vented")
	case s.Outlook.CoastPeakK < s.HottestK || s.Outlook.CoastPeakK+s.Outlook.CoastPeakBandK < s.HottestK+s.BandK-1e-9:
		wrong("a coast peak under the present hottest")
	case asks && !(s.Advice.RampPaS > 0), !asks && s.Advice.RampPaS > 0:
		wrong("the advised ramp is not that of the verdict")
	case s.Advice.Then.Known() && !asks:
		wrong("a change ahead, and no gas is asked for")
	case s.Advice.Then.Known() && s.PressurePa > s.Advice.Then.FromPa+1.5*math.Max(s.RampPaS, 0)+0.2*vlBar:
		wrong("a change that is past")
	}
	if s.Phase == phase.Filling && s.Advice.Verdict == advise.VerdictFill && !(s.RampPaS <= 1.05*s.Advice.RampPaS+3*vlBarPerM) {
		wrong("FILL beside a ramp that is too fast")
	}
	if s.Phase == phase.Filling && s.Advice.Verdict == advise.VerdictEase && !(s.RampPaS > s.Advice.RampPaS) {
		wrong("EASE OFF beside a ramp that is not too fast")
	}
}

// ordersIn are the phases in which the orders of some alarms can be obeyed. The
// supply that is shut is not to be shut, the vessel that is vented not to be vented.
var ordersIn = map[string][]phase.Phase{
	alarm.TargetReached: {phase.Filling}, alarm.RampHigh: {phase.Filling}, alarm.WallAbort: {phase.Filling},
	alarm.HoldLimit: {phase.Holding}, alarm.GasCold: {phase.Venting},
	alarm.WallOver: {phase.Filling, phase.Holding, phase.Venting}, alarm.VentAdvised: {phase.Filling, phase.Holding, phase.Venting},
	alarm.Leak: {phase.Filling, phase.Holding, phase.Venting}, alarm.GasLoss: {phase.Filling, phase.Holding, phase.Venting},
}

// orders finds orders in words; what is over has none.
var orders = regexp.MustCompile(`\b(Shut|shut the supply|Vent|vent from|Keep|Ease|Stay|Hand on)\b`)

// checkPicture is what holds of every picture: large word, verdict, alarms'
// words and numbers agree.
func (w *walk) checkPicture(t *testing.T) {
	v := w.view()
	s, word := &w.now, v.Word()
	w.words[word.Big] = true
	rows := v.lines()
	var text []string
	for _, r := range rows {
		line := ""
		for _, sp := range r {
			line += sp.Text
		}
		text = append(text, line)
	}
	w.shown = strings.Join(text, "\n")
	wrong := func(what string) { t.Fatalf("%.1f s: %s:\n%s", s.TimeS, what, w.shown) }

	w.checkWord(v, word, wrong)
	standing := v.standing()
	now := 0
	for i := range standing {
		a := &standing[i]
		_, shape, r := v.alarmLook(a)
		line := ""
		for _, part := range v.alarmRows(a, 4, 80) {
			for _, sp := range part {
				line += sp.Text
			}
		}
		switch {
		case a.Present():
			if now++; now != i+1 {
				wrong("an alarm that is over stands before one that is not")
			}
		case r == canvas.Abort || r == canvas.Caution || shape != v.g.Past:
			wrong(a.Name + " is over and has a colour")
		case orders.MatchString(line):
			wrong("an order of an alarm that is over: " + line)
		}
	}
	if w.before.Phase == phase.Filling && s.Phase == phase.Filling && w.before.Advice.Verdict.AsksForGas() &&
		s.Advice.Verdict.AsksForGas() && s.Advice.RampPaS > 1.25*w.before.Advice.RampPaS*math.Exp2((s.TimeS-w.before.TimeS-1)/5) {
		wrong("the advised ramp jumps up")
	}
	if s.Link.AgeS > 1 && v.plan.rows[secNumbers] >= 4 {
		for _, m := range []meter{v.margin(), v.pressure(), v.ramp()} {
			if large := strings.TrimSpace(canvas.BigText(m.number, canvas.BigThree, v.g.Big)[1]); m.number != "--" && m.number != v.most().number && large != "" && strings.Contains(w.shown, large) {
				wrong(m.label + " of old data in large digits")
			}
		}
	}
}

// checkWord holds the large word against verdict, alarms and numbers.
func (w *walk) checkWord(v *view, word headline.Word, wrong func(string)) {
	s := &w.now
	most := v.most().number
	first := ""
	if all := v.standing(); len(all) > 0 && all[0].Present() {
		first = all[0].Do
	}
	switch word.Big {
	case "FILL", "EASE OFF", "MAY TOP UP", "READY":
		if s.Advice.Then.Known() && word.Big == "FILL" && !strings.Contains(w.shown, "From ") {
			wrong("FILL, and the change ahead is not told")
		}
		if !s.Advice.Verdict.AsksForGas() || most == "--" || !strings.Contains(v.Rate(), most) {
			wrong("a word that asks for gas, and at most " + most + " beside" + v.Rate())
		}
	case "VENT":
		if s.Advice.Verdict != advise.VerdictVent || !strings.Contains(strings.ToLower(first), "vent") {
			wrong("VENT, and the first alarm says " + first)
		}
		if strings.Contains(w.shown, "go on in") || strings.Contains(w.shown, "may stay full") {
			wrong("a countdown beside VENT")
		}
	case "SHUT":
		if s.Phase != phase.Filling && s.TimeS-s.PhaseSince > 3 {
			wrong("SHUT, and no gas comes in")
		}
	case "KEEP SHUT":
		if s.Phase == phase.Filling {
			wrong("KEEP SHUT while gas comes in")
		}
	case "EMPTYING", "ENDED":
		if s.Phase == phase.Filling || s.Phase == phase.Holding {
			wrong("the phase is another")
		}
	}
	open, _ := v.MayStayOpen()
	if (word.Big == "VENT" || word.Big == "SHUT") && s.Phase == phase.Filling && open != headline.AtOnce {
		wrong(word.Big + ", and the supply may stay open " + open)
	}
	gas := word.Big == "FILL" || word.Big == "EASE OFF" || word.Big == "MAY TOP UP" || word.Big == "READY"
	for i := range s.Alarms {
		if a := &s.Alarms[i]; gas && a.Present() && (strings.HasPrefix(a.Do, "Shut") || a.Name == alarm.DataStale) {
			wrong(word.Big + ", and " + a.Name + " orders: " + a.Do)
		}
	}
	if !gas && most != "--" && most != "0.0" {
		wrong("no gas is asked for, and large digits say at most " + most)
	}
	present := func(l alarm.Level) bool {
		return slices.ContainsFunc(s.Alarms, func(a alarm.Active) bool { return a.Level == l && a.Present() })
	}
	if roleOf(word) == canvas.Abort && !present(alarm.LevelAbort) && !v.Stale() {
		wrong("red without an abort that is the case now")
	}
}
