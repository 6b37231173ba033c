package screen

import (
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// reason says why, in the words of the advice; old data comes first.
func (v *view) reason(rows, w int) []canvas.Row {
	r := canvas.Strong
	if v.Word().Level == alarm.LevelAbort {
		r = canvas.Abort
	}
	var out []canvas.Row
	for _, line := range canvas.Wrap(v.notNow()+v.rateApart(w)+v.clean(v.Why()), w-4, rows, v.g.More) {
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

// shownWord is the large word: of a replay just that, for nobody who looks at
// it from afar may take a recorded order for one.
func (v *view) shownWord() headline.Word {
	w := v.Word()
	if v.replay != nil {
		w.Order = wording.Order{Big: "REPLAY"}
	}
	return w
}

// notNow begins the reason of a replay: what was the large word.
func (v *view) notNow() string {
	if v.replay == nil {
		return ""
	}
	return "Recorded: " + v.Order() + ". "
}

// rateApart is how fast, where there is no room for it beside the large word.
func (v *view) rateApart(w int) string {
	rate, rows := strings.Join(strings.Fields(v.Rate()), " "), v.plan.rows[secVerdict]
	if v.replay != nil || rate == "" {
		return "" // a replay has said it
	}
	lines, tail := v.letters(v.Word().Order, rows, w)
	word := canvas.Cells(tailAt(tail, rows/2, rows)) + canvas.Cells(lines[rows/2])
	if 2+word+canvas.Cells(v.Rate()) < w-2 {
		return ""
	}
	return strings.ToUpper(rate[:1]) + rate[1:] + ". "
}
