package monitor

import (
	"math"

	"fillwright/internal/estimate"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wording"
)

// advance takes the estimate on by one complete block and draws up what
// follows from it.
func (m *Monitor) advance() {
	switch m.est.Advance(m.snap.Phase == phase.Holding) {
	case estimate.Waits: // blind says so when it lasts
		if m.est.Started() && m.est.AgeS() > probe.StaleDefaultS {
			m.withdraw()
		}
		return
	case estimate.Carried: // advice stays withdrawn
		m.estimates()
		m.lookAhead()
		return
	case estimate.Anew:
		m.events.add(m.est.Block().TimeS, EventRestart, wording.EstimateAnew)
	}
	m.snap.RampPaS = m.est.Ramp().PaS
	m.decidePhase() // a fill is one without a thermometer too, and blind
	if m.est.Started() {
		m.estimates()
		m.watchLeak(m.est.Block().TimeS)
		m.lookAhead()
	}
}

// estimates copies the filter's estimate into the Snapshot.
func (m *Monitor) estimates() {
	b := m.est.Estimate()
	times, why := doubt(m.doubtFacts())
	m.snap.Model.Widened = why
	m.snap.GasK, m.snap.GasBandK = b.State.GasK, m.est.GasBandK()
	m.snap.GasMassKg = m.est.Flow().MassKg
	stations := m.copies.stations.of(m.snap.Stations)
	var walls [vessel.StationsMost]estimate.Wall
	hottest := m.est.Walls(times, walls[:len(stations)])
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
		// What is known of a place may reach higher than what is known of the whole; of
		// one that nobody has read no more is known than that. One that is not known
		// makes the whole unknown.
		if up := s.HottestK + s.BandK; w.Read && up > worst || math.IsNaN(up) {
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
