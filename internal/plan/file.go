package plan

import (
	"fmt"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// fileKey is a field's key in a day's file.
func fileKey(f *Field) string { return strings.ReplaceAll(f.Key, "-", "_") }

// Kept is what a day's file holds.
type Kept struct {
	Vessel  string
	Day     Day
	RampPaS float64 // advised when it was written; 0: no-go
}

// Format is the plan as a day's file: what was said, and what came of it.
func Format(p *Plan) []byte {
	var b strings.Builder
	u := quantity.SystemBarC
	b.WriteString("# A day's plan, made by fillwright plan --out. Read it again with --day, or start\n" +
		"# from it: fillwright watch --plan. A plan is no promise.\n\n[plan]\n")
	fmt.Fprintf(&b, "vessel = %q\n", p.Setup.Vessel.Name)
	fmt.Fprintf(&b, "ramp = %q\n", quantity.Ramp(p.Answer.LeavePaS()).String())
	fmt.Fprintf(&b, "# %s\n\n[day]\n", p.Answer.Headline(u))
	for _, f := range Fields() {
		if t := f.Text(&p.Setup.Day, u); t != "" {
			fmt.Fprintf(&b, "%s = %q\n", fileKey(&f), t)
		}
	}
	return []byte(b.String())
}

// ParseKept reads a day's file.
func ParseKept(file string, data []byte) (*Kept, error) {
	d, err := vessel.ReadDocument(file, data)
	if err != nil {
		return nil, err
	}
	k := &Kept{Day: NewDay()}
	head := d.Table("plan", true, "[plan]")
	k.Vessel = head.Text("vessel", `vessel = "Plover"`)
	most := quantity.BarPerMinute(1e4)
	k.RampPaS = float64(vessel.Quantity(head, "ramp", quantity.ParseRamp, vessel.Range[quantity.Ramp]{Most: most, Example: "20 bar/min"}))
	day := d.Table("day", true, "[day]")
	for _, f := range Fields() {
		example := fmt.Sprintf("%s = %q", fileKey(&f), f.Example)
		text := day.TextOr(fileKey(&f), example)
		if text == "" {
			continue
		}
		if err := f.Set(&k.Day, text); err != nil {
			day.Problem(fileKey(&f), err.Error(), f.About, example)
		}
	}
	return k, d.Err()
}

// OtherVesselError says that a plan was made for another vessel.
type OtherVesselError struct{ File, Planned, Here string }

// Error says what to do, too.
func (e *OtherVesselError) Error() string {
	return fmt.Sprintf("%s is a plan for %s, not for %s\n  plan anew: fillwright plan --vessel vessel.toml --out day.toml", e.File, e.Planned, e.Here)
}

// CheckOn refuses a plan of another vessel.
func (k *Kept) CheckOn(file string, v *vessel.Profile) error {
	if k.Vessel != v.Name {
		return &OtherVesselError{File: file, Planned: k.Vessel, Here: v.Name}
	}
	return nil
}
