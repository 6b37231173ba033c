package screen

import (
	"math"
	"strings"
	"time"

	"fillwright/internal/headline"
	"fillwright/internal/lines"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/session"
	"fillwright/internal/vessel"
)

// view draws one picture. It is made anew for each and holds what the parts
// of the picture share.
type view struct {
	headline.Told                   // of the newest: verdict, reason and alarms always come from it
	shown         *monitor.Snapshot // the same, or the one the picture was paused at
	hist          *Trail
	profile       *vessel.Profile
	g             *canvas.Glyphs
	pal           *canvas.Palette
	plan          plan
	old           bool // measured values are shown as old
	paused        bool // the picture is
	flash         bool // dark half of a flash
	windowS       float64
	replay        *session.Position
	pin           *pinned
	planned       *Planned
	help          []canvas.Row // over the lower sections, if not nil
	foot          []canvas.Row // over the lowest rows, if not nil
	keys          canvas.Row
}

// lines is the picture: exactly plan.h rows of plan.w cells.
func (v *view) lines() []canvas.Row {
	p := &v.plan
	out := make([]canvas.Row, 0, p.h)
	for s := secVerdict; s <= secNumbers; s++ {
		out = append(out, v.sectionRows(s, p.w)...)
	}
	body := len(out)
	out = append(out, v.body()...)
	for s := secStatus; s < sectionMost; s++ {
		out = append(out, v.sectionRows(s, p.w)...)
	}
	for len(out) < p.h {
		out = append(out, nil)
	}
	out = out[:p.h]
	v.cover(out, body)
	for i := range out {
		out[i] = out[i].Fit(p.w)
	}
	return out
}

// cover lays help and foot over the rows they hide: never verdict, alarms,
// margin or pressure.
func (v *view) cover(out []canvas.Row, body int) {
	if v.help != nil {
		for i := body; i < len(out); i++ {
			out[i] = nil
			if i-body < len(v.help) {
				out[i] = v.help[i-body]
			}
		}
	}
	for i, r := range v.foot {
		if at := len(out) - len(v.foot) + i; at >= 0 {
			out[at] = r
		}
	}
}

// body is wall, gas, after, chart, trust and events, in one column or two.
func (v *view) body() []canvas.Row {
	var out []canvas.Row
	for s := secWall; s <= secEvents; s++ {
		if s != secChart || !v.plan.side {
			out = append(out, v.sectionRows(s, v.plan.left)...)
		}
	}
	if !v.plan.side {
		return out
	}
	const gap = 3
	chart := v.sectionRows(secChart, v.plan.w-v.plan.left-gap)
	for i := range out {
		out[i] = append(out[i].Fit(v.plan.left+gap), chart[i]...)
	}
	return out
}

// sectionDraw holds who draws a section.
var sectionDraw = [sectionMost]func(v *view, rows, w int) []canvas.Row{
	secVerdict: (*view).verdict, secReason: (*view).reason, secAlarms: (*view).alarms, secNumbers: (*view).numbers,
	secWall: (*view).wall, secGas: (*view).gas, secAfter: (*view).after, secChart: (*view).chart,
	secTrust: (*view).trust, secEvents: (*view).events,
	secStatus: (*view).status, secCaution: (*view).caution, secKeys: (*view).keyRow,
}

// sectionRows draws a section in exactly its planned rows and the given width.
func (v *view) sectionRows(s section, w int) []canvas.Row {
	n := v.plan.rows[s]
	if n == 0 {
		return nil
	}
	rows := sectionDraw[s](v, n, w)
	for len(rows) < n {
		rows = append(rows, nil)
	}
	rows = rows[:n]
	for i := range rows {
		rows[i] = rows[i].Fit(w)
	}
	return rows
}

// String paints the picture.
func (v *view) String() string {
	lines := v.lines()
	var b strings.Builder
	b.Grow(len(lines) * (v.plan.w + 32))
	for i, r := range lines {
		if i > 0 {
			b.WriteByte('\n')
		}
		r.Paint(&b, v.pal)
	}
	return b.String()
}

// clean makes text from outside safe to draw.
func (v *view) clean(s string) string { return canvas.Clean(s, v.g.ASCII) }

// unit is a unit as the glyphs can show it.
func (v *view) unit(u string) string { return v.clean(u) }

func (v *view) temperatureUnit() string { return v.unit(v.Units.TemperatureUnit()) }

// oldMark follows every measured value, so that one that is not fresh is seen
// without colour.
func (v *view) oldMark() string {
	if v.old {
		return "?"
	}
	return " "
}

// value is a measured number in w cells, then its mark of age.
func (v *view) value(number string, w int) canvas.Span {
	r := canvas.Strong
	if v.old {
		r = canvas.Old
	}
	if number == quantity.Unknown {
		return canvas.SpanOf(canvas.Label, canvas.Right(number, w)+" ")
	}
	return canvas.SpanOf(r, canvas.Right(number, w)+v.oldMark())
}

func (v *view) temperature(k float64, w int) canvas.Span {
	return v.value(v.Units.TemperatureNumber(k), w)
}

// band is an uncertainty: "±1.2".
func (v *view) band(k float64, w int) canvas.Span {
	n := v.Units.DifferenceNumber(k)
	if n != quantity.Unknown {
		n = v.g.PlusMinus + n
	}
	s := v.value(n, w)
	if s.Role == canvas.Strong {
		s.Role = canvas.Text
	}
	return s
}

// The words of package headline, as they are used all over the pictures.
var (
	clock   = headline.Clock
	ageText = headline.AgeText
)

// clockCells is the room that a clock gets: "1:02:05".
const clockCells = 7

// underPressure says whether leaving now would leave a vessel under pressure
// unwatched. What is not known, or old, counts as under pressure, and so does a fill
// that has only begun.
func underPressure(s *monitor.Snapshot, stale bool) bool {
	return s.Seq == 0 || stale || s.Phase == phase.Filling || !(s.PressurePa <= vessel.UnderPressurePa) || headline.SensorTrouble(s.Sensors, vessel.RolePressure) != ""
}

// sinceS is the time since something of the session.
func sinceS(nowS, thenS float64) float64 { return math.Max(nowS-thenS, 0) }

// blink is the half period of everything that flashes: 2 Hz, inside the
// normal rate of IEC 60073 (1.4 to 2.8 Hz, from memory).
const blink = 250 * time.Millisecond

// View draws the picture. A fault in it falls back to the plain line, which
// still says what to do.
func (m Model) View() (out string) {
	defer func() {
		if r := recover(); r != nil {
			out = strings.Join(m.faultLines(), "\n")
		}
	}()
	return m.picture().String()
}

// faultLines stand in for a picture that failed.
func (m Model) faultLines() []string {
	text := canvas.Wrap(canvas.Clean(lines.PlainLine(m.live, m.units), true), m.w, max(m.h-1, 1), "~")
	if m.h > 1 {
		text = append(text, canvas.FirstCells("The picture failed; watching goes on. Press q to quit.", m.w))
	}
	return text
}

// Frame is the picture of this moment. A fault in it falls back to the plain
// lines of Model.View.
func (m Model) Frame() (f *canvas.Frame) {
	defer func() {
		if r := recover(); r != nil {
			var rows []canvas.Row
			for _, line := range m.faultLines() {
				rows = append(rows, canvas.RowOf(canvas.Text, line).Fit(m.w))
			}
			f = canvas.FrameOf(rows[:min(len(rows), m.h)], m.w, m.h, m.palettes[m.look], m.redraws)
		}
	}()
	return canvas.FrameOf(m.picture().lines(), m.w, m.h, m.palettes[m.look], m.redraws)
}
