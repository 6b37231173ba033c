package monitor

import (
	"math"
	"slices"

	"fillwright/internal/estimate"
	"fillwright/internal/probe"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// Factors on the band (common practice, no source). Where the estimate was
// pulled by a wall sensor, its loss must not let the wall look cooler. The air's
// is less: what it read last stands in for it.
const (
	doubtContradicts = 1.5 // the probe contradicts the pressure
	doubtSensor      = 1.5 // a pressure or gas sensor is doubtful, or there is no pressure
	doubtVessel      = 1.5 // the model is of another vessel
	doubtNoBead      = 1.3
	doubtNoWall      = 1.3
	doubtNoAir       = 1.15
)

// doubtFacts is all that may widen the band.
type doubtFacts struct {
	outside      string  // in what the present leaves the range of the fills behind the model
	outsideTimes float64 // and by how much that widens it
	inflow       wording.Text
	contradicts  bool // the probe and the gas balance, for longer than a transient would
	hotter       bool // the probe is the hotter one
	otherVessel  string
	sensors      []probe.Reading
	scatters     wording.Text // what does
	scatterTimes float64
	sureTimes    float64 // what the readings themselves say of the band
	sureBy       string
}

// doubt is how many times wider than the filter's own the band is, at least 1,
// and why, empty if it is not. Nothing else widens it.
func doubt(f *doubtFacts) (times float64, why wording.Text) {
	times, why = f.outsideTimes, f.inflow
	if f.contradicts {
		times, why = math.Max(times, doubtContradicts), wording.ProbeTooCold
		if f.hotter {
			why = wording.ProbeTooHot
		}
	}
	if f.outside != "" {
		why = wording.Words(f.outside)
	}
	sensors := doubtOfSensors(f)
	times = math.Max(times, sensors.times)
	if why.Empty() {
		why = sensors.why
	}
	if f.sureTimes > times {
		times, why = f.sureTimes, wording.Disagree(f.sureBy)
	}
	return times, why
}

// widest keeps the largest of several factors, of equal ones the last.
type widest struct {
	times float64
	why   wording.Text
}

func (w *widest) add(times float64, why wording.Text) {
	if times >= w.times {
		*w = widest{times, why}
	}
}

// doubtOfSensors goes by what the estimate rests on, then by the sensors beside
// that; noise comes on top.
func doubtOfSensors(f *doubtFacts) widest {
	rests, beside := widest{times: 1}, widest{times: 1}
	if f.otherVessel != "" {
		rests.add(doubtVessel, wording.OtherVessel(f.otherVessel))
	}
	for i := range f.sensors {
		r := &f.sensors[i]
		good := r.Health == probe.HealthGood
		lost := !good && r.Health != probe.HealthUnknown
		switch carries := r.Role == vessel.RoleGas || r.Role == vessel.RolePressure; {
		case carries && good && r.Doubt != probe.HealthUnknown:
			rests.add(doubtSensor, wording.Doubtful(string(r.Role), r.Doubt.Means()))
		case r.Role == vessel.RoleGas && !good:
			why := wording.NoGasProbe
			if slices.ContainsFunc(f.sensors, func(r probe.Reading) bool { return r.Role == vessel.RoleGas && r.Health == probe.HealthGood }) {
				why = wording.OneGasProbe
			}
			rests.add(doubtNoBead, why)
		case r.Role == vessel.RolePressure && !good:
			rests.add(doubtSensor, wording.ByProbeAlone)
		case r.Role == vessel.RoleWall && lost:
			beside.add(doubtNoWall, wording.NoSensorAt(r.Station))
		case r.Role == vessel.RoleAmbient && lost:
			beside.add(doubtNoAir, wording.NoAir)
		}
	}
	if beside.times > rests.times {
		rests = beside
	}
	if f.scatterTimes > 1 {
		rests.times *= f.scatterTimes
		if rests.why.Empty() {
			rests.why = f.scatters
		}
	}
	return rests
}

// doubtFacts gathers what may widen the band now.
func (m *Monitor) doubtFacts() *doubtFacts {
	b := m.est.Estimate()
	f := &doubtFacts{sensors: m.snap.Sensors}
	f.outside, f.outsideTimes = m.learned.Outside(m.snap.RampPaS, m.est.Flow().DensityKgM3, b.State.GasK, m.est.AmbientK())
	if m.est.Rebased() && !m.learned.IsHandbook() {
		f.inflow = inflowText(m.learned.Inlet)
	}
	var byK float64
	f.contradicts, byK = m.est.Disagree()
	f.hotter = byK > 0
	if l := m.learned; l.Vessel != m.cfg.Profile.Name {
		f.otherVessel = l.Vessel
	}
	f.scatters, f.scatterTimes = m.scatter.widen(m.est.Noise())
	who := 0
	f.sureTimes, who = m.est.TooSure()
	switch {
	case who == estimate.SaysBead:
		f.sureBy = "the gas probe"
	case who == estimate.SaysHand:
		f.sureBy = "hand-held readings"
	default:
		f.sureBy = "the sensor at " + m.cfg.Profile.Stations[who].Name
	}
	return f
}

// inflowText says why the inflow is less well known than the model's own fills
// would have it.
func inflowText(learned thermal.Inlet) wording.Text {
	if learned == thermal.InletAmbient {
		return wording.NoSupplyLearned
	}
	return wording.OtherSupply(learned.String())
}

// scatterDoubt remembers by what seen noise widened the band.
type scatterDoubt struct{ times float64 }

// How much seen noise widens the band: nothing up to what a sound sensor has,
// then in proportion, up to two and a half times. Noise of the pressure lets gas flow in and
// out that never did; the bead's pulls the gas about. One sigma of a block's
// mean. Common practice, no source.
const (
	noiseQuietPa = 2e3
	noiseTwicePa = 6e3
	noiseQuietK  = 0.1
	noiseTwiceK  = 1.2
	noiseMost    = 2.5
	noiseSaid    = 0.1   // more is told
	noiseForget  = 0.002 // of a block
)

// widen is the factor for the noise of pressure and bead, as the blocks
// show it, and in words what scatters.
func (d *scatterDoubt) widen(pressureSigmaPa, beadSigmaK float64) (text wording.Text, times float64) {
	over := func(sigma, quiet, twice float64) float64 {
		return math.Max(0, math.Min(noiseMost-1, (sigma-quiet)/(twice-quiet)))
	}
	p, g := over(pressureSigmaPa, noiseQuietPa, noiseTwicePa), over(beadSigmaK, noiseQuietK, noiseTwiceK)
	switch {
	case p >= g && p > noiseSaid:
		text = wording.PressureScatters(pressureSigmaPa)
	case g > noiseSaid:
		text = wording.ProbeScatters(beadSigmaK)
	}
	// It rises at once and falls over minutes: a band that breathes with the
	// estimate of its own noise would let alarms come and go.
	now := 1 + math.Max(p, g)
	d.times = math.Max(now, d.times+noiseForget*(now-d.times))
	return text, d.times
}
