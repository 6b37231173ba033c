package screen

import (
	"math"
	"strconv"

	"fillwright/internal/screen/canvas"
)

// status is vessel and times on the left, the state of the data on the right.
// In low windows it also stands in for phase, sensors and model.
func (v *view) status(_, w int) []canvas.Row {
	s := v.Now
	data := v.data(w)
	room := w - data.Width() - 1
	var fields []canvas.Row
	switch {
	case !v.Started() && w < 60:
		fields = append(fields, canvas.RowOf(canvas.Text, "no session yet"))
	case v.plan.rows[secVerdict] < 3:
		fields = append(fields, canvas.RowOf(canvas.Text, v.phase()))
	}
	if w >= 60 {
		n := max(10, min(w/6, 24))
		fields = append(fields, canvas.RowOf(canvas.Strong, canvas.Left(canvas.Cut(v.clean(v.profile.Name), n, v.g.More), n)),
			canvas.RowOf(canvas.Label, " session ").Add(canvas.Text, canvas.Right(clock(math.Max(s.TimeS, 0)), clockCells)))
	}
	r := canvas.RowOf(canvas.Text, "  ")
	for _, f := range fields { // a field that does not fit is left out whole
		if r.Width()+f.Width() > room {
			return []canvas.Row{r.Flush(data, w)}
		}
		r = append(r, f...)
	}
	const label, least = "  sensors ", 10
	if left := room - r.Width() - len(label); w >= 76 && v.plan.rows[secTrust] == 0 && left >= least {
		r = append(r.Add(canvas.Label, label), v.sensors().Cut(left, v.g.More)...)
	}
	return []canvas.Row{r.Flush(data, w)}
}

// data is the age and the rate of the data, and what is wrong with the chain.
func (v *view) data(w int) canvas.Row {
	s := v.Now
	switch {
	case v.paused && w >= 60:
		return canvas.RowOf(canvas.Caution, " "+v.g.Caution+" PICTURE PAUSED: ? marks old values; watching goes on ")
	case v.paused:
		return canvas.RowOf(canvas.Caution, " "+v.g.Caution+" PAUSED ")
	case !v.Started():
		return canvas.RowOf(canvas.Label, "no data yet ")
	case v.Stale() && w >= 60 && w < 100:
		return canvas.RowOf(canvas.Caution, " "+v.g.Caution+" DATA "+ageText(v.AgeS)+" OLD ")
	case v.Stale() && w >= 100:
		return canvas.RowOf(canvas.Caution, " "+v.g.Caution+" DATA "+ageText(v.AgeS)+" OLD: ? marks old values ")
	case v.Stale():
		return canvas.RowOf(canvas.Caution, v.g.Caution+" "+ageText(v.AgeS)+" OLD ")
	case s.Link.LogFailed:
		return canvas.RowOf(canvas.Caution, " "+v.g.Caution+" LOG NOT WRITTEN ")
	case v.replay != nil:
		return canvas.RowOf(canvas.Strong, v.replayText(w))
	}
	before := ""
	if v.Second {
		before = "SECOND SCREEN  "
	}
	text := before + "data " + canvas.Right(ageText(v.AgeS), 5)
	if w >= 76 && !v.Second {
		text += ", " + canvas.Right(canvas.Whole(s.Link.SampleHz), 3) + "/s"
	}
	return canvas.RowOf(canvas.Text, text+" ")
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

func (v *view) caution(_, w int) []canvas.Row {
	for _, text := range cautions {
		if canvas.Cells(text) <= w-4 {
			return []canvas.Row{canvas.RowOf(canvas.Label, "  "+text)}
		}
	}
	return []canvas.Row{canvas.RowOf(canvas.Label, "Advice only.")}
}

func (v *view) keyRow(_, _ int) []canvas.Row { return []canvas.Row{v.keys} }
