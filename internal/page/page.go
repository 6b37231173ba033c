// Package page draws what a recording tells as one page of HTML that opens
// anywhere: pictures as inline SVG, the table behind each, nothing fetched from
// anywhere. It reads in a narrow window, on paper, dark and light, and aloud.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/review"
)

//go:embed page.html
var layout string

//go:embed page.css
var style string

var templates = template.Must(template.New("page").Parse(layout))

// table is a table with its caption.
type table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// section is a heading with what lies under it.
type section struct {
	ID       string
	Title    string
	Remarks  []string
	Tables   []table
	Pictures []picture
}

// sheet is the whole page.
type sheet struct {
	Title    string
	Style    template.CSS
	Cautions []string
	Invented bool
	Remarks  []string
	Sections []section
	Data     template.JS // the record as --json prints it, for programs
}

// Write writes the page of a recording.
func Write(w io.Writer, r *review.Record, u quantity.System) error {
	data, err := r.JSON()
	if err != nil {
		return err
	}
	s := sheet{Title: title(r), Style: template.CSS(style), Cautions: review.Cautions[:], Data: template.JS(data)}
	s.Remarks = append(s.Remarks, fmt.Sprintf("%s, %s of %d bytes. SHA-256 of the file: %s. Page made by fillwright %s.", r.File.Name, r.File.Kind, r.File.Bytes, r.File.SHA256, r.File.Program))
	for _, warning := range r.File.Warnings {
		s.Remarks = append(s.Remarks, "NOT WHOLE: "+warning+". fillwright review --check says where.")
	}
	for i, p := range r.Parts {
		s.Invented = s.Invented || p.Vessel.Invented
		for k, f := range p.Fills {
			s.Sections = append(s.Sections, fillSections(r, i, k, p, f, u)...)
		}
		s.Sections = append(s.Sections, partSection(r, i, p, u))
	}
	return templates.Execute(w, &s)
}

func title(r *review.Record) string {
	if len(r.Parts) == 0 {
		return "Nothing recorded: " + r.File.Name
	}
	p := r.Parts[0]
	out := "Fill of " + p.Vessel.Name
	if n := len(r.Fills()); n != 1 {
		out = fmt.Sprintf("%d fills of %s", n, p.Vessel.Name)
	}
	if when := p.When(); when != "" {
		out += ", " + strings.ReplaceAll(strings.TrimSuffix(when, "Z"), "T", " ") + " UTC"
	}
	return out
}

// fillSections are the account of a fill, its pictures, its forecasts.
func fillSections(r *review.Record, part, k int, p *review.Part, f *review.Fill, u quantity.System) []section {
	v := (&fillView{id: fmt.Sprintf("p%df%d", part+1, k+1), u: u, part: p, fill: f}).whole()
	name := ""
	if len(r.Fills()) > 1 {
		name = fmt.Sprintf("Part %d, fill %d: ", part+1, k+1)
	}
	account := section{ID: v.id, Title: name + "What it came to"}
	t := table{Caption: "The account", Head: []string{"what", "how it was"}}
	for _, row := range f.Rows(u, &p.Vessel) {
		t.Rows = append(t.Rows, row[:])
	}
	account.Tables = []table{t, phases(p, f, u)}
	out := []section{account}
	whole := section{ID: v.id + "-course", Title: name + "The whole course", Pictures: []picture{v.temperatures(), v.pressure(), v.margin(), v.ramp(), v.alarms()}}
	if g := v.filling(); g != nil {
		out = append(out, section{ID: g.id, Title: name + "While gas first came in", Pictures: []picture{g.temperatures(), g.pressure(), g.margin(), g.ramp(), g.alarms()}})
		whole.Pictures = []picture{v.temperatures(), v.pressure(), v.margin(), v.alarms()}
		if len(f.Ramps) > 1 {
			whole.Pictures = append(whole.Pictures, v.ramp())
		}
	}
	return append(out, whole, v.forecasts(name), v.list(name))
}

func phases(p *review.Part, f *review.Fill, u quantity.System) table {
	t := table{Caption: "Phases", Head: []string{"from", "to", "phase", "pressure from", "to"}}
	for _, x := range p.Phases {
		if x.Phase != phase.Unknown && x.ToS >= f.BeginS && x.FromS <= f.EndS {
			t.Rows = append(t.Rows, []string{quantity.Clock(x.FromS), quantity.Clock(x.ToS), x.Phase.String(), u.Pressure(x.FromPa), u.Pressure(x.ToPa)})
		}
	}
	return t
}

// fansMost is how many forecasts of a fill have a picture.
const fansMost = 4

func (v *fillView) forecasts(name string) section {
	s := section{ID: v.id + "-forecast", Title: name + "Forecast and what came"}
	rows := v.fill.ForecastRows(v.u)
	for i := range v.fill.Forecasts {
		o := &v.fill.Forecasts[i]
		if len(o.Path) > 1 && len(s.Pictures) < fansMost && (o.Event == review.FirstGas || o.Event == review.SupplyShut) {
			s.Pictures = append(s.Pictures, v.fan(o, i))
		}
	}
	s.Pictures = append(s.Pictures, v.residuals())
	s.Tables = []table{{"Forecasts. What came is the estimate, not the truth", rows[0], rows[1:]}}
	return s
}

func (v *fillView) list(name string) section {
	s := section{ID: v.id + "-list", Title: name + "The list before the fill, as it stood at first gas"}
	if len(v.fill.Ready) == 0 {
		s.Remarks = []string{"It was not recorded: the recording begins in the fill."}
		return s
	}
	s.Tables = []table{{"The list", []string{"state", "item", "what was found"}, v.fill.ReadyRows()}}
	return s
}

// partSection is what belongs to a time of watching as a whole.
func partSection(r *review.Record, i int, p *review.Part, u quantity.System) section {
	s := section{ID: fmt.Sprintf("p%d", i+1), Title: "Recording, sensors, entries"}
	if len(r.Parts) > 1 {
		s.Title = fmt.Sprintf("Part %d: recording, sensors, entries", i+1)
	}
	s.Remarks = []string{p.Rests() + ".", p.Data.String() + "."}
	if len(p.Fills) == 0 {
		s.Remarks = append(s.Remarks, "No fill is in this part.")
	}
	s.Tables = []table{
		{"Sensors", []string{"channel", "sensor", "good for", "noise", "vented before", "vented after", "drift", "least", "most", "trouble"}, p.SensorRows(u)},
		{"Entries of the operator, and notes of cable, logger and log", []string{"at", "what", "text"}, p.EntryRows(u)}}
	if n := p.Left.Sum(); n > 0 {
		s.Remarks = append(s.Remarks, fmt.Sprintf("%d things more found no room here.", n))
	}
	return s
}
