// Package advise looks ahead with the thermal model and says how fast to fill.
package advise

import "fillwright/internal/wording"

// Verdict is what the operator should do now.
type Verdict uint8

// The verdicts.
const (
	VerdictUnknown Verdict = iota // not enough is known to advise; counts as hold
	VerdictReady                  // vented, may start filling at the advised ramp
	VerdictFill                   // filling, go on; the present ramp is within the advice
	VerdictEase                   // filling too fast: ease off to the advised ramp
	VerdictHold                   // shut the supply and wait
	VerdictTopUp                  // settled below target: may add gas at the advised ramp
	VerdictNoStart                // vented, do not start: shade or cool the wall first
	VerdictStop                   // abort: stop filling now
	VerdictVent                   // stopping is not enough: vent from a distance
)

// AsksForGas says whether following the verdict puts gas into the vessel.
func (v Verdict) AsksForGas() bool {
	return v == VerdictReady || v == VerdictFill || v == VerdictEase || v == VerdictTopUp
}

var verdictNames = [...]string{"hold", "ready", "fill", "ease", "hold", "top-up", "no-start", "stop", "vent"}

// String is the name in JSON.
func (v Verdict) String() string { return verdictNames[v] }

// Advice is the recommended ramp with its verdict and its reason. Unknown
// numbers are NaN. Ramps are Pa/s, temperatures K, pressures gauge Pa.
type Advice struct {
	Verdict   Verdict
	Reason    wording.Text // one short plain sentence
	RampPaS   float64      // advised ramp; 0 when it is hold, stop or vent
	Then      Change       // the change of the ramp after it
	PeakK     float64      // hottest wall forecast as advised
	PeakBandK float64      // two sigma of PeakK
	PeakInS   float64
	TargetInS float64 // time to target as advised
	WaitS     float64 // time until filling may go on
}

// Point is one point of a forecast path.
type Point struct {
	InS        float64 // seconds from now
	PressurePa float64 // gauge
	GasK       float64
	HottestK   float64
	BandK      float64 // two sigma
}

// Outlook is what follows from the present state. Unknown numbers are NaN.
type Outlook struct {
	CoastPeakK     float64 // hottest the wall still gets if the fill stops now
	CoastPeakBandK float64
	CoastPeakInS   float64
	ToLimitS       float64 // time until the abort rule trips at the present ramp; +Inf: never
	SettlePa       float64 // pressure after gas and wall have settled, gauge
	HoldLimitS     float64 // how long it may stand; +Inf: no limit from the wall
	VentColdK      float64 // lowest gas temperature in the forecast vent
	Path           []Point // forecast at the advised ramp; never changed after it is made
	Coast          []Point // forecast if the fill stops now
}
