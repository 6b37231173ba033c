package laminate

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// TestNetting proves that netting theory's angle for a closed cylinder comes
// out two ways: by its formula, as printed to eight digits in the reference
// table (computed, testdata/netting.csv), and as the angle at which a pair of
// plies strains least under twice as much hoop load as axial load, as the
// matrix gets nothing. The stable angle lies off the netting angle by an amount
// that goes with matrix over fibre stiffness: Evans & Gibson, Proc. R. Soc. A
// 458 (2002), abstract.
func TestNetting(t *testing.T) {
	want := nettingAngle(t)
	got := NettingAngleDeg(2)
	must.Be(t, math.Abs(got-want) <= 0.5e-6, "%.8f°, want %.6f°", got, want)
	last := math.Inf(1)
	for _, share := range []float64{1e-1, 1e-2, 1e-3, 1e-4} {
		off := math.Abs(stiffestDeg(handbook[0].Softened(share)) - want)
		must.Be(t, off < last, "with a matrix of %g the stiffest angle is off by %g°, before by %g°", share, off, last)
		last = off
	}
	must.Be(t, last <= 0.02, "without a matrix the stiffest angle is off by %g°", last)
}

func nettingAngle(t *testing.T) float64 {
	for _, r := range must.Rows(t, "testdata/netting.csv", 2) {
		if strings.Contains(r[1], "winding angle") {
			return must.Get(strconv.ParseFloat(r[3], 64))(t)
		}
	}
	t.Fatal("no row")
	return 0
}

// stiffestDeg is the pair's angle of least work under N_y = 2 N_x, by golden
// section.
func stiffestDeg(m Material) float64 {
	work := func(angle float64) float64 {
		p := NewPlate([]Ply{{m, angle, 1}, {m, -angle, 2}, {m, angle, 1}})
		e, _ := p.Respond(Vector{1, 2, 0}, Vector{}, 0)
		return e[0] + 2*e[1]
	}
	low, high := 30., 80.
	const ratio = 0.6180339887498949
	for range 60 {
		a, b := high-ratio*(high-low), low+ratio*(high-low)
		if work(a) < work(b) {
			high = b
		} else {
			low = a
		}
	}
	return (low + high) / 2
}

// TestBraid proves the sleeve's angle: 45° at the diameter that it is sold by,
// 90° where its yarns lie round and round, nothing beyond, and the yarn's
// length for each turn kept (geometry).
func TestBraid(t *testing.T) {
	within(t, "as sold", BraidAngleDeg(0.06, 0.06), 45, 1e-12)
	within(t, "tan² = 2", BraidAngleDeg(0.06*math.Sqrt(4./3), 0.06), 54.7356103172, 1e-10)
	within(t, "round", BraidAngleDeg(0.06*math.Sqrt2*(1-1e-16), 0.06), 90, 1e-6)
	for _, d := range []float64{0.06 * 1.42, 0, -1, math.NaN()} {
		a := BraidAngleDeg(d, 0.06)
		must.Be(t, math.IsNaN(a), "diameter %g gives %g°", d, a)
	}
	rapid.Check(t, func(t *rapid.T) {
		d45 := rapid.Float64Range(0.01, 1).Draw(t, "d45")
		d := d45 * rapid.Float64Range(0.2, 1.41).Draw(t, "stretch")
		yarn := math.Pi * d / math.Sin(BraidAngleDeg(d, d45)*math.Pi/180)
		within(t, "yarn a turn", yarn, math.Pi*d45*math.Sqrt2, 1e-9)
	})
}

// TestLayerDirections proves that pairs and cloth couple nothing, and that
// cloth laid at 45° is the pair at 45°.
func TestLayerDirections(t *testing.T) {
	m := handbook[0]
	for _, l := range []Layer{{m, Pair, 37, 1}, {m, Cloth, 0, 1}, {m, Straight, 90, 1}, {m, Straight, 0, 1}} {
		p := NewPlate(append(l.Plies(), l.Plies()...))
		c := p.Constants()
		must.Be(t, math.Abs(c.Coupled) <= 1e-12, "%+v couples %g", l, c.Coupled)
	}
	cloth, pair := NewPlate(Layer{m, Cloth, 45, 1}.Plies()), NewPlate(Layer{m, Pair, 45, 1}.Plies())
	within(t, "A11", cloth.A[0][0], pair.A[0][0], 1e-12)
	within(t, "A12", cloth.A[0][1], pair.A[0][1], 1e-12)
}

// TestLayersRefused proves that a tube of layers that twist it, of none, of too
// many or without thickness is refused with its place.
func TestLayersRefused(t *testing.T) {
	m, bad := handbook[0], handbook[0]
	bad.E1Pa = 0
	good := Layer{m, Pair, 55, 1e-3}
	for _, ls := range [][]Layer{
		{good, {m, Straight, 55, 1e-3}}, {good, {m, Cloth, 20, 1e-3}}, {good, {m, Pair, math.NaN(), 1e-3}},
		{good, {m, Pair, 55, 0}}, {good, {m, Pair, 55, math.NaN()}},
	} {
		_, err := NewTube(TubeOf{Layers: ls, InnerDiameterM: 0.1, LengthM: 1})
		must.Be(t, err != nil && strings.HasPrefix(err.Error(), "layer 2 "), "%+v: %v", ls, err)
	}
	for _, n := range []int{0, LayersMost + 1} {
		_, err := NewTube(TubeOf{Layers: make([]Layer, n)})
		must.Be(t, err != nil && strings.HasPrefix(err.Error(), fmt.Sprintf("there are %d layers", n)), "%d layers: %v", n, err)
	}
	_, err := NewTube(TubeOf{Layers: []Layer{{bad, Pair, 55, 1e-3}}})
	must.Be(t, err != nil && strings.HasPrefix(err.Error(), `material "carbon-epoxy": E1`), "%v", err)
}
