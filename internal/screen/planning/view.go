package planning

import (
	"fmt"
	"strings"

	"fillwright/internal/plan"
	"fillwright/internal/screen/canvas"
)

// Widths and heights of the picture's parts, in cells.
const (
	inputCells   = 29
	inputsFrom   = 64 // of a window from which the inputs have room beside the answer
	inputsLeast  = 3  // rows of them under a narrow answer
	besideLeast  = 12 // and beside a wide one
	chartLeast   = 7
	chartMost    = 18
	tableLeast   = 6 // rows of the remedies before there is a chart
	valueCells   = 12
	factRowsMost = 12
)

// View implements tea.Model; the picture is Frame.
func (m Model) View() string {
	var b strings.Builder
	for i, r := range m.rows() {
		if i > 0 {
			b.WriteByte('\n')
		}
		r.Paint(&b, m.palettes[m.look])
	}
	return b.String()
}

// Frame implements program.Scene. A fault in drawing falls back to a line.
func (m Model) Frame() (f *canvas.Frame) {
	defer func() {
		if r := recover(); r != nil {
			rows := make([]canvas.Row, m.h)
			for i := range rows {
				rows[i] = canvas.RowOf(canvas.Text, "").Fit(m.w)
			}
			rows[0] = canvas.RowOf(canvas.Text, "The picture failed; q quits.").Fit(m.w)
			f = canvas.FrameOf(rows, m.w, m.h, m.palettes[m.look], m.redraws)
		}
	}()
	return canvas.FrameOf(m.rows(), m.w, m.h, m.palettes[m.look], m.redraws)
}

// rows fill the window exactly: title, body, the line of questions, the keys.
func (m Model) rows() []canvas.Row {
	body := max(m.h-3, 0)
	var middle []canvas.Row
	switch {
	case m.help:
		middle = m.helpRows()
	case m.w < inputsFrom:
		inputs := min(max(body/5, inputsLeast), 8, body)
		table := m.remedies(m.w, m.tableRows(m.w, body-inputs-1, 0))
		middle = append(m.answerRows(m.w, body-inputs-1-len(table)), table...)
		middle = append(middle, canvas.RowOf(canvas.Label, fmt.Sprintf(" %d of %d entries; arrows for the others", inputs, len(m.fields))))
		middle = append(middle, m.inputRows(inputs)...)
	default:
		w := m.w - inputCells - 1
		table := m.remedies(m.w, m.tableRows(w, body, besideLeast))
		upper := body - len(table)
		left, right := m.inputRows(upper), m.answerRows(w, upper)
		for i := range upper {
			r := canvas.Row{}
			if i < len(left) {
				r = append(r, left[i]...)
			}
			r = r.Fit(inputCells).Add(canvas.Label, m.divider())
			if i < len(right) {
				r = append(r, right[i]...)
			}
			middle = append(middle, r)
		}
		middle = append(middle, table...)
	}
	out := []canvas.Row{m.title()}
	for i := range body {
		if i < len(middle) {
			out = append(out, middle[i])
		} else {
			out = append(out, nil)
		}
	}
	out = append(out, m.question(), m.keyRow())
	out = out[:min(len(out), m.h)]
	for i := range out {
		out[i] = m.clean(out[i]).Cut(m.w, m.g.More).Fit(m.w)
	}
	return out
}

// clean makes every piece fit to be drawn.
func (m Model) clean(r canvas.Row) canvas.Row {
	out := make(canvas.Row, len(r))
	for i, s := range r {
		out[i] = canvas.SpanOf(s.Role, m.spell(s.Text))
	}
	return out
}

// spell is a text as it is drawn. What stands in columns is spelled before it is laid
// out, for ASCII may take other widths.
func (m Model) spell(text string) string {
	if m.g.ASCII {
		text = spelled.Replace(text)
	}
	return canvas.Clean(text, m.g.ASCII)
}

// spelled are signs of ours that ASCII spells otherwise.
var spelled = strings.NewReplacer("²", "2", "Δ", "d", "ρ", "rho ")

func (m Model) divider() string {
	if m.g.ASCII {
		return "|"
	}
	return "│"
}

func (m Model) title() canvas.Row {
	r := canvas.RowOf(canvas.Strong, " PLAN").Add(canvas.Text, "  "+m.setup.Vessel.Name+" to "+m.units.Pressure(m.targetPa()))
	model := "handbook values"
	if !m.setup.Model.IsHandbook() {
		model = "model of " + fmt.Sprint(len(m.setup.Model.Fills)) + " fills"
	}
	return r.Flush(canvas.RowOf(canvas.Label, model+"  "+m.units.String()+"  "+m.look.String()+" "), m.w)
}

// targetPa is the day's target, or what a remedy made of it.
func (m Model) targetPa() float64 {
	if m.answer.TargetPa > 0 {
		return m.answer.TargetPa
	}
	return m.setup.Day.TargetPa
}

// inputRows are the day's fields, with the one under the cursor always in sight. Where
// not all have room, the last row says so.
func (m Model) inputRows(rows int) []canvas.Row {
	from, last := 0, canvas.Row(nil)
	if len(m.fields) > rows && rows > inputsLeast && m.w >= inputsFrom {
		rows--
		last = canvas.RowOf(canvas.Label, fmt.Sprintf("  %d more: arrows", len(m.fields)-rows))
	}
	if len(m.fields) > rows {
		from = min(max(m.at-rows/2, 0), len(m.fields)-rows)
	}
	var out []canvas.Row
	for i := from; i < min(from+rows, len(m.fields)); i++ {
		f := m.fields[i]
		name, value := canvas.Label, canvas.Text
		mark := " "
		if i == m.at {
			name, value, mark = canvas.Strong, canvas.Strong, ">"
		}
		text := f.Text(&m.setup.Day, m.units)
		if text == "" {
			text, value = "not said", canvas.Label
			if i == m.at {
				value = canvas.Strong
			}
		}
		out = append(out, canvas.RowOf(name, mark+canvas.Left(f.Name, inputCells-valueCells-2)).Add(value, canvas.Left(" "+canvas.Cut(m.spell(text), valueCells-1, m.g.More), valueCells)))
	}
	if last != nil {
		out = append(out, last)
	}
	return out
}

// answerRows are the answer and the forecast in a box of cells. What matters most of
// the facts is always there, the forecast from a height on.
func (m Model) answerRows(w, rows int) []canvas.Row {
	out := append(m.verdict(w), m.reason(w)...)
	facts := m.facts(w)
	if !m.forecast() || rows-len(out)-facts.least < chartLeast {
		return append(out, facts.first(rows-len(out))...)
	}
	out = append(out, facts.first(min(rows-len(out)-chartLeast-chartMore, factRowsMost))...)
	if chart := min(rows-len(out), chartMost); chart >= chartLeast {
		out = append(out, m.chart(w, chart)...)
	}
	return out
}

// chartMore is by how much a forecast grows before facts that may be left out.
const chartMore = 3

// forecast says whether there is one to draw: of a no-go there is none, for it would
// look like something to do.
func (m Model) forecast() bool { return m.answer.Verdict != plan.NoGo && !m.trouble }

// tableRows are what the remedies have of a body's rows: all that they want where the
// answer leaves so many, in a box of w cells; the best ones in any case.
func (m Model) tableRows(w, body, upperLeast int) int {
	upper := len(m.verdict(w)) + len(m.reason(w)) + m.facts(w).least
	if m.forecast() && body-upper-chartLeast >= tableLeast {
		upper += chartLeast
	}
	wanted := len(m.setup.Remedies()) + 2 // the head, and the best two
	return max(0, min(wanted, body-max(upper, upperLeast)))
}

// ink is the role of what is worked out: what belongs to an older day is old.
func (m Model) ink(r canvas.Role) canvas.Role {
	if m.stale {
		return canvas.Old
	}
	return r
}

// question is what is typed, or the newest notice.
func (m Model) question() canvas.Row {
	f := m.fields[m.at]
	switch {
	case m.typing && m.notice != "":
		return canvas.RowOf(canvas.Caution, " "+f.Name+": "+m.input+"_").Add(canvas.Text, "  "+m.notice)
	case m.typing:
		return canvas.RowOf(canvas.Strong, " "+f.Name+": "+m.input+"_").Add(canvas.Label, "  for example "+f.Example)
	case m.notice != "":
		return canvas.RowOf(canvas.Caution, " "+m.notice+" ")
	case m.stale && m.seq > 0:
		return canvas.RowOf(canvas.Label, " working it out: what stands above is of the day as it was")
	}
	return canvas.RowOf(canvas.Label, " A plan is no promise. Read the wall before the first gas.")
}

// keyRow is the row of keys: whole items only.
func (m Model) keyRow() canvas.Row {
	r := canvas.RowOf(canvas.Text, " ")
	for i, b := range bindings {
		between := "  "[:2*min(i, 1)]
		if r.Width()+canvas.Cells(between+b.key+" "+b.short) > m.w {
			break
		}
		r = r.Add(canvas.Label, between).Add(canvas.Strong, b.key).Add(canvas.Label, " "+b.short)
	}
	return r
}

func (m Model) helpRows() []canvas.Row {
	out := m.summary()
	for _, b := range bindings {
		out = append(out, canvas.RowOf(canvas.Strong, "  "+canvas.Left(b.key, 8)).Add(canvas.Text, b.long))
	}
	f := m.fields[m.at]
	for _, text := range []string{
		f.Name + ": " + f.About + ", such as " + f.Example,
		"gain: what a remedy adds to the margin at that ramp, beside those marked [x]; the answer above is for a day with them in place. if done: what the answer would be. A wrap's minutes are those until it is dry: no use, when it dries in the fill and nobody may wet it.",
		"A go: the wall's peak with its band, two sigma, stays under the limit, in what the plan knows: heat. It does not say that the vessel is sound. Stand well back, behind a barrier; the range safety officer decides.",
	} {
		for _, line := range canvas.Wrap(text, max(m.w-4, 10), 6, m.g.More) {
			out = append(out, canvas.RowOf(canvas.Text, "  "+line))
		}
	}
	return out
}
