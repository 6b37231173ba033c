package wallmodel

import (
	"math"

	"fillwright/internal/thermal"
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
// on the base ambient, see thermal.InflowPrior. Bead and skin lags, and the lead loss that lets a skin sensor only ever
// read low: common practice, no source. Conductivity and
// heat capacity: scatter of the handbook's carbon/epoxy range, from memory.
// Sunny share: the mean of max(cos θ, 0) round a tube; light from the sky, a
// rail's shadow and conduction around are in the scatter. Unevenness: half the
// spread of the gas was 0.08 to 0.35 of gas minus wall in measured fills
// (Haque and others 1992, Dicken & Mérida 2007, Woodfield and others 2007),
// and the wall sees a part of it. Gas probe loss: stem and radiation; common
// practice, no source. Hand-held readings: the size of the share too.
var priors = [thermal.ParCount]prior{
	thermal.ParLnFilm:    {30, 0.5},
	thermal.ParDensity:   {0.65, 0.12},
	thermal.ParBuoyancy:  {0.30, 0.08},
	thermal.ParJet:       {30, 3},
	thermal.ParLnOutside: {14, 0.4},
	thermal.ParInflow:    inflowPrior(),
	thermal.ParLnBead:    {3, 0.6},
	thermal.ParLnConduct: {1, 0.15},
	thermal.ParLnHeat:    {1, 0.08},
	thermal.ParLnSkin:    {3, 0.7},
	thermal.ParStem:      {0.015, 0.015},
	thermal.ParSunShare:  {thermal.SunShareMean, 0.05},
	thermal.ParUneven:    {0.06, 0.12},
	thermal.ParBeadLoss:  {beadLossStem, 0.04},
	thermal.ParBeadJet:   {0.02, 0.06},
	thermal.ParFar:       {farUnread, farUnreadSigma},
	thermal.ParLnMix:     {8, 0.5},
	thermal.ParHand:      {0.03, 0.03},
}

func inflowPrior() prior {
	mean, sigma := thermal.InflowPrior(thermal.InletAmbient)
	return prior{mean, sigma}
}

// beadLossStem is what stem and radiation alone take off a gas probe.
const beadLossStem = 0.04

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
var handbookShade = thermal.Normal{MeanK: 2, SigmaK: 3}

// SolAir is the gain of the sunniest line whose paint takes up the share
// absorptance of sunlight, NaN: nobody knows: α G/h_o (sol-air temperature,
// ASHRAE Fundamentals).
func SolAir(absorptance float64) thermal.Normal {
	wide := paintSigma
	if math.IsNaN(absorptance) {
		absorptance, wide = paintUnknown, paintUnknownWide
	}
	perWM2 := absorptance / solAirWM2K
	sigma := math.Hypot(perWM2*math.Hypot(sunSigmaWM2, priors[thermal.ParLnOutside].sigma*sunMeanWM2), wide/solAirWM2K*sunMeanWM2)
	return thermal.Normal{MeanK: perWM2 * sunMeanWM2, SigmaK: math.Max(sigma, UnseenSigmaK)}
}

// handbookBias is the error of a gas probe whose offset was taken off, or that
// was never calibrated and lies well inside IEC 60584 class 1 (1.5 K).
var handbookBias = thermal.Normal{SigmaK: 0.5}

// handbookDiscrepancyK is one sigma of the handbook model's own error at the
// hottest place. Common practice, no source.
const handbookDiscrepancyK = 1.5

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

// HandbookGains is what the sun does to a vessel of which only the paint is known.
func HandbookGains(v *vessel.Profile) thermal.SunGains {
	absorptance := math.NaN()
	for i := range v.Stations {
		if st := &v.Stations[i]; st.Absorptance >= 0 && (st.OffSunDeg == 0 || !(absorptance >= 0)) {
			absorptance = st.Absorptance
		}
	}
	return thermal.SunGains{Shade: handbookShade, Lit: SolAir(absorptance)}
}

// HandbookFor is Handbook with what the profile says of the vessel's shape.
func HandbookFor(v *vessel.Profile) *Learned {
	l := Handbook()
	for _, par := range []int{thermal.ParSunShare, thermal.ParBeadLoss, thermal.ParBeadJet, thermal.ParFar, thermal.ParLnMix} {
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
	farUnread         = 0.05  // where nobody reads it: little is likely, and all possible (common practice, no source)
	farUnreadSigma    = 0.28  // the handbook's: its wide scatter of film and heat comes beside it
	farTaughtSigma    = 0.475 // once fills took that away: two sigma are all of it
	farRead           = 0.40  // where somebody thinks of a far end, and reads it
	farReadSigma      = 0.40
	inletBead         = 0.05 // more of the inflow at a probe beside it
	farBeadSigma      = 0.02
)

// PriorFor is the handbook's mean and sigma of a parameter on a variant for a
// vessel: the sunny share where somebody wrote one, and gas that is the less
// one the longer the vessel.
func PriorFor(v *vessel.Profile, r Variant, par int) (mean, sigma float64) {
	return priorWhere(v, r, par, v.ReadsFarEnd())
}

// PriorUnread is PriorFor where no reading of any fill stands at the far end. What
// else is not known of that end, the handbook's wide scatter holds; fills take that
// away, so that all of it is taken for possible as two sigma have it.
func PriorUnread(v *vessel.Profile, r Variant, par int) (mean, sigma float64) {
	if mean, sigma = priorWhere(v, r, par, false); par == thermal.ParFar {
		sigma *= farTaughtSigma / farUnreadSigma
	}
	return mean, sigma
}

func priorWhere(v *vessel.Profile, r Variant, par int, readsFar bool) (mean, sigma float64) {
	mean, sigma = r.Prior(par)
	switch {
	case sigma == 0:
	case par == thermal.ParSunShare:
		if w := v.SunShare(); w > 0 {
			mean, sigma = w, math.Hypot(writtenShareSigma, 0.5*(w-thermal.SunShareMean))
		}
	case par == thermal.ParFar:
		if readsFar { // then fills can tell, and it may be anything
			mean, sigma = farRead, farReadSigma
		}
		mean, sigma = mean*thermal.Unmixed(v), sigma*thermal.Unmixed(v)
	case par == thermal.ParLnMix:
		if thermal.Unmixed(v) == 0 {
			sigma = 0
		}
	case par == thermal.ParBeadJet:
		switch thermal.BeadEnd(v) {
		case vessel.EndInlet:
			mean, sigma = mean+inletBead, sigma+inletBead
		case vessel.EndFar:
			mean, sigma = 0, farBeadSigma
		}
	}
	return mean, sigma
}
