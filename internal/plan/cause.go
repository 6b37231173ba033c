package plan

import (
	"math"

	"fillwright/internal/thermal"
)

// cause is one thing that is not known of the day, with what it would take to
// know it better.
type cause struct {
	sigma    float64 // one sigma, in the scale of move
	narrowed float64 // and once somebody has done what do says
	do       string
	move     func(d *Day, by float64)
}

// causes are what is not known of the day, each independent of the others. The
// wind is not among them: it acts through the outside coefficient.
func (s *Setup) causes() []cause {
	d := &s.Day
	list := []cause{
		{d.Air.Sigma, 0.5, "a thermometer in the shade of the pad", func(d *Day, by float64) { d.Air.Value += by }},
		{d.Absorptance.Sigma, 0.03, "the finish's absorptance, measured", func(d *Day, by float64) {
			d.Absorptance.Value = math.Min(1, math.Max(0, d.Absorptance.Value+by))
		}},
		{d.StandS.Sigma, 0.1, "how long it stands in the sun before", func(d *Day, by float64) { d.StandS.Value *= math.Exp(by) }},
		{d.Around.Sigma, d.Around.Sigma, "", func(d *Day, by float64) { d.Around.Value *= math.Exp(by) }}, // nobody measures it
	}
	switch sun := d.SunWM2.Sigma; {
	case s.Model.Gains != nil && d.Light == LightUnsaid:
		// What fills showed of their days' suns stands in the gains themselves.
	case d.Light == LightClear:
		if math.IsNaN(d.Heading) && !s.pad(d).Pose.Standing {
			sun = math.Hypot(sun, headingSigma)
		}
		list = append(list, cause{sun, saidSun, "the sun's W/m², measured on the pad", func(d *Day, by float64) { d.SunWM2.Value *= 1 + by }})
	default:
		list = append(list, cause{sun, math.Min(sun, 40), "the sun's W/m², measured on the pad", func(d *Day, by float64) { d.SunWM2.Value += by }})
	}
	return list
}

// windSigma is one sigma of the outside coefficient's logarithm that the wind
// brings, and filmSigma that of the correlation itself.
func (s *Setup) windSigma(d *Day) float64 {
	more := *d
	more.Wind.Value *= math.Exp(d.Wind.Sigma)
	return math.Log(s.start(&more).gains.OutsideWM2K / s.start(d).gains.OutsideWM2K)
}

// doubt makes the covariance of walls, outsides and gas.
func (s *Setup) doubt(b *thermal.Estimate, st *start, causes []cause) {
	d, l, n := &s.Day, &b.Layout, b.Layout.N
	forgetPlaces(b)
	outside := l.AtPar(thermal.ParLnOutside)
	if outside >= 0 && !s.learnedOutside(d) {
		for j := range n {
			b.Cov[outside*n+j], b.Cov[j*n+outside] = 0, 0
		}
		wind := s.windSigma(d)
		b.Cov[outside*n+outside] = wind*wind + filmSigma*filmSigma
	}
	if outside >= 0 {
		// A stiffer wind takes the outsides nearer to the air, and the wall sooner
		// to them: differences over a tenth of the logarithm.
		const by = 0.1
		depend(b, outside, places{}.plus(1/by, s.windier(st, by).plus(-1, st.places)))
	}
	for _, c := range causes {
		moved := *d
		c.move(&moved, c.sigma)
		spread(b, s.start(&moved).plus(-1, st.places))
	}
	sky := skySigmaK
	if d.WrapKgM2 > 0 {
		sky = wrapSigmaK
	} else { // each side sees ground of its own
		spread(b, places{outSunK: groundSigmaK, wallSunK: groundSigmaK})
		spread(b, places{outShadeK: groundSigmaK, wallShadeK: groundSigmaK})
	}
	spread(b, places{outSunK: sky, outShadeK: sky, wallSunK: sky, wallShadeK: sky})
	if g := s.Model.Gains; g != nil && d.Light == LightUnsaid {
		lit, shade := g.Lit.SigmaK, g.Shade.SigmaK
		spread(b, places{outSunK: lit, wallSunK: lit})
		spread(b, places{outSunK: shade, outShadeK: shade, wallSunK: shade, wallShadeK: shade})
	}
}

// forgetPlaces takes out what the live estimate's start says of walls, outsides
// and sensors: what it lumps together there, the air between thermometer and pad, the
// sky and how long the vessel stood, a day has as causes of its own.
func forgetPlaces(b *thermal.Estimate) {
	l, n := &b.Layout, b.Layout.N
	clear := func(at int) {
		for j := range n {
			b.Cov[at*n+j], b.Cov[j*n+at] = 0, 0
		}
	}
	clear(thermal.AtBead)
	for side := range thermal.SidesMost {
		for at := l.AtWall(side, 0); at <= l.AtOut(side); at++ {
			clear(at)
		}
	}
	for i := range l.Places {
		clear(l.AtLocal(i))
	}
}

// column lays a difference of starts out as a move of the estimate's vector. What
// warms the air warms gas and inflow too.
func column(b *thermal.Estimate, by places) (c [thermal.VectorMost]float64) {
	l := &b.Layout
	c[thermal.AtGas], c[thermal.AtBead] = by.airK, by.airK
	for j := range l.Cells {
		c[l.AtWall(thermal.SideSun, j)], c[l.AtWall(thermal.SideShade, j)] = by.wallSunK, by.wallShadeK
	}
	c[l.AtOut(thermal.SideSun)], c[l.AtOut(thermal.SideShade)] = by.outSunK, by.outShadeK
	if at := l.AtPar(thermal.ParInflow); at >= 0 && b.State.Supply.Inlet() != thermal.InletMeasured {
		c[at] = by.airK
	}
	return c
}

// spread adds one independent sigma to the covariance.
func spread(b *thermal.Estimate, by places) {
	c, n := column(b, by), b.Layout.N
	for i := range n {
		for j := range n {
			b.Cov[i*n+j] += c[i] * c[j]
		}
	}
}

// depend lets walls and outsides move with element on: x ← x + by·δ.
func depend(b *thermal.Estimate, on int, by places) {
	c, n := column(b, by), b.Layout.N
	for i := range n {
		for j := range n {
			b.Cov[i*n+j] += c[i] * b.Cov[on*n+j]
		}
	}
	for i := range n {
		at := b.Cov[i*n+on]
		for j := range n {
			b.Cov[i*n+j] += at * c[j]
		}
	}
}

// surpriseSigma is how far off a reading opens the estimate of its side, as in the
// live estimate.
const surpriseSigma = 2.5

// read takes a contact reading of a side's skin in, K; NaN is none.
func read(b *thermal.Estimate, side int, k float64) {
	if math.IsNaN(k) {
		return
	}
	at, n := b.Layout.AtWall(side, b.Layout.Cells-1), b.Layout.N
	off := k - b.State.Wall[side][b.Layout.Cells-1]
	if v := b.Cov[at*n+at] + readingSigmaK*readingSigmaK; off*off > surpriseSigma*surpriseSigma*v {
		open := places{outSunK: off, wallSunK: off}
		if side == thermal.SideShade {
			open = places{outShadeK: off, wallShadeK: off}
		}
		spread(b, open)
	}
	gain := make([]float64, n)
	for i := range n {
		gain[i] = b.Cov[i*n+at] / (b.Cov[at*n+at] + readingSigmaK*readingSigmaK)
	}
	for i := range gain {
		gain[i] *= off
	}
	b.State, b.Params = b.Moved(gain)
	narrow(b, at)
}

// narrow is what a reading of element at leaves of the covariance (Kalman's
// update, Gelb 1974).
func narrow(b *thermal.Estimate, at int) {
	n := b.Layout.N
	row := append([]float64(nil), b.Cov[at*n:at*n+n]...)
	v := row[at] + readingSigmaK*readingSigmaK
	for i := range n {
		for j := range n {
			b.Cov[i*n+j] -= row[i] * row[j] / v
		}
	}
}
