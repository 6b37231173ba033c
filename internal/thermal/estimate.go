package thermal

import "math"

// Estimate is what is known of a vessel and how well: the best estimate of
// state and parameters, and the covariance of the vector X made of them.
type Estimate struct {
	Model        *Model
	State        State
	Params       Params
	BiasK        float64   // gas probe reads this much high
	Layout       Layout    // order of the vector
	Cov          []float64 // N×N, row by row
	DiscrepancyK float64   // one sigma of what no parameter explains, hottest wall
	ZeroK        float64   // two sigma of it by a lasting error of the pressure, which is added whole
	LitK         Normal    // what the sun is known to do to the sunniest line
	BandFactor   float64   // factor on the band outside what the model has seen, ≥ 1
	Considered   int       // position of a parameter that no reading moves (see Transition), 0: none
}

// Layout is the order of an estimate's vector: gas, bead, the sides' walls and
// outsides, the gas of a far end, the excesses by layers and of the far end, what is each place's own and its
// skin sensor, a second probe's bead and what it is off by, the probe's bias, the free
// parameters.
type Layout struct {
	Sides, Cells int
	Places       int
	Skin         [PlacesMost]bool // places with an attached sensor
	Free         [ParCount]bool
	N            int
	sideAt       [SidesMost]int
	farGasAt     int // -1: no far end
	excessAt     int
	farAt        int
	placeAt      [PlacesMost]int
	secondAt     int // -1: no second gas probe
	biasAt       int
	parAt        [ParCount]int
	order        [VectorMost]uint8 // positions in the order of Cholesky's columns:
	wallFeels    int               // so many that the wall feels,
	placesFeel   int               // so many that it or a place does, and the rest
}

// Positions in the vector.
const (
	AtGas  = 0
	AtBead = 1
)

// NewLayout counts the vector out.
func NewLayout(m *Model, skin [PlacesMost]bool, free [ParCount]bool) Layout {
	l := Layout{Sides: m.Sides, Cells: m.Cells, Places: m.PlaceCount, Skin: skin, Free: free}
	n := 2
	for i := 0; i < m.Sides; i++ {
		l.sideAt[i] = n
		n += m.Cells + 1
	}
	l.farGasAt = -1
	if m.FarShare > 0 {
		l.farGasAt = n
		n++
	}
	l.excessAt, l.farAt = n, n+1
	n += 2
	for i := 0; i < l.Places; i++ {
		l.placeAt[i] = n
		n++
		if skin[i] {
			n++
		}
	}
	l.secondAt = -1
	if m.Second {
		l.secondAt = n
		n += 2
	}
	l.biasAt = n
	n++
	for i := range free {
		l.parAt[i] = -1
		if free[i] {
			l.parAt[i] = n
			n++
		}
	}
	l.N = n
	l.arrange()
	return l
}

// ofSensors are the parameters that no wall feels, but sensors.
var ofSensors = [...]int{ParLnBead, ParLnSkin, ParStem, ParBeadLoss, ParBeadJet, ParHand}

// arrange puts the positions in order by what feels them.
func (l *Layout) arrange() {
	feels := [VectorMost]uint8{AtBead: 2}
	for i := range l.Places {
		feels[l.placeAt[i]] = 1
		if l.Skin[i] {
			feels[l.AtSkin(i)] = 2
		}
	}
	if bead, off, ok := l.AtSecond(); ok {
		feels[bead], feels[off] = 2, 2
	}
	feels[l.biasAt] = 2
	for _, par := range ofSensors {
		if at := l.parAt[par]; at >= 0 {
			feels[at] = 2
		}
	}
	n := 0
	for _, to := range []struct {
		class uint8
		end   *int
	}{{0, &l.wallFeels}, {1, &l.placesFeel}, {2, &n}} {
		for i := range l.N {
			if feels[i] == to.class {
				l.order[n] = uint8(i)
				n++
			}
		}
		*to.end = n
	}
}

// AtWall is the position of a cell of a side's wall.
func (l *Layout) AtWall(side, cell int) int { return l.sideAt[side] + cell }

// AtOut is the position of a side's outside equilibrium.
func (l *Layout) AtOut(side int) int { return l.sideAt[side] + l.Cells }

// AtExcess is the position of the wall's excess by layers of gas.
func (l *Layout) AtExcess() int { return l.excessAt }

// AtFarGas is the position of the gas beyond the jet's reach, -1 where none is.
func (l *Layout) AtFarGas() int { return l.farGasAt }

// AtFar is the position of the far end's excess.
func (l *Layout) AtFar() int { return l.farAt }

// AtLocal is the position of what is a place's own.
func (l *Layout) AtLocal(place int) int { return l.placeAt[place] }

// AtSkin is the position of a place's skin sensor; ask Skin first.
func (l *Layout) AtSkin(place int) int { return l.placeAt[place] + 1 }

// AtSecond are the positions of a second gas probe's bead and of what it is off by;
// there is none where ok is false.
func (l *Layout) AtSecond() (bead, off int, ok bool) {
	return l.secondAt, l.secondAt + 1, l.secondAt >= 0
}

// AtBias is the position of the gas probe's bias.
func (l *Layout) AtBias() int { return l.biasAt }

// AtPar is the position of a free parameter, -1 for a fixed one.
func (l *Layout) AtPar(i int) int { return l.parAt[i] }

// Pack writes state, bias and free parameters into x.
func (l *Layout) Pack(s *State, biasK float64, p *Params, x []float64) {
	x[AtGas], x[AtBead] = s.GasK, s.BeadK
	for i := 0; i < l.Sides; i++ {
		at := l.sideAt[i]
		copy(x[at:], s.Wall[i][:l.Cells])
		x[at+l.Cells] = s.OutK[i]
	}
	if l.farGasAt >= 0 {
		x[l.farGasAt] = s.FarGasK
	}
	x[l.excessAt], x[l.farAt] = s.ExcessK, s.FarK
	for i := 0; i < l.Places; i++ {
		at := l.placeAt[i]
		x[at] = s.LocalK[i]
		if l.Skin[i] {
			x[at+1] = s.SkinK[i]
		}
	}
	if l.secondAt >= 0 {
		x[l.secondAt], x[l.secondAt+1] = s.SecondK, s.SecondOffK
	}
	x[l.biasAt] = biasK
	for i, at := range l.parAt {
		if at >= 0 {
			x[at] = p[i]
		}
	}
}

// Unpack is the inverse of Pack; what x does not hold stays as it is.
func (l *Layout) Unpack(x []float64, s *State, biasK *float64, p *Params) {
	s.GasK, s.BeadK = x[AtGas], x[AtBead]
	for i := 0; i < l.Sides; i++ {
		at := l.sideAt[i]
		copy(s.Wall[i][:l.Cells], x[at:at+l.Cells])
		s.OutK[i] = x[at+l.Cells]
	}
	if l.farGasAt >= 0 {
		s.FarGasK = x[l.farGasAt]
	}
	s.ExcessK, s.FarK = x[l.excessAt], x[l.farAt]
	for i := 0; i < l.Places; i++ {
		at := l.placeAt[i]
		s.LocalK[i] = x[at]
		if l.Skin[i] {
			s.SkinK[i] = x[at+1]
		}
	}
	if l.secondAt >= 0 {
		s.SecondK, s.SecondOffK = x[l.secondAt], x[l.secondAt+1]
	}
	*biasK = x[l.biasAt]
	for i, at := range l.parAt {
		if at >= 0 {
			p[i] = x[at]
		}
	}
}

// DifferenceStep is a small change of element i that differences can be taken over.
func (l *Layout) DifferenceStep(i int) float64 {
	for p, at := range l.parAt {
		if at == i {
			return parameters[p].step
		}
	}
	return 0.05 // K
}

// Moved is the state and the parameters at the estimate plus d.
func (b *Estimate) Moved(d []float64) (State, Params) {
	s, p, bias := b.State, b.Params, b.BiasK
	var x [VectorMost]float64
	b.Layout.Pack(&s, bias, &p, x[:b.Layout.N])
	for i := range d {
		x[i] += d[i]
	}
	b.Layout.Unpack(x[:b.Layout.N], &s, &bias, &p)
	return s, p
}

// VectorMost bounds the length of an estimate's vector.
const VectorMost = 64

// Band is two sigma of a hottest wall whose own sigma is given, aheadS from
// now, with what the model can't explain and the widening outside what it has
// seen: the sun may come out and the wind drop until then.
func (b *Estimate) Band(sigmaK, aheadS float64) float64 {
	return b.ZeroK + 2*math.Max(b.BandFactor, 1)*math.Sqrt(sigmaK*sigmaK+b.DiscrepancyK*b.DiscrepancyK+b.driftedK2(aheadS))
}

// How far the outside of the sunny side wanders in the square root of a second,
// one sigma, as a share of what the sun makes of it: clouds, lulls and gusts take
// of it or add to it. ShadeDriftK is that of the shaded side, in kelvin. Common
// practice, no source.
const (
	sunDrift      = 0.02
	sunDriftLitK  = 3.0 // less sun than this wanders no less
	ShadeDriftK   = 0.06
	driftMostS    = 900.0 // no sky wanders further than it has in that time
	litPossibleUp = 0.25  // of the sigma of what the sun may do, behind a cloud
)

// SunDriftK is how far the outside of the sunny side wanders in the square root
// of a second, one sigma: by what the sun does now or, if that is more, may do. What
// is not known of its side's outside may be sun that a cloud held back when the wall
// was read.
func (b *Estimate) SunDriftK() float64 {
	lit := b.LitK.MeanK + litPossibleUp*b.LitK.SigmaK
	if b.Layout.Sides == SidesMost {
		at := b.Layout.AtOut(SideSun)
		unknown := math.Min(math.Sqrt(b.Cov[at*b.Layout.N+at]), b.LitK.SigmaK)
		lit = math.Max(lit, b.State.OutK[SideSun]-b.State.OutK[SideShade]+unknown)
	}
	return sunDrift * math.Hypot(lit, sunDriftLitK)
}

// OutsideTauS is the time constant at which a wall follows its outside, ρ c t/h_o.
func (b *Estimate) OutsideTauS() float64 {
	return b.Model.AreaHeatJM2K * math.Exp(b.Params[ParLnHeat]-b.Params[ParLnOutside])
}

// driftedK2 is the variance that an outside which wanders, dT_e = q dB, brings
// to a wall of time constant τ = C/h_o that follows it, within t:
//
//	q² (t − 2τ(1 − e^(−t/τ)) + τ/2 (1 − e^(−2t/τ))),
//
// the integral of the squared step response (Itô's isometry; Gelb 1974).
func (b *Estimate) driftedK2(t float64) float64 {
	if !(t > 0) || b.Model == nil {
		return 0
	}
	tau := b.OutsideTauS()
	t = math.Min(t, driftMostS)
	e, drift := math.Exp(-t/tau), b.SunDriftK()
	return drift * drift * math.Max(0, t-2*tau*(1-e)+0.5*tau*(1-e*e))
}
