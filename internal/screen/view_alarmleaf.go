package screen

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
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
func (v *view) alarmLeaf(w int) []row {
	if len(v.now.Alarms) == 0 {
		return []row{rowOf(roleText, "  No alarm stands.")}
	}
	var out []row
	for i := range v.now.Alarms {
		a := &v.now.Alarms[i]
		word, shape, r := v.alarmLook(a)
		state := ""
		if int(a.State) < len(stateWords) {
			state = stateWords[a.State] + ", "
		}
		d := definitionsByName[a.Name]
		head := fmt.Sprintf("%s%s, since %s (%s)", state, a.Name, clock(math.Max(a.SinceS, 0)), clock(sinceS(v.now.TimeS, a.SinceS)))
		told := [][2]string{{"cause", v.tell(sentence(a.Cause, a.Name))}, {"or else", sentence(d.Consequence, "not known")},
			{"do", fmt.Sprintf("%s Within %.0f s.", a.Do, d.RespondS)}}
		if !a.Present() && a.Name != alarm.Reminder {
			head = state + a.Name + ", " + whenText(a)
			told = [][2]string{{"was", v.tell(sentence(a.Cause, a.Name))}}
		}
		if a.First {
			head += ", came first"
		}
		out = append(out, rowOf(r, shape+" "+word+" ").add(roleStrong, " "+v.clean(head)))
		for _, line := range told {
			for j, part := range wrap(v.clean(line[1]), max(w-12, 8), 2, v.g.more) {
				label := ""
				if j == 0 {
					label = line[0]
				}
				out = append(out, rowOf(roleLabel, "  "+left(label, 9)).add(roleText, part))
			}
		}
	}
	return out
}
