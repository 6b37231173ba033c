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
}

// Prior is the handbook's mean of a parameter and its one sigma, both in the
// parameter's own scale, on a given rung.
func (r Rung) Prior(i int) (mean, sigma float64) {
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

// Gain is how far a station's outside equilibrium stands above ambient.
type Gain struct{ MeanK, SigmaK float64 }

// handbookGain covers white paint in shade to dark paint in full sun
// (sol-air, α G/h_o up to about 0.052 · 1000 K, ASHRAE).
var handbookGain = Gain{MeanK: 10, SigmaK: 12}

// Sunlight on a wall that nothing was read of, and the film that carries its
// heat off (17 W/m²K, ASHRAE sol-air). The sun covers overcast sky to full sun
// square on (one sigma; common practice, no source). Sky and ground seen in
// the infrared move a wall by up to 4 K (ASHRAE, ε ΔR/h_o), whatever its paint;
// calm and wind change the film as much as the prior of ParLnOutside says.
const (
	sunMeanWM2  = 500.0
	sunSigmaWM2 = 350.0
	solAirWM2K  = 17.0
	skySigmaK   = 3.0
)

// SolAir is the gain of a wall whose paint takes up the share absorptance of
// sunlight: α G/h_o (sol-air temperature, ASHRAE Fundamentals).
func SolAir(absorptance float64) Gain {
	perWM2 := absorptance / solAirWM2K
	return Gain{
		MeanK:  perWM2 * sunMeanWM2,
		SigmaK: math.Hypot(perWM2*math.Hypot(sunSigmaWM2, priors[ParLnOutside].sigma*sunMeanWM2), skySigmaK),
	}
}

// handbookBias is the error of a gas probe whose offset was taken off, or that
// was never calibrated and lies well inside IEC 60584 class 1 (1.5 K).
var handbookBias = Gain{SigmaK: 0.5}

// handbookModelK is one sigma of the handbook model's own error at the
// hottest place. Common practice, no source.
const handbookModelK = 1.0

// Range is what the fills behind a model covered; zero means none did.
type Range struct {
	RampMostPaS   float64
	DensityMost   float64 // kg/m³
	GasMostK      float64
	AmbientLeastK float64
	AmbientMostK  float64
}

// Learned is a wall model: a rung with parameters, their covariance, what
// the sun did to each station, and the range it was learned in.
type Learned struct {
	Name    string
	Vessel  string
	Created string // date
	Rung    Rung
	Params  Params
	Cov     [ParCount][ParCount]float64
	Inlet   Inlet // what ParInflow is counted from
	Gains   []NamedGain
	Bias    Gain    // what the gas probe read too high in the fills, K
	ModelK  float64 // one sigma of what no parameter explains
	Fills   []string
	Range   Range
}

// NamedGain is the gain of a station by name.
type NamedGain struct {
	Station string
	Gain
}

// Handbook is the model for a vessel that nothing was learned of: handbook
// values with their wide scatter.
func Handbook() *Learned {
	r, _ := RungNamed("layered-jet")
	l := &Learned{Name: "handbook values", Rung: r, Bias: handbookBias, ModelK: handbookModelK}
	for i := range l.Params {
		mean, sigma := r.Prior(i)
		l.Params[i], l.Cov[i][i] = mean, sigma*sigma
	}
	return l
}

// IsHandbook tells whether no fill stands behind the model.
func (l *Learned) IsHandbook() bool { return len(l.Fills) == 0 }

// GainOf is the gain expected at a station by name alone; see GainAt.
func (l *Learned) GainOf(station string) Gain {
	if g, ok := l.learnedGain(station); ok {
		return g
	}
	return handbookGain
}

// GainAt is the gain expected at a station: what earlier fills showed, else
// sol-air for its paint, else the handbook's.
func (l *Learned) GainAt(s *vessel.Station) Gain {
	if g, ok := l.learnedGain(s.Name); ok {
		return g
	}
	if s.Absorptance >= 0 { // NaN: not given
		return SolAir(s.Absorptance)
	}
	return handbookGain
}

func (l *Learned) learnedGain(station string) (Gain, bool) {
	for _, g := range l.Gains {
		if g.Station == station {
			return g.Gain, true
		}
	}
	return Gain{}, false
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
