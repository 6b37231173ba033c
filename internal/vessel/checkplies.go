package vessel

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/laminate"
	"fillwright/internal/quantity"
)

const (
	// plyThicknessOff is how far the plies' sum may stand from the wall's
	// thickness; laid by hand it is hard to do better (common practice, no source).
	plyThicknessOff = 0.1
	// nettingOffDeg is how far from the netting angle the fibres of a pair can
	// still be said to carry the pressure (common practice, no source).
	nettingOffDeg = 3
)

// checkPlies looks for what is unlikely in the plies.
func checkPlies(p *Profile, say sayFunc) {
	if len(p.Plies) == 0 {
		if p.Limits.SidesStiffnessLeast != DefaultSidesStiffness {
			say("[limits] sides_stiffness_least", "Add [[ply]] sections, or delete it.",
				"it does nothing in a profile without plies")
		}
		return
	}
	sum := 0.0
	for i, ply := range p.Plies {
		sum += ply.ThicknessM
		checkPly(fmt.Sprintf("[[ply]] %d", i+1), ply, p.Wall.Material, say)
	}
	if r := sum / float64(p.Wall.Thickness); r > 1+plyThicknessOff || r < 1-plyThicknessOff {
		say("[[ply]] thickness", "Measure both again; liner and paint are no plies.",
			"the plies sum to %v, the wall's thickness is %v", quantity.Length(sum), p.Wall.Thickness)
	}
	checkLayup(p, say)
	if p.Resin.Midpoint == p.Resin.Onset {
		say("[resin] midpoint", "Give the midpoint too, measured on a sample cured as the vessel was.",
			"without a midpoint the onset stands in for it, and the resin is taken to soften some 7 °C earlier")
	}
}

// checkPly looks at one ply by itself. The ranges of moduli span glass of a low
// fibre content to high-modulus carbon (from memory).
func checkPly(where string, ply Ply, wall string, say sayFunc) {
	if ply.Form == FormSleeve && (ply.AngleDeg < 20 || ply.AngleDeg > 70) {
		say(where+" diameter_at_45", "Choose a sleeve that lies nearer to 45° on this vessel.",
			"the sleeve would lie at %.0f°; braids lock near 20 and 70°", ply.AngleDeg)
	}
	gpa := func(key string, pa, least, most float64) {
		if x := pa / 1e9; x < least || x > most {
			say(where+" "+key, "Check the number and its unit, GPa.", "%g GPa is unusual for a ply of fibre and epoxy (%g to %g)", x, least, most)
		}
	}
	gpa("e1_gpa", ply.E1Pa, 15, 350)
	gpa("e2_gpa", ply.E2Pa, 3, 25)
	gpa("g12_gpa", ply.G12Pa, 1.5, 9)
	fibre, _, _ := strings.Cut(wall, "-")
	if other, _, known := strings.Cut(ply.Name, "-"); known && wall != "" && other != fibre {
		say(where+" material", "Name the same fibre in both, or give the wall's three numbers as measured.",
			"the ply is %s, and [wall] material is %s", ply.Name, wall)
	}
}

// checkLayup looks at the plies together.
func checkLayup(p *Profile, say sayFunc) {
	pairs, off := 0, 0.0
	for _, ply := range p.Plies {
		if ply.Lay == laminate.Pair {
			pairs++
			off = math.Max(off, math.Abs(ply.AngleDeg-laminate.NettingAngleDeg(2)))
		}
	}
	if pairs < len(p.Plies) {
		return
	}
	if off > nettingOffDeg {
		say("[[ply]] angle_deg", "Look at: fillwright bend --vessel this profile.",
			"with pairs of one angle alone the fibres carry the pressure at 54.7°; %.0f° off, the resin must carry the rest", off)
	}
	say("[[ply]] form", "Look at what a straight layer along the axis would change: fillwright bend --vessel this profile.",
		"no fibre runs along the vessel: bending and handling loads along it are carried by the resin, which softens")
}
