package practice

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/quantity"
)

// Invented is what stands above every account.
var Invented = []string{"The truth of this practice. Vessel and gas are invented: it teaches the use",
	"of the program, not how a real vessel behaves."}

// Text is the account in lines, in the given units.
func (a *Account) Text(u quantity.System) []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	lines := append([]string{}, Invented...)
	n := 0
	for _, f := range a.fills {
		if f.pressureMostPa < filledPa {
			continue
		}
		n++
		lines = append(lines, "", fmt.Sprintf("Fill %d, %s to %s%s", n, quantity.Clock(f.beginS), quantity.Clock(f.endS), f.unfinished()))
		lines = append(lines, f.text(a.onsetK, u)...)
		lines = append(lines, f.alarms()...)
	}
	if n == 0 {
		lines = append(lines, "No gas was let in, so there is nothing to tell.")
	}
	return lines
}

func (f *fill) unfinished() string {
	if f.done {
		return ""
	}
	return "; the vessel was left under pressure"
}

// line is a name and what is to be said of it.
func line(name, format string, a ...any) string {
	return fmt.Sprintf("  %-22s ", name) + fmt.Sprintf(format, a...)
}

func (f *fill) text(onsetK float64, u quantity.System) []string {
	shown := "nothing, the wall was not known"
	if !math.IsNaN(f.shownK) {
		shown = u.TemperatureNumber(f.shownK) + " ± " + u.Difference(f.shownBandK)
	}
	over := ""
	if f.hottestK >= onsetK {
		over = ": THE WALL WAS AT ONSET"
	}
	out := []string{
		line("hottest wall, truly", "%s at %s; the screen showed %s", u.Temperature(f.hottestK), quantity.Clock(f.hottestS), shown),
		line("least left to onset", "%s of the true wall%s", u.Difference(onsetK-f.hottestK), over),
		line("least MARGIN shown", "%s", u.Difference(f.marginLeastK)),
	}
	if f.knownS > 0 {
		out = append(out, line("the estimate", "was off by %s at worst, outside its band %s of %s",
			u.Difference(math.Abs(f.missK)), quantity.Clock(f.outsideS), quantity.Clock(f.knownS)))
	}
	return append(out,
		line("pressure", "%s at most, %s at the fastest", u.Pressure(f.pressureMostPa), u.Ramp(f.rampMostPaS)),
		line("above the advised ramp", "%s s of %s s with the supply open", seconds(f.aboveS), seconds(f.openS)))
}

// alarms says how each was answered.
func (f *fill) alarms() []string {
	if len(f.answers) == 0 {
		return []string{line("alarms", "none")}
	}
	var out []string
	for i := range f.answers {
		name := ""
		if i == 0 {
			name = "alarms"
		}
		out = append(out, line(name, "%s", f.answers[i].text()))
	}
	return out
}

func (a *answer) text() string {
	parts := []string{fmt.Sprintf("%s %s", quantity.Clock(a.atS), strings.ToUpper(levelWord(a.level))+" "+a.name)}
	words := wantWords[a.want]
	switch {
	case a.want == wantNothing:
	case a.already:
		parts = append(parts, words.already)
	case math.IsNaN(a.doneS):
		parts = append(parts, words.never)
	default:
		parts = append(parts, fmt.Sprintf("%s %s s", words.done, seconds(a.doneS-a.atS)))
	}
	if math.IsNaN(a.seenS) {
		return strings.Join(parts, "; ")
	}
	return strings.Join(append(parts, fmt.Sprintf("seen after %s s", seconds(a.seenS-a.atS))), "; ")
}

// levelWord is the level as the screen has it.
func levelWord(l alarm.Level) string {
	if l == alarm.LevelAdvisory {
		return "note"
	}
	return l.String()
}

func seconds(s float64) string { return fmt.Sprintf("%.1f", s) }
