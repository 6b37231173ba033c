package laminate

import "math"

// Softening is how a matrix's stiffness falls over its glass transition:
//
//	P(T)/P_U = (1 + R)/2 − (1 − R)/2 tanh(k (T − T'))
//
// (Gibson and others 2006 for laminates in fire; from memory), with R = P_R/P_U.
// Each of the three numbers is known badly: see Doubt.
type Softening struct {
	MidpointK     float64 // T'
	SteepnessPerK float64 // k
	RelaxedShare  float64 // R, left far above the transition
}

const (
	// shareAtOnset is what is left at the extrapolated onset, where the
	// tangents cross: 0.7 to 0.8 (common practice, no source).
	shareAtOnset = 0.75
	// relaxedShare is the middle, by ratio, of 0.03 to 0.1 for E2 and G12 of
	// epoxy plies (from memory).
	relaxedShare = 0.055
	// onsetToMidpointLeastK keeps the curve from getting a step: no transition
	// that was measured is narrower (common practice, no source).
	onsetToMidpointLeastK = 4
	// onsetToMidpointUsualK stands in where only the onset is known.
	onsetToMidpointUsualK = 7
)

// SofteningOf lays the curve through 0.75 at the extrapolated onset with its
// middle at the midpoint. Where the two are the same, only the onset was
// known: it is taken for the midpoint, which softens early, with the usual
// steepness.
func SofteningOf(onsetK, midpointK float64) Softening {
	width := midpointK - onsetK
	switch {
	case width == 0:
		width = onsetToMidpointUsualK
	case width < onsetToMidpointLeastK:
		width = onsetToMidpointLeastK
	}
	const r = relaxedShare
	k := math.Atanh((2*shareAtOnset-1-r)/(1-r)) / width
	return Softening{MidpointK: midpointK, SteepnessPerK: k, RelaxedShare: r}
}

// Share is the matrix's stiffness at a temperature over that in the cold. The
// hyperbolic tangent is written by its exponential, (1 − tanh x)/2 =
// 1/(1 + e^2x), which is quicker.
func (s Softening) Share(tempK float64) float64 {
	return s.RelaxedShare + (1-s.RelaxedShare)/(1+math.Exp(2*s.SteepnessPerK*(tempK-s.MidpointK)))
}

// Doubt holds what is not known of a laminate, each as two standard deviations.
type Doubt struct {
	MidpointK       float64
	SteepnessFactor float64 // times or divided by
	RelaxedFactor   float64 // times or divided by
	AngleDeg        float64 // of wound layers and sleeves
	ExpansionShare  float64
}

// UsualDoubt is for a resin of which two temperatures are known and for layers
// laid by hand. Midpoint: cure, moisture and the method of measuring move it by
// several kelvin (DMA and DSC differ by more); steepness: by no better than the
// onset's 0.7 to 0.8 tells; relaxed: 0.03 to 0.1; angle: ±1°; expansion: a
// third, as it rises above the transition (all common practice, no source).
var UsualDoubt = Doubt{MidpointK: 4, SteepnessFactor: 1.5, RelaxedFactor: 1.8, AngleDeg: 1, ExpansionShare: 1. / 3}
