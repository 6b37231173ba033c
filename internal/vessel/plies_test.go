package vessel

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fillwright/internal/laminate"
	"fillwright/internal/must"
)

// withPly is the example with [[ply]] sections of these lines.
func withPly(plies ...string) string {
	text := Example()
	for _, p := range plies {
		text += "\n[[ply]]\n" + p + "\n"
	}
	return text
}

// Every key of a ply reaches its field, in SI; a sleeve's angle follows from
// the diameter of its own middle: sin φ = 92.7/(√2 79), worked by hand 56.1°
// (90 mm inside, 0.2 mm below it, 2.5 mm thick).
func TestParsePlies(t *testing.T) {
	p := must.Get(Parse("a.toml", []byte(withPly(
		"form = \"cloth\"\nmaterial = \"glass-epoxy\"\nangle_deg = 45\nthickness = \"0.1 mm\"",
		"form = \"sleeve\"\nmaterial = \"carbon-epoxy\"\ndiameter_at_45 = \"79 mm\"\nthickness = \"2.5 mm\"\ne1_gpa = 110",
		"form = \"straight\"\nangle_deg = 90\nthickness = \"0.2 mm\"\ne1_gpa = 120\ne2_gpa = 8\ng12_gpa = 4\nnu12 = 0.3\nalpha1_per_k = -5e-7\nalpha2_per_k = 3e-5"))))(t)
	glass, carbon := laminate.Handbook()[1], laminate.Handbook()[0]
	carbon.E1Pa = 110e9
	own := laminate.Material{Name: "own numbers", E1Pa: 120e9, E2Pa: 8e9, G12Pa: 4e9, Nu12: 0.3, Alpha1PerK: -5e-7, Alpha2PerK: 3e-5}
	want := []Ply{
		{FormCloth, laminate.Layer{Material: glass, Lay: laminate.Cloth, AngleDeg: 45, ThicknessM: 0.1e-3}},
		{FormSleeve, laminate.Layer{Material: carbon, Lay: laminate.Pair, AngleDeg: math.Asin(92.7/(math.Sqrt2*79)) * 180 / math.Pi, ThicknessM: 2.5e-3}},
		{FormStraight, laminate.Layer{Material: own, Lay: laminate.Straight, AngleDeg: 90, ThicknessM: 0.2e-3}},
	}
	must.Need(t, len(p.Plies) == len(want), "%d plies", len(p.Plies))
	for i, w := range want {
		got := p.Plies[i]
		must.Be(t, math.Abs(got.AngleDeg-w.AngleDeg) <= 1e-9 && math.Abs(got.ThicknessM-w.ThicknessM) <= 1e-12, "%d: %+v, want %+v", i, got, w)
		got.AngleDeg, got.ThicknessM = w.AngleDeg, w.ThicknessM
		must.Be(t, got == w, "%d: %+v, want %+v", i, got, w)
	}
	tube := p.Tube()
	must.Be(t, tube != nil && math.Abs(tube.ThicknessM()-2.8e-3) <= 1e-12 && tube.LengthM() == 1.6, "tube %+v", tube)
}

// A profile without plies has no tube, and the limit its default.
func TestNoPlies(t *testing.T) {
	p, err := Parse("a.toml", []byte(Example()))
	must.Be(t, err == nil && p.Tube() == nil && p.Limits.SidesStiffnessLeast == DefaultSidesStiffness,
		"%v, %v, %v", err, p.Tube(), p.Limits.SidesStiffnessLeast)
}

// The example shows the keys of a ply in remarks that are right: with their
// signs taken off they parse.
func TestExamplePlies(t *testing.T) {
	_, text, found := strings.Cut(Example(), "# [[ply]]\n")
	must.Need(t, found, "the example shows no ply")
	var lines []string
	for l := range strings.Lines(text) {
		if key := strings.TrimPrefix(l, "# "); strings.Contains(key, " = ") && !strings.HasPrefix(key, "A ") && !strings.HasPrefix(key, "[") {
			lines = append(lines, key)
		}
	}
	p, err := Parse("a.toml", []byte(withPly(strings.Join(lines, ""))))
	must.Be(t, err == nil && len(p.Plies) == 1 && p.Plies[0].AngleDeg == 55, "%v from %q", err, lines)
}

// Each mistake in a ply is refused with words that say what is wrong and with
// something to type.
func TestPliesRefused(t *testing.T) {
	const good = "form = \"wound\"\nmaterial = \"carbon-epoxy\"\nangle_deg = 55\nthickness = \"1 mm\""
	change := func(old, new string) string { return strings.Replace(good, old, new, 1) }
	own := "form = \"wound\"\nangle_deg = 55\nthickness = \"1 mm\"\ne1_gpa = 130\ne2_gpa = 9\ng12_gpa = 4.5\nalpha1_per_k = 0\nalpha2_per_k = 2e-5\n"
	many := make([]string, laminate.LayersMost+1)
	for i := range many {
		many[i] = good
	}
	for _, tt := range []struct {
		name        string
		plies       []string
		wrong, kind string
	}{
		{"form", []string{change("wound", "woven")}, `"woven" is not known`, "wound"},
		{"no form", []string{change("form = \"wound\"\n", "")}, "is missing", `form = "wound"`},
		{"material", []string{change("carbon-epoxy", "carbon")}, "not in the table", "carbon-epoxy"},
		{"no material", []string{change("material = \"carbon-epoxy\"\n", "")}, "is missing", "e1_gpa = 130"},
		{"thickness without unit", []string{change(`"1 mm"`, "1")}, "has no unit", `thickness = "1 mm"`},
		{"no angle", []string{change("angle_deg = 55\n", "")}, "is missing", "angle_deg = 55"},
		{"angle of more than a right angle", []string{change("55", "125")}, "is 125", "angle_deg = 55"},
		{"one direction at an angle", []string{change("wound", "straight")}, "would twist", "angle_deg = 0"},
		{"cloth at an angle", []string{change("wound", "cloth")}, "would twist", "angle_deg = 0"},
		{"sleeve's key for another", []string{good + "\ndiameter_at_45 = \"70 mm\""}, "only for sleeves", ""},
		{"sleeve told twice", []string{change("wound", "sleeve") + "\ndiameter_at_45 = \"70 mm\""}, "stands beside", ""},
		{"sleeve too small", []string{"form = \"sleeve\"\nmaterial = \"carbon-epoxy\"\nthickness = \"1 mm\"\ndiameter_at_45 = \"40 mm\""}, "no such sleeve opens to 91 mm", "90 mm"},
		{"Poisson's ratio", []string{own + "nu12 = 0.3", strings.Replace(own, "e1_gpa = 130", "e1_gpa = 2", 1) + "nu12 = 0.6"}, "no such ply", "nu12"},
		{"too many", many, "is ply number 17", ""},
	} {
		_, err := Parse("a.toml", []byte(withPly(tt.plies...)))
		must.Be(t, err != nil && strings.Contains(err.Error(), tt.wrong) && strings.Contains(err.Error(), tt.kind), "%s: %v", tt.name, err)
	}
}

// Each unlikely thing about plies draws a remark at its place; the example with
// its plies draws none of them.
func TestCheckPlies(t *testing.T) {
	good := func() *Profile {
		return must.Get(Parse("plover-plies.toml", read(t, "plover-plies.toml")))(t)
	}
	for _, n := range Check(good()) {
		must.Be(t, !strings.Contains(n.Where, "ply") && !strings.Contains(n.Where, "sides"), "the example draws %+v", n)
	}
	for _, tt := range []struct {
		name        string
		make        func(p *Profile)
		where, text string
	}{
		{"limit without plies", func(p *Profile) { p.Plies, p.Limits.SidesStiffnessLeast = nil, 0.7 }, "[limits] sides_stiffness_least", "does nothing"},
		{"thickness", func(p *Profile) { p.Plies[1].ThicknessM = 1e-3 }, "[[ply]] thickness", "2.8 mm"},
		{"sleeve", func(p *Profile) { p.Plies[1].AngleDeg = 75 }, "[[ply]] 2 diameter_at_45", "75°"},
		{"e1", func(p *Profile) { p.Plies[1].E1Pa = 1e9 }, "[[ply]] 2 e1_gpa", "1 GPa"},
		{"e2", func(p *Profile) { p.Plies[1].E2Pa = 0.9e9 }, "[[ply]] 2 e2_gpa", "0.9 GPa"},
		{"g12", func(p *Profile) { p.Plies[0].G12Pa = 40e9 }, "[[ply]] 1 g12_gpa", "40 GPa"},
		{"other fibre", func(p *Profile) { p.Wall.Material = "carbon-epoxy" }, "[[ply]] 1 material", "glass-epoxy"},
		{"pairs alone", func(p *Profile) { p.Plies = p.Plies[1:] }, "[[ply]] form", "no fibre runs along"},
		{"angle", func(p *Profile) { p.Plies = p.Plies[1:]; p.Plies[0].AngleDeg = 45 }, "[[ply]] angle_deg", "54.7°"},
		{"no midpoint", func(p *Profile) { p.Resin.Midpoint = p.Resin.Onset }, "[resin] midpoint", "earlier"},
	} {
		p, found := good(), false
		tt.make(p)
		for _, n := range Check(p) {
			found = found || n.Where == tt.where && strings.Contains(fmt.Sprint(n), tt.text) && n.Do != ""
		}
		must.Be(t, found, "%s: no remark at %s in %+v", tt.name, tt.where, Check(p))
	}
}
