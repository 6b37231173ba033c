// Package laminate knows how plies of fibre and resin carry load: classical
// laminate theory, a matrix that softens over its glass transition, and what a
// warm side does to a tube made of them.
//
// Angles are in degrees from the tube's axis (x); y runs round the tube.
// Everything else is SI: Pa, m, N/m, K. Shear strains are engineering shears.
//
// The theory is that of the laminate texts: Tsai & Hahn (Introduction to
// Composite Materials, 1980), Jones (Mechanics of Composite Materials, 1999),
// Kaw (Mechanics of Composite Materials, 2006), Nettles (NASA RP-1351, 1994).
// It holds for thin walls, small strains and plies that stay bonded and whole.
package laminate

import (
	"fmt"
	"math"
)

// Material is one ply in its own axes: 1 along the fibre, 2 across.
type Material struct {
	Name                   string
	E1Pa, E2Pa, G12Pa      float64
	Nu12                   float64 // strain across for a strain along
	Alpha1PerK, Alpha2PerK float64 // thermal expansion
}

// handbook holds typical plies. Hand-laid and room-temperature-cured ones have
// less fibre and are softer: give measured numbers where there are any.
var handbook = [...]Material{
	// Standard-modulus carbon, fibre volume 0.55 to 0.6 (moduli: common values
	// of CMH-17's materials, from memory); expansion as T300/BSL914C of Soden,
	// Hinton & Kaddour, Compos. Sci. Technol. 58:1011 (1998), from memory.
	{"carbon-epoxy", 130e9, 9e9, 4.5e9, 0.28, -1e-6, 26e-6},
	// E-glass/MY750 of the same paper, from memory.
	{"glass-epoxy", 45.6e9, 16.2e9, 5.83e9, 0.278, 8.6e-6, 26.4e-6},
	// Kevlar 49/epoxy, as in Tsai & Hahn's and Jones's tables; from memory.
	{"aramid-epoxy", 76e9, 5.5e9, 2.3e9, 0.34, -4e-6, 79e-6},
}

// Handbook lists the typical plies.
func Handbook() []Material { return append([]Material(nil), handbook[:]...) }

// Check refuses what no ply can have: moduli that are not positive, and a
// Poisson's ratio with |ν12| ≥ √(E1/E2), which would give energy away (Jones,
// restrictions on engineering constants).
func (m Material) Check() error {
	for _, x := range [...]struct {
		name    string
		modulus float64
	}{{"E1", m.E1Pa}, {"E2", m.E2Pa}, {"G12", m.G12Pa}} {
		if !(x.modulus > 0) || math.IsInf(x.modulus, 0) {
			return fmt.Errorf("material %q: %s is %g GPa, expected a modulus above 0", m.Name, x.name, x.modulus/1e9)
		}
	}
	if most := math.Sqrt(m.E1Pa / m.E2Pa); !(math.Abs(m.Nu12) < most) {
		return fmt.Errorf("material %q: ν12 is %g, expected between −%.3g and %.3g, √(E1/E2)", m.Name, m.Nu12, most, most)
	}
	if math.IsNaN(m.Alpha1PerK+m.Alpha2PerK) || math.IsInf(m.Alpha1PerK+m.Alpha2PerK, 0) {
		return fmt.Errorf("material %q: the thermal expansion is not a number, expected 1/K, such as 26e-6", m.Name)
	}
	return nil
}

// Softened is the ply with share of its matrix's stiffness left. E2 and G12
// are ruled by the matrix and fall with it; E1 and ν12 are ruled by the fibre
// and stay (E1 would lose at most the matrix's 2 or 3 %), and so do the
// expansions, whose doubt covers their rise above the glass transition.
func (m Material) Softened(share float64) Material {
	m.E2Pa *= share
	m.G12Pa *= share
	return m
}

// Stiffness is Q, plane stress in the ply's own axes (Tsai & Hahn; Kaw ch. 2).
func (m Material) Stiffness() Matrix {
	nu21 := m.Nu12 * m.E2Pa / m.E1Pa
	d := 1 - m.Nu12*nu21
	q12 := m.Nu12 * m.E2Pa / d
	return Matrix{{m.E1Pa / d, q12, 0}, {q12, m.E2Pa / d, 0}, {0, 0, m.G12Pa}}
}
