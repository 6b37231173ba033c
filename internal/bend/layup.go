package bend

import (
	"fmt"
	"strings"

	"fillwright/internal/laminate"
	"fillwright/internal/vessel"
)

// Layup is a wall to compare: how it is made, and the tube of it.
type Layup struct {
	Name string
	Made laminate.TubeOf
	Tube *laminate.Tube
}

// AsBuilt is the profile's own wall; false where the profile has no plies.
func AsBuilt(p *vessel.Profile) (Layup, bool) {
	tube := p.Tube()
	return Layup{"as built", p.TubeOf(), tube}, tube != nil
}

func (l Layup) made(name string, b laminate.TubeOf) (Layup, error) {
	tube, err := laminate.NewTube(b)
	return Layup{name, b, tube}, err
}

// layers is a copy of the layers, to change.
func (l Layup) layers() []laminate.Layer { return append([]laminate.Layer(nil), l.Made.Layers...) }

// WithAxial puts fibres along the axis in the place of a share of every layer,
// outside, of the thickest layer's material. The thickness stays.
func (l Layup) WithAxial(share float64) (Layup, error) {
	if !(share > 0 && share < 1) {
		return l, fmt.Errorf("a share of %g is none: it lies between 0 and 1", share)
	}
	b, thick := l.Made, l.Made.Layers[0]
	b.Layers = l.layers()
	total := 0.0
	for i := range b.Layers {
		if b.Layers[i].ThicknessM > thick.ThicknessM {
			thick = b.Layers[i]
		}
		total += b.Layers[i].ThicknessM
		b.Layers[i].ThicknessM *= 1 - share
	}
	b.Layers = append(b.Layers, laminate.Layer{Material: thick.Material, Lay: laminate.Straight, ThicknessM: share * total})
	return l.made(fmt.Sprintf("%.0f %% laid along", 100*share), b)
}

// WithAngle turns all wound layers and sleeves to an angle.
func (l Layup) WithAngle(angleDeg float64) (Layup, error) {
	if !(angleDeg > 0 && angleDeg < 90) {
		return l, fmt.Errorf("%g° is no angle for pairs: it lies between 0 and 90", angleDeg)
	}
	b, turned := l.Made, 0
	b.Layers = l.layers()
	for i := range b.Layers {
		if b.Layers[i].Lay == laminate.Pair {
			b.Layers[i].AngleDeg, turned = angleDeg, turned+1
		}
	}
	if turned == 0 {
		return l, fmt.Errorf("the profile has no wound layer and no sleeve to turn")
	}
	return l.made(fmt.Sprintf("pairs at %.3g°", angleDeg), b)
}

// WithOnset takes a resin that softens from another temperature, with the
// curve's shape kept.
func (l Layup) WithOnset(onsetK, ownOnsetK float64) (Layup, error) {
	b := l.Made
	b.Softening.MidpointK += onsetK - ownOnsetK
	return l.made(fmt.Sprintf("resin to %.0f °C", onsetK-273.15), b)
}

// WithPlies takes plies and resin of another profile on this vessel; a sleeve
// keeps the angle that it has on the other one.
func (l Layup) WithPlies(p *vessel.Profile) (Layup, error) {
	if len(p.Plies) == 0 {
		return l, fmt.Errorf("its profile has no [[ply]] sections")
	}
	b := l.Made
	other := p.TubeOf()
	b.Layers, b.Softening = other.Layers, other.Softening
	return l.made(p.Name, b)
}

// Usual are the layups that are worth a look where none is asked for: fibres
// along the axis, the pairs a few degrees to either side, a resin that softens
// later. Those that make no sense for the wall are left out.
func (l Layup) Usual(onsetK float64) []Layup {
	var out []Layup
	add := func(v Layup, err error) {
		if err == nil {
			out = append(out, v)
		}
	}
	add(l.WithAxial(1. / 3))
	for _, a := range []float64{50, 60} {
		add(l.WithAngle(a))
	}
	add(l.WithOnset(onsetK+20, onsetK))
	return out
}

// Words tells the layers from the inside out: "cloth 0° 0.3 mm glass-epoxy".
func (l Layup) Words() string {
	out := make([]string, len(l.Made.Layers))
	for i, x := range l.Made.Layers {
		how := map[laminate.Lay]string{laminate.Pair: "±", laminate.Cloth: "cloth ", laminate.Straight: "straight "}[x.Lay]
		out[i] = fmt.Sprintf("%s%.3g° %.3g mm %s", how, x.AngleDeg, 1e3*x.ThicknessM, x.Name)
	}
	return strings.Join(out, ", ")
}

// Moduli are the wall's in the cold, along and round the vessel, Pa: those of a
// closed ring, which can't curl.
func (l Layup) Moduli() (alongPa, roundPa float64) {
	var plies []laminate.Ply
	for _, x := range l.Made.Layers {
		plies = append(plies, x.Plies()...)
	}
	p := laminate.NewPlate(plies)
	a, h := p.A, p.ThicknessM
	return (a[0][0] - a[0][1]*a[0][1]/a[1][1]) / h, (a[1][1] - a[0][1]*a[0][1]/a[0][0]) / h
}
