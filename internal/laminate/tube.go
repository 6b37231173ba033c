package laminate

import (
	"fmt"
	"math"
)

// LayersMost bounds the layers of a tube.
const LayersMost = 16

// Tube is a closed tube whose wall is known layer by layer.
type Tube struct {
	radiusM, innerM, lengthM float64
	curve                    Softening
	doubt                    Doubt
	nominal, less, more      build // pairs as laid, and turned by the doubt
}

// build is a wall with its axial stiffness in the cold, that its shares are of.
type build struct {
	layers []layer
	coldNM float64
}

func built(layers []Layer, turnDeg float64) build {
	b := build{layers: stack(layers, turnDeg)}
	stiff := Softening{MidpointK: math.Inf(1), SteepnessPerK: 1} // nothing softened
	b.coldNM = wall(b.layers, stiff, Side{}, 0, 0, 0).stiffnessNM
	return b
}

// TubeOf is a tube's build: layers from the inside out.
type TubeOf struct {
	Layers         []Layer
	InnerDiameterM float64
	LengthM        float64
	Softening      Softening
	Doubt          Doubt
}

// NewTube makes a tube ready. The error says what no layer can be.
func NewTube(b TubeOf) (*Tube, error) {
	if len(b.Layers) == 0 || len(b.Layers) > LayersMost {
		return nil, fmt.Errorf("there are %d layers, expected 1 to %d", len(b.Layers), LayersMost)
	}
	thicknessM := 0.0
	for i, l := range b.Layers {
		if err := l.check(i); err != nil {
			return nil, err
		}
		thicknessM += l.ThicknessM
	}
	return &Tube{
		innerM: b.InnerDiameterM / 2, radiusM: (b.InnerDiameterM + thicknessM) / 2, lengthM: b.LengthM,
		curve: b.Softening, doubt: b.Doubt,
		nominal: built(b.Layers, 0), less: built(b.Layers, -b.Doubt.AngleDeg), more: built(b.Layers, b.Doubt.AngleDeg),
	}, nil
}

// State is what a tube stands under.
type State struct {
	PressurePa float64 // gauge
	Sun, Shade Side    // the line that faces the sun, and the far half
	SunBandK   float64 // two sigma of Sun; 0: taken as sure
}

// Figure is a number with its band, two sigma each way. Unknown is NaN.
type Figure struct{ Value, Low, High float64 }

// Bow is what the difference between its sides does to a tube. The softening
// of a resin is known so badly that the curvature may be off by a factor of 2
// to 3: it ranks layups and tells when to stop, and promises no millimetre.
type Bow struct {
	CurvaturePerM Figure // above 0: the sunny side is the longer one
	SagM          Figure // middle against the ends of a free tube, κ L²/8
	Strain        Figure // along the axis, from shade's temperature without pressure
	BendShare     Figure // bending stiffness left, of that in the cold
	SunShare      Figure // axial stiffness left on the sunny line, of that in the cold
	ShadeShare    Figure
	SidesRatio    Figure // SunShare over ShadeShare
}

// figures is a Bow as numbers, to be varied one by one.
type figures [7]float64

// Bow computes it. Each thing in doubt is moved by two sigma up and down by
// itself, and the changes are added by their squares, apart for either
// direction (JCGM 100 clause 5.1.2 with finite differences).
func (t *Tube) Bow(s State) Bow {
	base := t.figures(s, t.nominal, t.curve, 1)
	var up, down figures
	vary := func(v figures) {
		for i := range v {
			d := v[i] - base[i]
			more, less := math.Max(d, 0), math.Min(d, 0) // keep NaN
			up[i] += more * more
			down[i] += less * less
		}
	}
	both := func(a, b figures) { vary(a); vary(b) }
	curve := func(mid, steep, relaxed float64) figures {
		c := t.curve
		c.MidpointK += mid
		c.SteepnessPerK *= steep
		c.RelaxedShare = math.Min(c.RelaxedShare*relaxed, 1)
		return t.figures(s, t.nominal, c, 1)
	}
	d := t.doubt
	both(curve(d.MidpointK, 1, 1), curve(-d.MidpointK, 1, 1))
	both(curve(0, d.SteepnessFactor, 1), curve(0, 1/d.SteepnessFactor, 1))
	both(curve(0, 1, d.RelaxedFactor), curve(0, 1, 1/d.RelaxedFactor))
	both(t.figures(s, t.less, t.curve, 1), t.figures(s, t.more, t.curve, 1))
	both(t.figures(s, t.nominal, t.curve, 1-d.ExpansionShare), t.figures(s, t.nominal, t.curve, 1+d.ExpansionShare))
	if s.SunBandK != 0 {
		warm, cool := s, s
		warm.Sun, cool.Sun = s.Sun.warmer(s.SunBandK), s.Sun.warmer(-s.SunBandK)
		both(t.figures(warm, t.nominal, t.curve, 1), t.figures(cool, t.nominal, t.curve, 1))
	}
	var out [len(base)]Figure
	for i, v := range base {
		out[i] = Figure{v, v - math.Sqrt(down[i]), v + math.Sqrt(up[i])}
	}
	return Bow{out[0], out[1], out[2], out[3].within(1), out[4].within(1), out[5].within(1), out[6].within(math.Inf(1))}
}

// within keeps the band of a share where the share can be.
func (f Figure) within(most float64) Figure {
	f.Low, f.High = math.Max(f.Low, 0), math.Min(f.High, most)
	return f
}

func (t *Tube) figures(s State, b build, curve Softening, expansion float64) figures {
	var ring [2 * points]place
	refK, hoopNM := s.Shade.MeanK(), s.PressurePa*t.innerM
	at := func(side Side) strip { return wall(b.layers, curve, side, refK, hoopNM, expansion) }
	sunRing(&ring, t.radiusM, s.Sun, s.Shade, at)
	is := balance(ring[:], math.Pi*t.innerM*t.innerM*s.PressurePa)
	sun, shade := at(s.Sun).stiffnessNM, ring[len(ring)-1].stiffnessNM
	coldBendNM2 := math.Pi * t.radiusM * t.radiusM * t.radiusM * b.coldNM
	return figures{is.curvature, is.curvature * t.lengthM * t.lengthM / 8, is.strain, is.bendNM2 / coldBendNM2,
		sun / b.coldNM, shade / b.coldNM, sun / shade}
}

// SidesRatio is the sunny line's axial stiffness over the shade's, by the
// middle softening curve, with the sun's band counted as warmth: doubt counts
// against filling.
func (t *Tube) SidesRatio(s State) float64 {
	at := func(side Side) float64 { return wall(t.nominal.layers, t.curve, side, 0, 0, 0).stiffnessNM }
	return at(s.Sun.warmer(s.SunBandK)) / at(s.Shade)
}

// LengthM is the tube's length.
func (t *Tube) LengthM() float64 { return t.lengthM }

// ThicknessM is the wall's, all layers together.
func (t *Tube) ThicknessM() float64 { return 2 * (t.radiusM - t.innerM) }
