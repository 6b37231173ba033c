package bath

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/bath"
	"fillwright/internal/bench"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
)

// View implements tea.Model.
func (m Model) View() (picture string) {
	defer func() {
		if r := recover(); r != nil {
			picture = "The screen met a fault of its own; q quits."
		}
	}()
	return m.picture()
}

// picture is exactly h lines of at most w cells. What matters most is never
// pushed out: the verdict on top, question and keys at the bottom.
func (m Model) picture() string {
	top := []line{m.title(), m.verdict()}
	foot := []line{m.question(), m.keyRow()}
	var body []line
	if m.help {
		body = m.helpLines()
	} else {
		body = m.body()
	}
	room := max(m.h-len(top)-len(foot), 0)
	if len(body) > room {
		body = body[:room]
	}
	all := append(append([]line(nil), top...), body...)
	for len(all) < m.h-len(foot) {
		all = append(all, nil)
	}
	all = append(all, foot...)
	if len(all) > m.h {
		all = append(all[:max(m.h-1, 0)], foot[0])[:m.h]
	}
	out := make([]string, len(all))
	for i, l := range all {
		if m.opt.ASCII {
			for j := range l {
				l[j].text = toASCII.Replace(l[j].text)
			}
		}
		out[i] = m.palette.draw(l, m.w, m.signs.more)
	}
	return strings.Join(out, "\n")
}

func (m Model) title() line {
	v := &m.view
	logger := "no logger yet"
	if v.BoardKnown {
		logger = "logger " + probe.BoardText(v.Board)
	}
	name := v.Way.Method()
	if v.Second {
		name += ", second point"
	}
	return in(strong, " OFFSETS  ").and(in(strong, name)).add(fmt.Sprintf("   %s, %s   %s", v.Vessel, logger, quantity.Clock(v.ElapsedS)))
}

// verdict is what the operator has to do now, the first line that is true.
func (m Model) verdict() line {
	v := &m.view
	say := func(r role, word, rest string) line { return text(" ").and(in(r, " "+word+" ")).add(" " + rest) }
	if m.trouble != "" {
		return say(caution, "FAULT", m.trouble)
	}
	if v.Link != "" {
		return say(caution, "LOGGER", v.Link)
	}
	if v.Written != "" {
		return say(strong, "WRITTEN", v.Written)
	}
	if v.Done {
		return m.found(say)
	}
	if !v.BoardKnown {
		return say(strong, "WAIT", "for the logger")
	}
	done, left := 0, 0.0
	for i := range v.Probes {
		if v.Probes[i].State == bath.StateDone {
			done++
		} else if !(v.Probes[i].LeftS <= left) { // one that nobody can tell counts
			left = v.Probes[i].LeftS
		}
	}
	rest := fmt.Sprintf("%d of %d at rest and averaged; time left %s", done, len(v.Probes), quantity.Clock(left))
	if math.IsNaN(left) {
		rest = fmt.Sprintf("%d of %d at rest and averaged; time left not known yet, %s at the most", done, len(v.Probes),
			quantity.Clock(math.Max(v.Limits.PatienceS-v.ElapsedS, 0)))
	}
	return say(strong, "WAIT", rest)
}

// found is the verdict when all sensors are done.
func (m Model) found(say func(role, string, string) line) line {
	v := &m.view
	refused := 0
	for i := range v.Results {
		if v.Results[i].Refused != "" {
			refused++
		}
	}
	switch {
	case v.Asks:
		return say(caution, "REFERENCE", "press r and type what it reads")
	case refused > 0 && v.Way.Pressure():
		return say(danger, "REFUSED", v.Results[0].Refused)
	case refused == len(v.Results):
		return say(danger, "REFUSED", "no sensor came to a result; see why below")
	case v.Way == bath.WayZero:
		if _, retype, why := m.feed.Wants(); retype {
			return say(danger, "TRAPPED?", why)
		}
	case refused > 0:
		return say(caution, "DONE", fmt.Sprintf("%d of %d refused; w writes the others", refused, len(v.Results)))
	}
	return say(strong, "DONE", "press w to write it")
}

func (m Model) body() []line {
	v := &m.view
	reference := "not known: press r and type it"
	if v.Reference != "" {
		reference = v.Reference
	}
	l := v.Limits
	limits := fmt.Sprintf("At rest: drift under %s a minute, scatter under %s for %.0f s; then a mean of %.0f s.",
		m.amount(l.Drift), m.amount(l.Scatter), l.WindowS, l.AverageS)
	out := m.wrapped(plain, " ", v.Way.Needs())
	out = append(out, text(" Reference: ").and(in(strong, reference)))
	out = append(append(out, m.wrapped(plain, " ", limits)...), nil, in(strong, m.head()))
	for i := range v.Probes {
		out = append(out, m.row(&v.Probes[i]))
	}
	out = append(out, nil)
	for i := range v.Results {
		out = append(out, m.result(&v.Results[i])...)
	}
	return out
}

// The cells of the table's columns.
const (
	nameCells, valueCells, barCells, stateCells = 15, 9, 10, 11
	sparkFrom                                   = 104 // cells of a window from which there is room for the past
	sparkCells                                  = 24
)

func (m Model) head() string {
	s := " " + padded("sensor", nameCells) + right("reads", valueCells) + right("drift/min", valueCells+1) + right("scatter", valueCells) +
		"  " + padded("", barCells) + " " + padded("", stateCells) + right("too much", valueCells)
	if m.w >= sparkFrom {
		s += "  the last minutes"
	}
	return s
}

// row is how one probe stands.
func (m Model) row(p *bath.Probe) line {
	state, r := p.State.String(), plain
	if p.State == bath.StateIll || p.State == bath.StateGaveUp {
		r = caution
		if p.Reading.Health != probe.HealthGood && p.Reading.Health != probe.HealthUnknown {
			state = p.Reading.Health.String()
		}
	}
	filled := int(math.Round(math.Max(p.Share, 0) * barCells))
	bar := strings.Repeat(m.signs.full, filled) + strings.Repeat(m.signs.empty, max(barCells-filled, 0))
	l := text(" " + padded(name(&p.Reading), nameCells) + right(m.value(p), valueCells) + right(m.number(p.Drift, 2), valueCells+1) +
		right(m.number(p.Scatter, 2), valueCells) + "  " + bar + " ").
		and(in(r, padded(state, stateCells))).and(in(strong, right(m.number(p.Offset, 2), valueCells)))
	if m.w >= sparkFrom {
		l = l.add("  " + m.spark(p.Trace))
	}
	return l
}

func name(r *probe.Reading) string {
	n := fmt.Sprintf("%d %s", r.Channel, r.Role)
	if r.Station != "" {
		n = fmt.Sprintf("%d %s", r.Channel, r.Station)
	}
	return n
}

// value is what the probe reads now.
func (m Model) value(p *bath.Probe) string {
	if m.view.Way.Pressure() {
		return m.units.PressureNumber(p.Reading.Value)
	}
	return m.units.TemperatureNumber(p.Reading.Value)
}

// number is a difference in the operator's unit, with a sign.
func (m Model) number(si float64, decimals int) string {
	x := m.units.DifferenceValue(si)
	if m.view.Way.Pressure() {
		x = m.units.PressureValue(si)
	}
	if math.IsNaN(x) {
		return quantity.Unknown
	}
	s := fmt.Sprintf("%+.*f", decimals, x)
	if strings.Trim(s, "+-0.") == "" {
		s = "0" + s[2:]
	}
	return s
}

// amount is a limit with its unit.
func (m Model) amount(si float64) string {
	if m.view.Way.Pressure() {
		return fmt.Sprintf("%.3g %s", m.units.PressureValue(si), m.units.PressureUnit())
	}
	return fmt.Sprintf("%.3g %s", m.units.DifferenceValue(si), m.units.TemperatureUnit())
}

// spark is the probe's past, newest right; each cell shows the mean of its
// share, scaled to what there was.
func (m Model) spark(trace []float64) string {
	if len(trace) == 0 {
		return ""
	}
	cells := min(sparkCells, len(trace))
	means := make([]float64, cells)
	least, most := math.Inf(1), math.Inf(-1)
	for i := range means {
		from, to := i*len(trace)/cells, (i+1)*len(trace)/cells
		for _, v := range trace[from:to] {
			means[i] += v / float64(to-from)
		}
		least, most = math.Min(least, means[i]), math.Max(most, means[i])
	}
	var b strings.Builder
	for _, v := range means {
		level := 0
		if most > least {
			level = int(math.Round((v - least) / (most - least) * float64(len(m.signs.spark)-1)))
		}
		b.WriteRune(m.signs.spark[level])
	}
	return b.String()
}

// result is what was found of one sensor, with its remarks.
func (m Model) result(r *bath.Result) []line {
	lines := bench.Line(r, m.units)
	first, mark := strong, " "
	if r.Refused != "" {
		first, mark = caution, " ! "
	}
	out := m.wrapped(first, mark, lines[0])
	for i := range lines[1:] {
		lines[i+1] = strings.TrimSpace(lines[i+1])
	}
	if len(lines) > 1 {
		out = append(out, m.wrapped(plain, "    ", strings.Join(lines[1:], "; "))...)
	}
	return out
}

// wrapped breaks words over lines that fit; later lines are set in.
func (m Model) wrapped(r role, before, s string) []line {
	room := max(m.w-len(before)-1, 10)
	var out []line
	for i, l := range strings.Split(ansi.Wordwrap(s, room, ""), "\n") {
		if i > 0 {
			before = strings.Repeat(" ", len(before))
		}
		out = append(out, text(before).and(in(r, l)))
	}
	return out
}

// question is the line above the keys: what is asked, or the newest notice.
func (m Model) question() line {
	ask := func(q, example string) line {
		l := in(strong, " "+q+": ").add(m.input).and(in(strong, "_"))
		switch {
		case m.notice != "" && m.ask != askRetype: // why it is asked again; a retype's stands above
			l = l.add("  " + m.notice)
		case example != "" && m.input == "":
			l = l.add("  for example " + example)
		}
		return l
	}
	switch m.ask {
	case askReference:
		return ask(bench.Prompt(m.view.Way))
	case askRemark:
		return ask("remark for the record, enter writes, esc does not", "")
	case askVented:
		return ask("supply shut, vent open? type the word "+ventedWord+" and enter", "")
	case askRetype:
		return in(danger, " TRAPPED? ").and(ask("retype the reading, with its unit, to take it all the same", ""))
	case askQuit:
		return in(strong, " Quit without writing what was found? y quits, any other key stays")
	case askDiscard:
		return in(strong, " Begin anew without writing what was found? y begins anew, any other key stays")
	}
	return in(strong, " "+m.notice)
}

func (m Model) keyRow() line {
	l := text(" ")
	for _, b := range bindings {
		l = l.and(in(strong, b.key)).add(" " + b.short + "  ")
	}
	return l
}

func (m Model) helpLines() []line {
	var out []line
	for _, b := range bindings {
		out = append(out, in(strong, "  "+b.key+"  ").add(b.long))
	}
	return append(out,
		text("  too much: what the sensor reads too much; it will be taken off"),
		text("  ± holds the true value 19 times in 20 (k = 2); it has the scatter, the"),
		text("    reference, the cold junction and the resolution in it"),
		text("  The probes must be at one temperature; the program can't see that."))
}
