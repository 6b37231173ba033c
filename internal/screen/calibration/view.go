package calibration

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/calibrate"
	"fillwright/internal/calibrate/run"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
)

// rows are exactly h rows of w cells. What matters most is never pushed out:
// the verdict on top, question and keys at the bottom. A fault leaves one line.
func (m Model) rows() (out []canvas.Row) {
	defer func() {
		if r := recover(); r != nil {
			out = []canvas.Row{canvas.RowOf(canvas.Text, "The screen met a fault of its own; q quits.").Fit(m.w)}
		}
	}()
	body := m.body()
	if m.help {
		body = m.helpRows()
	}
	top, foot := []canvas.Row{m.title(), m.verdict()}, []canvas.Row{m.question(), m.keyRow()}
	room := max(m.h-len(top)-len(foot), 0)
	for len(body) < room {
		body = append(body, nil)
	}
	all := append(append(top, body[:room]...), foot...)
	if len(all) > m.h {
		all = append(all[:max(m.h-1, 0)], foot[0])[:m.h]
	}
	for i, r := range all {
		for j := range r {
			r[j].Text = canvas.Clean(r[j].Text, m.glyphs.ASCII)
		}
		all[i] = r.Cut(m.w, m.glyphs.More).Fit(m.w)
	}
	return all
}

func (m Model) title() canvas.Row {
	v := &m.view
	logger := "no logger yet"
	if v.BoardKnown {
		logger = "logger " + probe.BoardText(v.Board)
	}
	name := v.Method.Name()
	if v.Second {
		name += ", second point"
	}
	return canvas.RowOf(canvas.Strong, " OFFSETS  "+name).Add(canvas.Text, fmt.Sprintf("   %s, %s   %s", v.Vessel, logger, quantity.Clock(v.ElapsedS)))
}

// verdict is what the operator has to do now.
func (m Model) verdict() canvas.Row {
	role, word, rest := m.says()
	return canvas.RowOf(canvas.Text, " ").Add(role, " "+word+" ").Add(canvas.Text, " "+rest)
}

// says is the verdict's words, the first that are true.
func (m Model) says() (role canvas.Role, word, rest string) {
	v := &m.view
	switch {
	case v.Link != "":
		return canvas.Caution, "LOGGER", v.Link
	case v.Written != "":
		return canvas.Strong, "WRITTEN", v.Written
	case v.Done:
		return m.found()
	case !v.BoardKnown:
		return canvas.Strong, "WAIT", "for the logger"
	}
	done, left := 0, 0.0
	for i := range v.Probes {
		if v.Probes[i].State == calibrate.StateDone {
			done++
		} else if !(v.Probes[i].LeftS <= left) { // one that nobody can tell counts
			left = v.Probes[i].LeftS
		}
	}
	rest = fmt.Sprintf("%d of %d at rest and averaged; ", done, len(v.Probes))
	if math.IsNaN(left) {
		return canvas.Strong, "WAIT", rest + "time left not known yet, at the most " + quantity.Clock(math.Max(v.Limits.PatienceS-v.ElapsedS, 0))
	}
	return canvas.Strong, "WAIT", rest + "time left " + quantity.Clock(left)
}

// found is the verdict when all sensors are done.
func (m Model) found() (role canvas.Role, word, rest string) {
	v := &m.view
	refused := 0
	for i := range v.Results {
		if v.Results[i].Refused != "" {
			refused++
		}
	}
	_, retype, why := m.feed.Wants()
	switch {
	case v.Asks:
		return canvas.Caution, "REFERENCE", "press r and type what it reads"
	case refused > 0 && v.Method.Pressure():
		return canvas.Abort, "REFUSED", v.Results[0].Refused
	case refused == len(v.Results):
		return canvas.Abort, "REFUSED", "no sensor came to a result; see why below"
	case v.Method == calibrate.MethodZero && retype:
		return canvas.Abort, "TRAPPED?", why
	case refused > 0:
		return canvas.Caution, "DONE", fmt.Sprintf("%d of %d refused; w writes the others", refused, len(v.Results))
	}
	return canvas.Strong, "DONE", "press w to write it"
}

func (m Model) body() []canvas.Row {
	v := &m.view
	reference := "not known: press r and type it"
	if v.Reference != "" {
		reference = v.Reference
	}
	unit := m.units.TemperatureUnit()
	if v.Method.Pressure() {
		unit = m.units.PressureUnit()
	}
	out := m.wrapped(canvas.Text, " ", v.Method.Needs())
	out = append(out, canvas.RowOf(canvas.Text, " Reference: ").Add(canvas.Strong, reference))
	out = append(out, m.wrapped(canvas.Text, " ", fmt.Sprintf("At rest: drift under %.3g %s a minute, scatter under %.3g %s for %.0f s; then a mean of %.0f s.",
		m.value(v.Limits.Drift), unit, m.value(v.Limits.Scatter), unit, v.Limits.WindowS, v.Limits.AverageS))...)
	out = append(out, nil, canvas.RowOf(canvas.Strong, fmt.Sprintf(" %-15s%9s%10s%9s  %10s %11s%9s", "sensor", "reads", "drift/min", "scatter", "", "", "too much")))
	for i := range v.Probes {
		out = append(out, m.probe(&v.Probes[i]))
	}
	out = append(out, nil)
	for i := range v.Results {
		out = append(out, m.result(&v.Results[i])...)
	}
	return out
}

const barCells = 10

// probe is how one sensor stands.
func (m Model) probe(p *calibrate.Probe) canvas.Row {
	state, role := p.State.String(), canvas.Text
	if p.State == calibrate.StateIll || p.State == calibrate.StateGaveUp {
		role = canvas.Caution
		if h := p.Reading.Health; h != probe.HealthGood && h != probe.HealthUnknown {
			state = h.String()
		}
	}
	name, reads := string(p.Reading.Role), m.units.TemperatureNumber(p.Reading.Value)
	if p.Reading.Station != "" {
		name = p.Reading.Station
	}
	if m.view.Method.Pressure() {
		reads = m.units.PressureNumber(p.Reading.Value)
	}
	filled := int(math.Round(math.Max(p.Share, 0) * barCells))
	bar := strings.Repeat(m.glyphs.Full, filled) + strings.Repeat(m.glyphs.Empty, max(barCells-filled, 0))
	r := canvas.RowOf(canvas.Text, " "+canvas.Left(fmt.Sprintf("%d %s", p.Reading.Channel, name), 15)+canvas.Right(reads, 9)+
		canvas.Right(m.number(p.Drift), 10)+canvas.Right(m.number(p.Scatter), 9)+"  "+bar+" ")
	return r.Add(role, canvas.Left(state, 11)).Add(canvas.Strong, canvas.Right(m.number(p.Offset), 9))
}

// value is a difference in the operator's unit.
func (m Model) value(si float64) float64 {
	if m.view.Method.Pressure() {
		return m.units.PressureValue(si)
	}
	return m.units.DifferenceValue(si)
}

// number is a difference in the operator's unit, with a sign.
func (m Model) number(si float64) string {
	x := math.Round(100*m.value(si)) / 100
	switch {
	case math.IsNaN(x):
		return quantity.Unknown
	case x == 0:
		return "0.00"
	}
	return fmt.Sprintf("%+.2f", x)
}

// result is what was found of one sensor, with its remarks.
func (m Model) result(q *calibrate.Result) []canvas.Row {
	lines := run.Lines(q, m.units)
	role, before := canvas.Strong, " "
	if q.Refused != "" {
		role, before = canvas.Caution, " ! "
	}
	return append(m.wrapped(role, before, lines[0]), m.wrapped(canvas.Text, "    ", strings.Join(lines[1:], "; "))...)
}

// wrapped breaks words over rows that fit; later rows are set in.
func (m Model) wrapped(role canvas.Role, before, s string) (out []canvas.Row) {
	for _, l := range canvas.Wrap(canvas.Clean(s, m.glyphs.ASCII), max(m.w-len(before)-1, 10), m.h, m.glyphs.More) {
		out = append(out, canvas.RowOf(canvas.Text, before).Add(role, l))
		before = strings.Repeat(" ", len(before))
	}
	return out
}

// question is the row above the keys: what is asked, or the newest notice.
func (m Model) question() canvas.Row {
	ask := func(r canvas.Row, question, example string) canvas.Row {
		r = r.Add(canvas.Strong, " "+question+": ").Add(canvas.Text, m.input).Add(canvas.Strong, "_")
		switch {
		case m.notice != "" && m.ask != askRetype: // why it is asked again; a retype's stands above
			r = r.Add(canvas.Text, "  "+m.notice)
		case example != "" && m.input == "":
			r = r.Add(canvas.Text, "  for example "+example)
		}
		return r
	}
	switch m.ask {
	case askReference:
		question, example := m.view.Method.Asks()
		return ask(nil, question, example)
	case askRemark:
		return ask(nil, "remark for the record, enter writes, esc does not", "")
	case askVented:
		return ask(nil, "supply shut, vent open? type the word "+ventedWord+" and enter", "")
	case askRetype:
		return ask(canvas.RowOf(canvas.Abort, " TRAPPED? "), "retype the reading, with its unit, to take it all the same", "")
	case askQuit:
		return canvas.RowOf(canvas.Strong, " Quit without writing what was found? y quits, any other key stays")
	case askDiscard:
		return canvas.RowOf(canvas.Strong, " Begin anew without writing what was found? y begins anew, any other key stays")
	}
	return canvas.RowOf(canvas.Strong, " "+m.notice)
}

func (m Model) keyRow() canvas.Row {
	r := canvas.RowOf(canvas.Text, " ")
	for _, b := range bindings {
		r = r.Add(canvas.Strong, b.key).Add(canvas.Text, " "+b.short+"  ")
	}
	return r
}

func (m Model) helpRows() (out []canvas.Row) {
	for _, b := range bindings {
		out = append(out, canvas.RowOf(canvas.Strong, "  "+b.key+"  ").Add(canvas.Text, b.long))
	}
	for _, l := range []string{"too much: what the sensor reads too much; it will be taken off",
		"± holds the true value 19 times in 20 (k = 2); it has the scatter, the",
		"  reference, the cold junction and the resolution in it",
		"The probes must be at one temperature; the program can't see that."} {
		out = append(out, canvas.RowOf(canvas.Text, "  "+l))
	}
	return out
}
