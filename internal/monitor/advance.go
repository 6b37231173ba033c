package monitor

import (
	"math"

	"fillwright/internal/estimate"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

const (
	stepMostS     = 2.0    // a longer gap is taken in steps of this
	stepsMost     = 40     // of one gap
	startUnderPa  = 0.5e5  // a record that starts above this starts under pressure
	ambientBlindK = 293.15 // ambient of a vessel without any thermometer
	stepLeastS    = 0.01   // shorter blocks are not worth a step
)

// advance takes the filter on by one complete block and draws up what
// follows from it.
func (m *Monitor) advance() {
	r := m.block.out
	supply := m.supply.end(r.timeS, float64(m.cfg.Profile.AmbientPressure))
	if math.IsNaN(r.pressurePa) {
		m.withoutPressure(r)
		return // the filter waits; blind says so when it lasts
	}
	m.slope.add(r.timeS, r.pressurePa)
	m.ramp = m.slope.line(rampS)
	m.snap.RampPaS = m.ramp.paS
	if !m.filter.Started() {
		m.filter.Feed(supply)
		m.start(r)
	} else {
		m.runFilter(r, supply)
	}
	if !m.filter.Started() {
		m.decidePhase() // a fill is one without a thermometer too, and blind
		return
	}
	m.flow.add(r.timeS, m.filter.Flow().MassKg)
	m.decidePhase()
	m.estimates()
	m.watchLeak(r.timeS)
	m.lookAhead()
}

// start sets the filter up once pressure and a temperature are known.
func (m *Monitor) start(r reading) {
	gasK := r.beadK
	if math.IsNaN(gasK) {
		gasK = r.ambientK
	}
	if math.IsNaN(gasK) {
		return
	}
	abs := m.absolute(r.pressurePa)
	m.filter.Start(gasK, m.ambient(r), abs, r.pressurePa > startUnderPa)
	m.last.pPa = abs
	m.last.timeS = r.timeS
}

// ambient is the best that is known of the air around: its sensor, or the
// bead while the vessel stood vented.
func (m *Monitor) ambient(r reading) float64 {
	switch {
	case !math.IsNaN(r.ambientK):
		m.last.ambientK = r.ambientK
	case m.last.ambientK == 0 && !math.IsNaN(r.beadK):
		m.last.ambientK = r.beadK
	case m.last.ambientK == 0:
		m.last.ambientK = ambientBlindK
	}
	return m.last.ambientK
}

func (m *Monitor) absolute(gaugePa float64) float64 {
	ambient := float64(m.cfg.Profile.AmbientPressure)
	return math.Max(gaugePa+ambient, ambientLeastShare*ambient)
}

// runFilter predicts over the block and corrects with what its sensors said.
func (m *Monitor) runFilter(r reading, supply thermal.Supply) {
	end := m.slope.line(driveS).endPa
	b := drive{
		p1Pa: m.last.pPa, p2Pa: m.absolute(end), ambientK: m.ambient(r), dtS: r.timeS - m.last.timeS,
		beadK: r.beadK, skinK: r.skinK, supply: supply,
	}
	if b.dtS < stepLeastS {
		return
	}
	if m.strange(b) {
		m.events.add(r.timeS, EventRestart, wording.EstimateAnew)
		m.undo.forget()
		m.start(r)
		return
	}
	m.last.everyS = b.dtS
	m.undo.keep(b)
	m.last.pPa, m.last.timeS = b.p2Pa, r.timeS
	if !math.IsNaN(r.beadK) {
		m.last.beadK = r.beadK
	}
	b.apply(m.filter)
}

const (
	gapS     = 3.0 // longer than this and than the readings' rhythm is a gap
	gapShare = 0.2 // of the absolute pressure: more than standing does to it
)

// strange tells whether the pressure went elsewhere during a gap: how gas
// flowed then is not known, and perhaps it is another vessel.
func (m *Monitor) strange(b drive) bool {
	return b.dtS > gapS && b.dtS > 3*m.last.everyS && math.Abs(b.p2Pa-b.p1Pa) > gapShare*b.p1Pa
}

// lastDrive is where the filter stands.
type lastDrive struct {
	everyS               float64 // between the last two blocks
	beadK                float64 // with which the pressure went, 0: not known
	pPa, timeS, ambientK float64 // absolute Pa, session s, K (0: not known yet)
}

// drive is one block as the filter takes it.
type drive struct {
	p1Pa, p2Pa, ambientK, dtS float64
	beadK                     float64
	skinK                     [4]float64
	supply                    thermal.Supply
}

func (d drive) apply(o *estimate.Filter) {
	o.Feed(d.supply)
	n := min(max(1, int(math.Ceil(d.dtS/stepMostS))), stepsMost)
	dt, dp := d.dtS/float64(n), (d.p2Pa-d.p1Pa)/float64(n)
	for i := 0; i < n; i++ {
		p := d.p1Pa + float64(i)*dp
		o.Predict(p, p+dp, d.ambientK, dt)
	}
	if !math.IsNaN(d.beadK) {
		o.CorrectGas(d.beadK, d.dtS)
	}
	for i, k := range d.skinK {
		if !math.IsNaN(k) {
			o.CorrectSkin(i, k, d.dtS)
		}
	}
}

// estimates copies the filter's estimate into the Snapshot.
func (m *Monitor) estimates() {
	b := m.filter.Estimate()
	times, why := doubt(m.doubtFacts())
	m.snap.Model.Widened = why
	m.snap.GasK, m.snap.GasBandK = b.State.GasK, m.filter.GasBandK()
	m.snap.GasMassKg = m.filter.Flow().MassKg
	stations := m.copies.stations.of(m.snap.Stations)
	var walls [vessel.StationsMost]estimate.Wall
	hottest := m.filter.Walls(times, walls[:len(stations)])
	m.snap.Hottest, m.snap.HottestK, m.snap.BandK = -1, hottest.ValueK, hottest.BandK
	worst, most := hottest.ValueK+hottest.BandK, math.Inf(-1)
	for i := range stations {
		w := &walls[i]
		s := &stations[i]
		s.InnerK, s.OuterK, s.HottestK, s.BandK = w.InnerK, w.OuterK, w.Hottest.ValueK, w.Hottest.BandK
		s.OutsideK = b.Model.OutAtK(&b.State, i)
		if s.HottestK > most {
			most, m.snap.Hottest = s.HottestK, i
		}
		// What is known of a place may reach higher than what is known of the whole.
		// One that is not known makes the whole unknown.
		if up := s.HottestK + s.BandK; up > worst || math.IsNaN(up) {
			worst = up
			m.snap.HottestK, m.snap.BandK = s.HottestK, s.BandK
		}
	}
	if math.IsNaN(worst) {
		m.snap.Hottest = -1
	}
	m.snap.Stations = stations
	m.snap.MarginK = float64(m.cfg.Profile.Resin.Onset) - m.worstWith(worst)
	m.estimateSides()
}
