package weather

import "math"

// Pose is how a vessel lies to the sun.
type Pose struct {
	Standing bool
	// HeadingRad is where a lying vessel's axis points, from north eastward; NaN:
	// not known, and then the sun is taken to stand as it does to most headings.
	HeadingRad float64
}

// Pad is a vessel on its pad at one moment.
type Pad struct {
	AirK, AirPa float64
	WindMS      float64
	Sun         Sun
	Light       Sunlight
	Pose        Pose
	SquareOn    bool // the light comes square on the vessel, whatever sun and pose are
	Covered     bool // in the shade: no beam, and it sees no more of the sky than level ground
	DiameterM   float64
	Absorptance float64
}

// Gains are what a vessel's outside comes to above the air, K, and the
// coefficient by which it does so.
type Gains struct {
	ShadeK      float64 // where no beam falls
	LitK        float64 // what the sunniest line stands above that
	LitMean     float64 // the share of LitK that all of the tube stands above its shade, on the mean
	OutsideWM2K float64 // convection and radiation
}

// Light that level ground sends back, and what a face turned to a clear sky loses
// to it in heat: 63 W/m² facing up, none where it faces level (ASHRAE
// Fundamentals, sol-air; reflectance 0.2: common practice, no source).
const (
	groundReflects = 0.2
	skyLossWM2     = 63.0
)

// heightRad is how high the sun stands: half way up where the light comes square on
// and nobody said from where.
func (p *Pad) heightRad() float64 {
	if p.SquareOn {
		return math.Pi / 4
	}
	return p.Sun.HeightRad
}

// across says how the beam meets the vessel: the sine of the angle between ray
// and axis, and how far the sunniest line faces up (the sine of its elevation).
func (p *Pad) across() (sinBeta, facesUp float64) {
	h := p.heightRad()
	switch {
	case p.Covered:
		return 0, 0
	case p.SquareOn:
		return 1, math.Sin(h)
	case p.Pose.Standing:
		return math.Cos(h), 0
	}
	// s·a for a level axis is cos h cos(A − heading).
	along := math.Cos(h) * math.Cos(p.Sun.AzimuthRad-p.Pose.HeadingRad)
	if math.IsNaN(p.Pose.HeadingRad) {
		along = math.Cos(h) / math.Sqrt2 // root mean square over all headings
	}
	sinBeta = math.Sqrt(math.Max(0, 1-along*along))
	if sinBeta == 0 {
		return 0, 1
	}
	return sinBeta, math.Min(1, math.Max(0, math.Sin(h))/sinBeta)
}

// absorbed is the sunlight less the loss to the sky that a face takes up whose
// normal's elevation has the sine up, besides the beam, W/m².
func (p *Pad) absorbed(up float64) float64 {
	sky := 0.5 * (1 + up)
	level := p.Light.DiffuseWM2 + p.Light.BeamWM2*math.Max(0, math.Sin(p.heightRad()))
	loss := Emittance * skyLossWM2 * math.Max(0, up)
	return p.Absorptance*(p.Light.DiffuseWM2*sky+groundReflects*level*(1-sky)) - loss
}

// Gains is the sol-air temperature round a tube, as excess over the air:
//
//	T_e(θ) = T_a + [α (G_b sin β max(cos θ, 0) + G_d F_sky + ρ G_t F_ground) − ε F ΔR]/h_o
//
// (ASHRAE Fundamentals). Convection grows with the excess, so it is found by a
// few rounds from the mean round the tube, in which the beam counts 1/π.
func (p *Pad) Gains() Gains {
	sinBeta, up := p.across()
	beam := p.Absorptance * p.Light.BeamWM2 * sinBeta
	sunny, shaded := p.absorbed(up), p.absorbed(-up)
	g := Gains{OutsideWM2K: 15}
	for range 8 {
		mean := (beam/math.Pi + 0.5*(sunny+shaded)) / g.OutsideWM2K
		skin := p.AirK + mean
		g.OutsideWM2K = Convection(p.DiameterM, p.WindMS, skin, p.AirK, p.AirPa) + Radiation(skin, p.AirK)
	}
	g.ShadeK = shaded / g.OutsideWM2K
	g.LitK, g.LitMean = (beam+sunny-shaded)/g.OutsideWM2K, 1/math.Pi
	return g
}

// Evened are the gains of a tube whose wall conducts round it: kappa is k t/r² over
// what each square metre loses to either side.
func (g Gains) Evened(kappa float64) Gains {
	peak, dark := evened(kappa)
	g.ShadeK += dark * g.LitK
	g.LitK, g.LitMean = (peak-dark)*g.LitK, (1/math.Pi-dark)/(peak-dark)
	return g
}

// evened is what conduction round a tube makes of an outside that goes as
// max(cos θ, 0): the rise of the sunniest line and of the darkest one. A ring in
// balance has κ T″ − T + max(cos θ, 0) = 0, κ = k t/(r² h) (a fin's equation,
// Incropera & DeWitt, bent to a ring); with T and T′ joined where the light ends it is
// solved by cos θ/(1 + κ) + A cosh(θ/√κ) in the light and A cosh((π − θ)/√κ) in the
// dark, A = √κ/(2 (1 + κ) sinh(π/(2√κ))).
func evened(kappa float64) (peak, dark float64) {
	if !(kappa > 0) {
		return 1, 0
	}
	root := math.Sqrt(kappa)
	dark = root / (2 * (1 + kappa) * math.Sinh(math.Pi/(2*root)))
	return 1/(1+kappa) + dark, dark
}
