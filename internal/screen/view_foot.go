package screen

import (
	"math"
	"strconv"
)

// status is vessel and times on the left, the state of the data on the right.
// In low windows it also stands in for phase, sensors and model.
func (v *view) status(_, w int) []row {
	s := v.now
	data := v.data(w)
	room := w - data.width() - 1
	var fields []row
	switch {
	case !v.started() && w < 60:
		fields = append(fields, rowOf(roleText, "no session yet"))
	case v.plan.rows[secVerdict] < 3:
		fields = append(fields, rowOf(roleText, v.phase()))
	}
	if w >= 60 {
		n := max(10, min(w/6, 24))
		fields = append(fields, rowOf(roleStrong, left(cutWith(v.clean(v.profile.Name), n, v.g.more), n)),
			rowOf(roleLabel, " session ").add(roleText, right(clock(math.Max(s.TimeS, 0)), clockCells)))
	}
	r := rowOf(roleText, "  ")
	for _, f := range fields { // a field that does not fit is left out whole
		if r.width()+f.width() > room {
			return []row{r.flush(data, w)}
		}
		r = append(r, f...)
	}
	const label, least = "  sensors ", 10
	if left := room - r.width() - len(label); w >= 76 && v.plan.rows[secTrust] == 0 && left >= least {
		r = append(r.add(roleLabel, label), v.sensors().cut(left, v.g.more)...)
	}
	return []row{r.flush(data, w)}
}

// data is the age and the rate of the data, and what is wrong with the chain.
func (v *view) data(w int) row {
	s := v.now
	switch {
	case v.paused && w >= 60:
		return rowOf(roleCaution, " "+v.g.caution+" PICTURE PAUSED: ? marks old values; watching goes on ")
	case v.paused:
		return rowOf(roleCaution, " "+v.g.caution+" PAUSED ")
	case !v.started():
		return rowOf(roleLabel, "no data yet ")
	case v.stale() && w >= 60 && w < 100:
		return rowOf(roleCaution, " "+v.g.caution+" DATA "+ageText(v.ageS)+" OLD ")
	case v.stale() && w >= 100:
		return rowOf(roleCaution, " "+v.g.caution+" DATA "+ageText(v.ageS)+" OLD: ? marks old values ")
	case v.stale():
		return rowOf(roleCaution, v.g.caution+" "+ageText(v.ageS)+" OLD ")
	case s.Link.LogFailed:
		return rowOf(roleCaution, " "+v.g.caution+" LOG NOT WRITTEN ")
	case v.replay != nil:
		return rowOf(roleStrong, v.replayText(w))
	}
	text := "data " + right(ageText(v.ageS), 5)
	if w >= 76 {
		text += ", " + right(whole(s.Link.SampleHz), 3) + "/s"
	}
	return rowOf(roleText, text+" ")
}

// replayText says where a replay stands.
func (v *view) replayText(w int) string {
	p := v.replay
	text := "REPLAY "
	switch {
	case p.Ended:
		text += "ended"
	case p.Paused:
		text += "paused"
	case math.IsInf(p.Speed, 1):
		text += "at full speed"
	default:
		text += "speed x" + strconv.FormatFloat(p.Speed, 'g', 3, 64)
	}
	if w >= 60 {
		text += "  " + clock(p.TimeS) + " of " + clock(p.EndS)
	}
	return text + " "
}

// cautions say what the program is not, as long as the window allows.
var cautions = [...]string{
	"Advice only. Keep your distance. This screen replaces no relief valve, proof test or range safety officer.",
	"Advice only. Keep your distance. This screen replaces no relief valve.",
	"Advice only. Keep your distance.",
}

func (v *view) caution(_, w int) []row {
	for _, text := range cautions {
		if cells(text) <= w-4 {
			return []row{rowOf(roleLabel, "  "+text)}
		}
	}
	return []row{rowOf(roleLabel, "Advice only.")}
}

func (v *view) keyRow(_, _ int) []row { return []row{v.keys} }
