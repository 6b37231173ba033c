package laminate

import (
	"fmt"
	"math"
)

// Lay is how a layer's fibres run.
type Lay uint8

// The lays. Each but Straight at an odd angle is balanced: it has no coupling
// of stretch and shear, so that a tube of it does not twist.
const (
	Straight Lay = iota // one direction
	Pair                // as much at +angle as at −angle: wound, or a braided sleeve
	Cloth               // as much at the angle as square to it
)

// Layer is a layer of a tube's wall.
type Layer struct {
	Material
	Lay        Lay
	AngleDeg   float64 // from the axis
	ThicknessM float64
}

// Directions are the angles that share the layer equally.
func (l Layer) Directions() []float64 {
	switch l.Lay {
	case Pair:
		return []float64{l.AngleDeg, -l.AngleDeg}
	case Cloth:
		return []float64{l.AngleDeg, l.AngleDeg + 90}
	}
	return []float64{l.AngleDeg}
}

// Plies is the layer as plies, one above the other.
func (l Layer) Plies() []Ply {
	d := l.Directions()
	out := make([]Ply, len(d))
	for i, a := range d {
		out[i] = Ply{Material: l.Material, AngleDeg: a, ThicknessM: l.ThicknessM / float64(len(d))}
	}
	return out
}

// check refuses what would make the sums of a tube wrong. Layers that couple
// stretch and shear would twist the tube, which the sums leave out.
func (l Layer) check(i int) error {
	if err := l.Material.Check(); err != nil {
		return err
	}
	if !(l.ThicknessM > 0) || math.IsInf(l.ThicknessM, 0) {
		return fmt.Errorf("layer %d is %g mm thick, expected a thickness above 0", i+1, l.ThicknessM*1e3)
	}
	twist := math.Abs(math.Sin(4 * l.AngleDeg * math.Pi / 180))
	if l.Lay == Straight {
		twist = math.Abs(math.Sin(2 * l.AngleDeg * math.Pi / 180))
	}
	if math.IsNaN(l.AngleDeg) || l.Lay != Pair && twist > 1e-9 {
		return fmt.Errorf("layer %d lies at %g° alone, expected fibres in pairs, or along and round the tube (cloth also at 45°)", i+1, l.AngleDeg)
	}
	return nil
}

// BraidAngleDeg is the angle of a braided sleeve's fibres from the axis when it
// is stretched to a diameter. A yarn keeps its length for each turn, π d/sin φ,
// and a sleeve is sold by the diameter at which it lies at 45°, so
//
//	sin φ = d/(√2 d45)
//
// (geometry; braiding's thickness left out). NaN where the sleeve can't reach
// the diameter.
func BraidAngleDeg(diameterM, diameterAt45M float64) float64 {
	if !(diameterM > 0) || !(diameterAt45M > 0) {
		return math.NaN()
	}
	return math.Asin(diameterM/(math.Sqrt2*diameterAt45M)) * 180 / math.Pi
}

// NettingAngleDeg is the angle of a pair at which the fibres alone carry a
// hoop load so many times the axial one: tan² φ = hoop/axial (netting analysis;
// derived). A closed tube under pressure has 2: 54.7°.
func NettingAngleDeg(hoopOverAxial float64) float64 {
	return math.Atan(math.Sqrt(hoopOverAxial)) * 180 / math.Pi
}
