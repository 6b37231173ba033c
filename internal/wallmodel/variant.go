package wallmodel

import (
	"math"
	"slices"

	"fillwright/internal/thermal"
)

// Variant is one of the wall models: how many cells, and which parameters
// it frees beyond those of all.
type Variant struct {
	Name  string
	Cells int
	Free  [thermal.ParCount]bool // parameters that may move; the others stay at the handbook's
	Zero  [thermal.ParCount]bool // parameters that this variant holds at zero
}

// Variants are all of them, simplest first.
func Variants() []Variant {
	own := []int{thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet, thermal.ParLnConduct} // every variant frees all but these
	variant := func(name string, cells int, more ...int) Variant {
		r := Variant{Name: name, Cells: cells}
		for i := range r.Free {
			r.Free[i] = !slices.Contains(own, i) || slices.Contains(more, i)
		}
		for _, i := range []int{thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet} {
			r.Zero[i] = !r.Free[i]
		}
		return r
	}
	return []Variant{
		variant("lag", 1),
		variant("lag-density", 1, thermal.ParDensity),
		variant("layered", thermal.CellsLayered, thermal.ParDensity, thermal.ParLnConduct),
		variant("layered-buoyant", thermal.CellsLayered, thermal.ParDensity, thermal.ParBuoyancy, thermal.ParLnConduct),
		variant("layered-jet", thermal.CellsLayered, thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet, thermal.ParLnConduct),
	}
}

// VariantNamed finds a variant.
func VariantNamed(name string) (Variant, bool) {
	for _, r := range Variants() {
		if r.Name == name {
			return r, true
		}
	}
	return Variant{}, false
}

// Prior is the handbook's mean of a parameter and its one sigma, both in the
// parameter's own scale, on a given variant.
func (r Variant) Prior(i int) (mean, sigma float64) {
	if r.Zero[i] {
		return 0, 0
	}
	mean = thermal.ParInternal(i, priors[i].mean)
	if r.Free[i] {
		sigma = priors[i].sigma
	}
	if i == thermal.ParLnFilm && r.Zero[thermal.ParJet] {
		mean, sigma = math.Log(2*priors[i].mean), 0.7
	}
	if (i == thermal.ParDensity || i == thermal.ParBuoyancy) && r.Zero[thermal.ParJet] {
		sigma *= 1.6 // the exponents then stand in for the jet too
	}
	return mean, sigma
}
