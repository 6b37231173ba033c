package screen

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

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
