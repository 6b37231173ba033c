package vessel

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/laminate"
	"fillwright/internal/quantity"
)

// Form says how a layer of the wall was made.
type Form string

// The forms of a layer.
const (
	FormWound    Form = "wound"    // as much at +angle as at −angle
	FormSleeve   Form = "sleeve"   // a braided sleeve, pulled over: ± its braid angle
	FormCloth    Form = "cloth"    // woven, as much at the angle as square to it
	FormStraight Form = "straight" // one direction: 0 along, 90 round
)

var forms = []Form{FormWound, FormSleeve, FormCloth, FormStraight}

// Ply is a layer of the wall, from the inside out.
type Ply struct {
	Form Form
	laminate.Layer
}

// DefaultSidesStiffness is the least that the sunny side's axial stiffness may
// be of the shaded side's: about what a wound side keeps 4 °C under the onset
// while the other is cool, so that a fill that keeps the default reserve of 5 °C
// does not get there (from the softening curve of package laminate; the limit
// itself: no source).
const DefaultSidesStiffness = 0.85

// readPlies reads [[ply]]; none is no problem: then nothing is said of bending.
func readPlies(d *Document, p *Profile) []Ply {
	list := d.List("ply")
	if len(list) > laminate.LayersMost {
		list[laminate.LayersMost].Problem("form", fmt.Sprintf("is ply number %d", laminate.LayersMost+1),
			fmt.Sprintf("at most %d: put alike ones together", laminate.LayersMost), "")
	}
	var out []Ply
	belowM := 0.0
	for _, s := range list {
		ply := readPly(s, float64(p.InnerDiameter)+2*belowM)
		belowM += ply.ThicknessM
		out = append(out, ply)
	}
	return out
}

// readPly reads a layer that begins at a diameter.
func readPly(s *Section, insideM float64) Ply {
	ply := Ply{Form: choose(s, "form", Form(s.Text("form", `form = "wound"`)), forms)}
	ply.ThicknessM = float64(Quantity(s, "thickness", quantity.ParseLength, Range[quantity.Length]{1e-5, 0.2, "1.4 mm"}))
	ply.Lay = map[Form]laminate.Lay{FormWound: laminate.Pair, FormSleeve: laminate.Pair, FormCloth: laminate.Cloth}[ply.Form]
	readAngle(s, &ply, insideM)
	ply.Material = readPlyMaterial(s)
	return ply
}

func readAngle(s *Section, ply *Ply, insideM float64) {
	const given = "diameter_at_45"
	angle, ok := s.Number("angle_deg", 0, 90, "angle_deg = 55")
	ply.AngleDeg = angle
	at45 := QuantityOr(s, given, quantity.ParseLength, Range[quantity.Length]{1e-3, 10, "70 mm"}, quantity.Length(math.NaN()))
	switch {
	case ply.Form == "":
	case ply.Form != FormSleeve && s.Has(given):
		s.Problem(given, fmt.Sprintf("is only for sleeves, and the form here is %q", ply.Form), "no such key here", "")
	case s.Has(given) && s.Has("angle_deg"):
		s.Problem(given, "stands beside angle_deg", "one of the two", "")
	case s.Has(given):
		ply.AngleDeg = laminate.BraidAngleDeg(insideM+ply.ThicknessM, float64(at45))
		if math.IsNaN(ply.AngleDeg) && at45 > 0 && ply.ThicknessM > 0 && insideM > 0 {
			s.Problem(given, fmt.Sprintf("is %v, and no such sleeve opens to %.0f mm", at45, 1e3*(insideM+ply.ThicknessM)),
				"the diameter at which the sleeve lies at 45°; it opens to at most 1.41 times of it",
				line(given, fmt.Sprintf("%.0f mm", 1e3*insideM)))
		}
	case !s.Has("angle_deg"):
		expected := "degrees from the vessel's axis"
		if ply.Form == FormSleeve {
			expected += ", or diameter_at_45 with the diameter at which the sleeve lies at 45°"
		}
		s.missing("angle_deg", expected, "angle_deg = 55")
	case ok:
		checkAngle(s, ply)
	}
}

// checkAngle refuses directions that would twist the vessel by themselves.
func checkAngle(s *Section, ply *Ply) {
	a := ply.AngleDeg
	switch {
	case ply.Form == FormStraight && a != 0 && a != 90:
		s.Problem("angle_deg", fmt.Sprintf("is %g for fibres of one direction, which would twist the vessel", a),
			`0 (along) or 90 (round); for as much at plus as at minus the angle form = "wound"`, "angle_deg = 0")
	case ply.Form == FormCloth && a != 0 && a != 45 && a != 90:
		s.Problem("angle_deg", fmt.Sprintf("is %g for cloth, which would twist the vessel", a), "0, 45 or 90", "angle_deg = 0")
	}
}

// readPlyMaterial reads a handbook row, numbers, or numbers over a row.
func readPlyMaterial(s *Section) laminate.Material {
	m, row := handbookPly(s)
	for _, k := range [...]struct {
		key         string
		into        *float64
		unit        float64
		least, most float64
		example     string
	}{
		{"e1_gpa", &m.E1Pa, 1e9, 1, 1000, "130"}, {"e2_gpa", &m.E2Pa, 1e9, 0.05, 200, "9"}, {"g12_gpa", &m.G12Pa, 1e9, 0.02, 100, "4.5"},
		{"nu12", &m.Nu12, 1, 0, 0.9, "0.28"},
		{"alpha1_per_k", &m.Alpha1PerK, 1, -2e-5, 1e-4, "-1e-6"}, {"alpha2_per_k", &m.Alpha2PerK, 1, -2e-5, 3e-4, "26e-6"},
	} {
		x, ok := s.Number(k.key, k.least, k.most, k.key+" = "+k.example)
		switch {
		case ok:
			*k.into = x * k.unit
		case !row && !s.Has(k.key):
			s.missing(k.key, "a plain number, or material with the name of a handbook ply", k.key+" = "+k.example)
			*k.into = math.NaN()
		}
	}
	if err := m.Check(); err != nil && m.E1Pa > 0 && m.E2Pa > 0 && m.Nu12 >= 0 {
		s.Problem("nu12", fmt.Sprintf("is %g, which no such ply can have", m.Nu12), fmt.Sprintf("below √(E1/E2), %.3g", math.Sqrt(m.E1Pa/m.E2Pa)), "nu12 = 0.28")
	}
	return m
}

// handbookPly gives the row that the ply names. After a problem it gives a row,
// so that one slip makes one complaint.
func handbookPly(s *Section) (m laminate.Material, row bool) {
	rows := laminate.Handbook()
	example := fmt.Sprintf("material = %q", rows[0].Name)
	name := s.TextOr("material", example)
	if !s.Has("material") {
		return laminate.Material{Name: "own numbers"}, false
	}
	var names []string
	for _, m := range rows {
		if m.Name == name {
			return m, true
		}
		names = append(names, fmt.Sprintf("%q", m.Name))
	}
	if name != "" {
		s.Problem("material", fmt.Sprintf("%q is not in the table of plies", clip(name)),
			strings.Join(names, ", ")+", or no material and e1_gpa and the others instead", example)
	}
	return rows[0], true
}

// Tube is the vessel's wall as layers, for what a warm side does to it; nil when
// the profile has no plies.
func (p *Profile) Tube() *laminate.Tube {
	if len(p.Plies) == 0 {
		return nil
	}
	t, err := laminate.NewTube(p.TubeOf())
	if err != nil { // Parse refuses what NewTube refuses
		return nil
	}
	return t
}

// TubeOf is the build of Tube.
func (p *Profile) TubeOf() laminate.TubeOf {
	b := laminate.TubeOf{InnerDiameterM: float64(p.InnerDiameter), LengthM: float64(p.Length), Doubt: laminate.UsualDoubt,
		Softening: laminate.SofteningOf(float64(p.Resin.Onset), float64(p.Resin.Midpoint))}
	for _, ply := range p.Plies {
		b.Layers = append(b.Layers, ply.Layer)
	}
	return b
}
