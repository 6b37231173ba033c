package laminate

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// plates are the laminates of testdata/README.md in the units of their source;
// in is what the value printed is in.
var (
	graphite = Material{"graphite/epoxy", 181, 10.3, 7.17, 0.28, 0.02e-6, 22.5e-6}
	siGraph  = Material{"graphite/epoxy", 181e9, 10.3e9, 7.17e9, 0.28, 0.02e-6, 22.5e-6}
	mallick  = Material{"T-300/epoxy", 133.4, 8.78, 3.254, 0.26, 0, 0}
	mendonca = Material{"Mendonça", 54870, 18320, 8900, 0.25, 0, 0}
	quasi    = Material{"quasi", 20e6, 1.5e6, 1e6, 0.34, 0, 0}
	cap104   = Material{"AS4/3501-6", 135, 11, 5.8, 0.301, 0, 0}
	soden    = Material{"E-glass/MY750", 45.6, 16.2, 5.83, 0.278, 0, 0}
	// The library mixes fibre and resin: E1, ν12 by volume, E2, G12 by compliance.
	mixed = Material{"T-300/epoxy, mixed", 0.6*220 + 0.4*3.6, 1 / (0.6/22 + 0.4/3.6), 1 / (0.6/91.7 + 0.4/1.33), 0.6*0.2 + 0.4*0.35, 0, 0}
)

func stackOf(m Material, thickness float64, angles ...float64) []Ply {
	out := make([]Ply, len(angles))
	for i, a := range angles {
		out[i] = Ply{m, a, thickness}
	}
	return out
}

func publishedPlates() map[string][]Ply {
	return map[string][]Ply{
		"kaw-60": stackOf(graphite, 1, 60), "kaw-plate": stackOf(siGraph, 5e-3, 0, 30, -45),
		"kaw-cross": stackOf(graphite, 5e-3, 0, 90, 0), "tsai-45": stackOf(graphite, 0.25, 45, -45, -45, 45),
		"mallick-45": stackOf(mallick, 1, 45), "mallick-20": stackOf(mixed, 1, 20),
		"mendonca": {{mendonca, 45, 3}, {mendonca, 0, 6}, {mendonca, 45, 3}},
		"quasi":    stackOf(quasi, 0.0075, 0, 45, 90, -45, -45, 90, 45, 0),
		"cap":      {{cap104, 0, 0.3}, {cap104, 45, 0.075}, {cap104, 90, 0.05}, {cap104, -45, 0.075}, {cap104, -45, 0.075}, {cap104, 90, 0.05}, {cap104, 45, 0.075}, {cap104, 0, 0.3}},
		"soden-55": stackOf(soden, 0.25, 55, -55, -55, 55),
	}
}

// measured gives everything that a source might print of a plate.
func measured(plies []Ply) map[string]float64 {
	p := NewPlate(plies)
	q := plies[0].Stiffness()
	s, e := q.Inverse(), plies[0].Expansion()
	c := p.Constants()
	out := map[string]float64{"Ex": c.ExPa, "Ey": c.EyPa, "Gxy": c.GxyPa, "nuXY": c.NuXY, "nuYX": c.NuYX}
	for name, m := range map[string]Matrix{"Q": q, "S": s, "A": p.A, "B": p.B, "D": p.D} {
		for index, x := range map[string]float64{"11": m[0][0], "12": m[0][1], "22": m[1][1], "16": m[0][2], "26": m[1][2], "66": m[2][2]} {
			out[name+index] = x
		}
	}
	strain, curve := p.Respond(Vector{1000, 1000, 0}, Vector{}, 0)
	for i, axis := range [...]string{"X", "Y", "XY"} {
		out["strain"+axis], out["curve"+axis], out["alpha"+axis] = strain[i], curve[i], e[i]
	}
	if len(plies) > 1 {
		out["alphaX"], out["alphaY"] = c.AlphaXPerK, c.AlphaYPerK
	}
	return out
}

// halfDigit is half of the last digit of a number as printed.
func halfDigit(text string) float64 {
	mantissa, exponent, _ := strings.Cut(text, "e")
	_, decimals, _ := strings.Cut(mantissa, ".")
	e, err := strconv.Atoi(exponent)
	if err != nil {
		e = 0
	}
	return 0.5 * math.Pow(10, float64(e-len(decimals)))
}

// TestPublished proves that published laminates come out to every digit that
// their sources print. Sources: testdata/README.md.
func TestPublished(t *testing.T) {
	plates, seen := publishedPlates(), map[string]bool{}
	for _, r := range must.Rows(t, "testdata/published.csv", 78)[1:] {
		plies, known := plates[r[0]]
		must.Need(t, known, "no plate %q", r[0])
		seen[r[0]] = true
		want, err := strconv.ParseFloat(r[2], 64)
		got, has := measured(plies)[r[1]]
		must.Need(t, err == nil && has, "%v: %v", r, err)
		must.Be(t, math.Abs(got-want) <= 1.0001*halfDigit(r[2]), "%s %s: %.8g, printed %s", r[0], r[1], got, r[2])
	}
	must.Be(t, len(seen) == len(plates), "%d of %d plates have rows", len(seen), len(plates))
}
