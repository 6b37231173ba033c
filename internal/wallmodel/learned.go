// Package wallmodel holds what is known of a vessel's wall: what handbooks say of
// the parameters of package thermal, what earlier fills have taught, the file
// that keeps it, and what in such a file can't be.
package wallmodel

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

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
	Params       thermal.Params
	Cov          [thermal.ParCount][thermal.ParCount]float64
	Inlet        thermal.Inlet     // what ParInflow is counted from
	Gains        *thermal.SunGains // nil: no fill showed any
	Bias         thermal.Normal    // what the gas probe read too high in the fills, K
	Day          Day               // how far one day is from another
	DiscrepancyK float64           // one sigma of what no parameter explains
	Fills        []string
	Range        Range
}

// IsHandbook tells whether no fill stands behind the model.
func (l *Learned) IsHandbook() bool { return len(l.Fills) == 0 }

// farUnreadShare of the width that a far end's share has where nobody read it: a
// model that is as unsure of it was learned without a reading there.
const farUnreadShare = 0.9

// FarUnread tells whether a vessel is likelier than not to have an end beyond the
// jet's reach, of which none of the fills behind the model has a reading. What may be
// there is then the most of the band in a fast fill.
func (l *Learned) FarUnread(v *vessel.Profile) bool {
	return !l.IsHandbook() && thermal.Unmixed(v) >= 0.5 && !l.FarTaught(v)
}

// FarTaught tells whether fills behind the model read the far end.
func (l *Learned) FarTaught(v *vessel.Profile) bool {
	_, sigma := PriorUnread(v, l.Variant, thermal.ParFar)
	return !l.IsHandbook() && math.Sqrt(l.Cov[thermal.ParFar][thermal.ParFar]) < farUnreadShare*sigma
}

// GainsFor is what the sun is expected to do to a vessel: what earlier fills
// showed, else sol-air for its paint.
func (l *Learned) GainsFor(v *vessel.Profile) thermal.SunGains {
	if l.Gains != nil {
		return *l.Gains
	}
	return HandbookGains(v)
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
