package thermal

import (
	"math"

	"fillwright/internal/vessel"
)

// prior is what handbooks know of a parameter before any fill: a mean in
// people's units and one sigma in the parameter's own.
type prior struct{ mean, sigma float64 }

// priors, in the order of the Par constants.
//
// Film: Nu = 0.104 Ra^0.352 (Woodfield et al. 2007, citation from memory) in
// air of 20 kg/m³, 10 K, 0.1 m gives about 25 W/m²K; the jet of a small inlet
// adds as much again. Exponents: 2n = 0.70 and n = 0.35 of the same; laminar
// layers have 0.5 and 0.25. Outside: 17 W/m²K, ASHRAE sol-air. Inflow:
// on the base ambient, see inflowPriors. Bead and skin lags, and the lead loss that lets a skin sensor only ever
// read low: common practice, no source. Conductivity and
// heat capacity: scatter of the handbook's carbon/epoxy range, from memory.
// Sunny share: the mean of max(cos θ, 0) round a tube; light from the sky, a
// rail's shadow and conduction around are in the scatter. Unevenness: half the
// spread of the gas was 0.08 to 0.35 of gas minus wall in measured fills
// (Haque and others 1992, Dicken & Mérida 2007, Woodfield and others 2007),
// and the wall sees a part of it. Gas probe loss: stem and radiation; common
// practice, no source.
var priors = [ParCount]prior{
	ParLnFilm:    {30, 0.5},
	ParDensity:   {0.65, 0.12},
	ParBuoyancy:  {0.30, 0.08},
	ParJet:       {30, 3},
	ParLnOutside: {14, 0.4},
	ParInflow:    inflowPriors[InletAmbient],
	ParLnBead:    {3, 0.6},
	ParLnConduct: {1, 0.15},
	ParLnHeat:    {1, 0.08},
	ParLnSkin:    {3, 0.7},
	ParStem:      {0.015, 0.015},
	ParSunShare:  {sunShareMean, 0.05},
	ParUneven:    {0.06, 0.12},
	ParBeadLoss:  {beadLossStem, 0.04},
	ParBeadJet:   {0.02, 0.06},
	ParFar:       {farUnread, farUnreadSigma},
	ParLnMix:     {8, 0.5},
}

// beadLossStem is what stem and radiation alone take off a gas probe.
const beadLossStem = 0.04

// sunShareMean is the mean of max(cos θ, 0) round a tube.
const sunShareMean = 1 / math.Pi

// Prior is the handbook's mean of a parameter and its one sigma, both in the
// parameter's own scale, on a given variant.
func (r Variant) Prior(i int) (mean, sigma float64) {
	if r.Zero[i] {
		return 0, 0
	}
	mean = ParInternal(i, priors[i].mean)
	if r.Free[i] {
		sigma = priors[i].sigma
	}
	if i == ParLnFilm && r.Zero[ParJet] {
		mean, sigma = math.Log(2*priors[i].mean), 0.7
	}
	if (i == ParDensity || i == ParBuoyancy) && r.Zero[ParJet] {
		sigma *= 1.6 // the exponents then stand in for the jet too
	}
	return mean, sigma
}

// Normal is a temperature difference that is known so well: mean and one sigma.
type Normal struct{ MeanK, SigmaK float64 }

// SunGains is how far the outside equilibria of a vessel on its pad stand above
// others: the shaded side above ambient, the sunniest line above the shaded side.
type SunGains struct{ Shade, Lit Normal }

// Sunlight on a wall that nothing was read of, and the film that carries its
// heat off (17 W/m²K, ASHRAE sol-air). The sun covers overcast sky to full sun
// square on (one sigma; common practice, no source). Sky and ground seen in
// the infrared move a wall by up to 4 K (ASHRAE, ε ΔR/h_o), whatever its paint;
// calm and wind change the film as much as the prior of ParLnOutside says. What
// somebody wrote of his paint is known to 0.15: white ages from 0.17 to 0.34
// (US EPA AP-42, from memory).
const (
	sunMeanWM2       = 500.0
	sunSigmaWM2      = 350.0
	solAirWM2K       = 17.0
	paintSigma       = 0.15
	paintUnknown     = 0.4
	paintUnknownWide = 0.25
)

// UnseenSigmaK is the least one sigma of what the sun does to a vessel that was
// never seen in it: dark paint in calm stands 50 K above ambient. Common
// practice, no source.
const UnseenSigmaK = 15.0

// handbookShade is the shaded side: light of the sky and infrared (ASHRAE, up to
// 4 K either way).
var handbookShade = Normal{MeanK: 2, SigmaK: 3}

// SolAir is the gain of the sunniest line whose paint takes up the share
// absorptance of sunlight, NaN: nobody knows: α G/h_o (sol-air temperature,
// ASHRAE Fundamentals).
func SolAir(absorptance float64) Normal {
	wide := paintSigma
	if math.IsNaN(absorptance) {
		absorptance, wide = paintUnknown, paintUnknownWide
	}
	perWM2 := absorptance / solAirWM2K
	sigma := math.Hypot(perWM2*math.Hypot(sunSigmaWM2, priors[ParLnOutside].sigma*sunMeanWM2), wide/solAirWM2K*sunMeanWM2)
	return Normal{MeanK: perWM2 * sunMeanWM2, SigmaK: math.Max(sigma, UnseenSigmaK)}
}

// handbookBias is the error of a gas probe whose offset was taken off, or that
// was never calibrated and lies well inside IEC 60584 class 1 (1.5 K).
var handbookBias = Normal{SigmaK: 0.5}

// handbookDiscrepancyK is one sigma of the handbook model's own error at the
// hottest place. Common practice, no source.
const handbookDiscrepancyK = 1.5

// Range is what the fills behind a model covered; zero means none did.
type Range struct {
	RampMostPaS   float64
	DensityMost   float64 // kg/m³
	GasMostK      float64
	AmbientLeastK float64
	AmbientMostK  float64
}

// Learned is a wall model: a variant with parameters, their covariance, what
// the sun did to the vessel, and the range it was learned in.
type Learned struct {
	Name         string
	Vessel       string
	Created      string // date
	Variant      Variant
	Params       Params
	Cov          [ParCount][ParCount]float64
	Inlet        Inlet     // what ParInflow is counted from
	Gains        *SunGains // nil: no fill showed any
	Bias         Normal    // what the gas probe read too high in the fills, K
	Day          Day       // how far one day is from another
	DiscrepancyK float64   // one sigma of what no parameter explains
	Fills        []string
	Range        Range
}

// Handbook is the model for a vessel that nothing was learned of: handbook
// values with their wide scatter.
func Handbook() *Learned {
	r, _ := VariantNamed("layered-jet")
	l := &Learned{Name: "handbook values", Variant: r, Bias: handbookBias, Day: HandbookDay, DiscrepancyK: handbookDiscrepancyK}
	for i := range l.Params {
		mean, sigma := r.Prior(i)
		l.Params[i], l.Cov[i][i] = mean, sigma*sigma
	}
	return l
}

// IsHandbook tells whether no fill stands behind the model.
func (l *Learned) IsHandbook() bool { return len(l.Fills) == 0 }

// GainsFor is what the sun is expected to do to a vessel: what earlier fills
// showed, else sol-air for its paint.
func (l *Learned) GainsFor(v *vessel.Profile) SunGains {
	if l.Gains != nil {
		return *l.Gains
	}
	return HandbookGains(v)
}

// HandbookGains is what the sun does to a vessel of which only the paint is known.
func HandbookGains(v *vessel.Profile) SunGains {
	absorptance := math.NaN()
	for i := range v.Stations {
		if st := &v.Stations[i]; st.Absorptance >= 0 && (st.OffSunDeg == 0 || !(absorptance >= 0)) {
			absorptance = st.Absorptance
		}
	}
	return SunGains{Shade: handbookShade, Lit: SolAir(absorptance)}
}

// HandbookFor is Handbook with what the profile says of the vessel's shape.
func HandbookFor(v *vessel.Profile) *Learned {
	l := Handbook()
	for _, par := range []int{ParSunShare, ParBeadLoss, ParBeadJet, ParFar, ParLnMix} {
		mean, sigma := PriorFor(v, l.Variant, par)
		l.Params[par], l.Cov[par][par] = mean, sigma*sigma
	}
	return l
}

// A written share counts as known to 0.03, and less the further it lies from
// what a beam on a tube does. A jet dies within some six diameters (common
// practice, no source); beyond, gas is compressed unmixed.
const (
	writtenShareSigma = 0.03
	jetReach          = 6.0
	slimMost          = 9.0 // diameters from which on more length adds no more doubt
	farUnread         = 0.05
	farUnreadSigma    = 0.20
	farRead           = 0.40 // where somebody thinks of a far end, and reads it
	farReadSigma      = 0.40
	inletBead         = 0.05 // more of the inflow at a probe beside it
	farBeadSigma      = 0.02
)

// slimness is 0 for a vessel that a jet stirs whole, 1 for a very long one.
func slimness(v *vessel.Profile) float64 {
	slim := (float64(v.Length)/float64(v.InnerDiameter) - jetReach) / (slimMost - jetReach)
	return math.Min(math.Max(slim, 0), 1)
}

// PriorFor is the handbook's mean and sigma of a parameter on a variant for a
// vessel: the sunny share where somebody wrote one, and gas that is the less
// one the longer the vessel.
func PriorFor(v *vessel.Profile, r Variant, par int) (mean, sigma float64) {
	mean, sigma = r.Prior(par)
	switch {
	case sigma == 0:
	case par == ParSunShare:
		if w := v.SunShare(); w > 0 {
			mean, sigma = w, math.Hypot(writtenShareSigma, 0.5*(w-sunShareMean))
		}
	case par == ParFar:
		if v.ReadsFarEnd() { // then fills can tell, and it may be anything
			mean, sigma = farRead, farReadSigma
		}
		mean, sigma = mean*slimness(v), sigma*slimness(v)
	case par == ParLnMix:
		if slimness(v) == 0 {
			sigma = 0
		}
	case par == ParBeadJet:
		switch beadEnd(v) {
		case vessel.EndInlet:
			mean, sigma = mean+inletBead, sigma+inletBead
		case vessel.EndFar:
			mean, sigma = 0, farBeadSigma
		}
	}
	return mean, sigma
}

// outsideMost is the most that one way of leaving the range widens the band.
// The covariance carries most of what an extrapolation does to the estimate;
// this is for what it does to the model. Common practice, no source.
const outsideMost = 0.15

// Outside says in what way present conditions leave the range that the model
// was learned in; the factor is how much wider its band should be.
func (l *Learned) Outside(rampPaS, densityKgM3, gasK, ambientK float64) (why string, factor float64) {
	r, factor := l.Range, 1.0
	if l.IsHandbook() {
		return "", 1
	}
	grow := func(over, scale float64, text string) {
		if over <= 0 || math.IsNaN(over) {
			return
		}
		if why == "" {
			why = text
		}
		factor += outsideMost * math.Min(over/scale, 1)
	}
	grow(rampPaS/r.RampMostPaS-1.15, 2, "ramp faster than in the fills behind the model")
	grow(densityKgM3/r.DensityMost-1.15, 1, "gas denser than in the fills behind the model")
	grow(gasK-r.GasMostK-5, 30, "gas hotter than in the fills behind the model")
	grow(r.AmbientLeastK-3-ambientK, 20, "colder day than the fills behind the model")
	grow(ambientK-r.AmbientMostK-3, 20, "hotter day than the fills behind the model")
	return why, factor
}
