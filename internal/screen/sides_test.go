package screen

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/bend"
	"fillwright/internal/jsonline"
	"fillwright/internal/laminate"
	"fillwright/internal/lines"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
)

// bowed is a sunny side that has lost stiffness, by made-up numbers.
func bowed(s *monitor.Snapshot) {
	sag := laminate.Figure{Value: 4e-3, Low: 2e-3, High: 9e-3}
	s.Sides = monitor.Sides{Known: true, Warm: bend.Place{Name: "sunny"}, Cool: bend.Place{Name: "shaded"}, Ratio: 0.58, Bow: laminate.Bow{
		CurvaturePerM: sag, SagM: sag, SunShare: laminate.Figure{Value: 0.6, Low: 0.4, High: 0.8}, BendShare: laminate.Figure{Value: 0.8, Low: 0.7, High: 0.9}}}
}

// layered is a model of a vessel whose plies are known.
func layered(change func(s *monitor.Snapshot)) Model {
	m := modelIn(until("sides", 60, change), newFakeFeed(), Options{Depth: canvas.DepthNone}, 80, 24)
	p := plover()
	p.Plies = make([]vessel.Ply, 1)
	m.opt.Profile = p
	return m
}

// What a warm side does has one row under the stations, at every size in its
// place or not at all, and in ASCII as ASCII alone.
func TestSidesRow(t *testing.T) {
	const whole = "sunny side at 60 % of its stiffness: bows 4.0 mm (2.0 to 9.0) away from it"
	m := layered(bowed)
	for _, c := range []struct {
		w, h int
		want string
	}{{100, 30, whole}, {132, 40, "SIDES    sunny side at 60 % of its stiffness"}, {60, 30, "SIDES    sunny side at 60 % of its stiffness"}} {
		m.w, m.h = c.w, c.h
		out := m.picture().String()
		must.Be(t, strings.Contains(out, c.want), "%dx%d without %q:\n%s", c.w, c.h, c.want, out)
	}
	for _, size := range append(append([][2]int{}, sizes[:]...), oddSizes[:]...) {
		m.w, m.h = size[0], size[1]
		lines := strings.Split(m.picture().String(), "\n")
		must.Be(t, len(lines) == m.h, "%dx%d: %d lines", m.w, m.h, len(lines))
		for _, l := range lines {
			n := ansi.StringWidth(l)
			must.Be(t, n == m.w, "%dx%d: a line %d wide: %q", m.w, m.h, n, l)
		}
	}
}

// Where the plies are not known, nothing is said of sides: not on the screen,
// in plain lines nor in JSON.
func TestNoSidesWithoutPlies(t *testing.T) {
	m := modelIn(until("none", 60, nil), newFakeFeed(), Options{Depth: canvas.DepthNone}, 100, 30)
	s := moment(60)
	for what, text := range map[string]string{"screen": m.picture().String(), "line": lines.PlainLine(s, quantity.SystemBarC), "JSON": string(jsonline.Append(nil, &s))} {
		must.Be(t, !strings.Contains(text, "SIDES") && !strings.Contains(text, "stiffness"), "%s: %s", what, text)
	}
}

// Plain lines and JSON say the same; what is not known, or old, is no number.
func TestSidesInLines(t *testing.T) {
	s := moment(60)
	bowed(&s)
	line := lines.PlainLine(s, quantity.SystemBarC)
	must.Be(t, strings.Contains(line, "; sunny side at 60 % of its stiffness: bows 4.0 mm"), "%s", line)
	read := func() (got struct {
		Warm  string
		Ratio *float64 `json:"stiffness_ratio"`
		Sag   *float64 `json:"sag_mm"`
	}) {
		var all struct {
			Sides json.RawMessage
		}
		line := jsonline.Append(nil, &s)
		err := json.Unmarshal(line, &all)
		must.Need(t, err == nil, "%v in %s", err, line)
		err = json.Unmarshal(all.Sides, &got)
		must.Need(t, err == nil, "%v in %s", err, line)
		return got
	}
	got := read()
	must.Be(t, got.Warm == "sunny" && *got.Ratio == 0.58 && *got.Sag == 4, "%+v", got)
	s.Link.AgeS = 5
	got = read()
	must.Be(t, got.Ratio == nil && got.Sag == nil, "old: %+v", got)
	s.Sides = s.Sides.Unknown()
	line = lines.PlainLine(s, quantity.SystemBarC)
	must.Be(t, strings.Contains(line, "stiffness of the sides: not known"), "%s", line)
}
