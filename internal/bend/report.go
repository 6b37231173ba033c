package bend

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/columns"
	"fillwright/internal/laminate"
	"fillwright/internal/quantity"
)

// Row is one layup with what becomes of it.
type Row struct {
	Layup
	laminate.Bow
}

// Report compares layups at one moment.
type Report struct {
	Vessel  string
	LengthM float64
	OnsetK  float64
	Limit   float64 // of the sides' stiffness ratio, from the profile
	Ratio   float64 // of the wall as built, with the band counted as warmth
	Moment
	Rows []Row // as built first
}

// NewReport computes the rows; the first layup is the one as built.
func NewReport(vesselName string, onsetK, limit float64, m Moment, layups []Layup) *Report {
	r := &Report{Vessel: vesselName, OnsetK: onsetK, Limit: limit, Moment: m,
		LengthM: layups[0].Tube.LengthM(), Ratio: layups[0].Tube.SidesRatio(m.State())}
	for _, l := range layups {
		r.Rows = append(r.Rows, Row{l, l.Tube.Bow(m.State())})
	}
	return r
}

// Over says that the ratio has fallen under the profile's limit, or is not known.
func (r *Report) Over() bool { return !(r.Ratio >= r.Limit) }

// Text is the report for people.
func Text(r *Report, u quantity.System) string {
	var b strings.Builder
	say := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	say("%s: what a warm side does to it at %s", r.Vessel, u.Pressure(r.PressurePa))
	if !math.IsNaN(r.TimeS) {
		say("  the moment at %s in which the sides differed most in stiffness", quantity.Clock(r.TimeS))
	}
	say("  %s, %s; resin softens from %s; %.3g m long", r.place(r.Warm, u), r.place(r.Cool, u), u.Temperature(r.OnsetK), r.LengthM)
	say("  wall from the inside out: %s", r.Rows[0].Words())
	say("")
	b.WriteString(table(r.Warm.Name, r.Rows))
	say("")
	b.WriteString(Picture(r))
	say("")
	if r.Over() {
		say("CAUTION: along the vessel the %s side keeps %s of the stiffness of the %s side (its band counted as warmth);", r.Warm.Name, ratioText(r.Ratio), r.Cool.Name)
		say("the profile's limit is %.2f. Shade the %s side, or fill less, or more slowly.", r.Limit, r.Warm.Name)
	} else {
		say("Along the vessel the %s side keeps %s of the stiffness of the %s side; the profile's limit is %.2f.", r.Warm.Name, ratioText(r.Ratio), r.Cool.Name, r.Limit)
	}
	say("%s", HowSure)
	return b.String()
}

func ratioText(x float64) string {
	if math.IsNaN(x) {
		return "an unknown share"
	}
	return fmt.Sprintf("%.2f", x)
}

func (r *Report) place(p Place, u quantity.System) string {
	if p.InnerK == p.OuterK {
		return fmt.Sprintf("%s side %s", p.Name, u.Temperature(p.InnerK))
	}
	return fmt.Sprintf("%s side %s inside, %s outside", p.Name, u.Temperature(p.InnerK), u.Temperature(p.OuterK))
}

// table is the rows in columns.
func table(warm string, rows []Row) string {
	cells := [][]string{{"layup", warm + " side keeps", "bending stiffness left", "bows over its length"}}
	for _, r := range rows {
		cells = append(cells, []string{r.Name, percent(r.SunShare), percent(r.BendShare), Bows(r.Bow, "the "+warm+" side")})
	}
	return columns.Table("", cells)
}
