package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/leak"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/wording"
)

// Summary is what a fill has come to so far: from the first gas that flowed
// in until the vessel is vented again. Unknown numbers are NaN.
type Summary struct {
	Begun, Done    bool
	BeginS, EndS   float64 // session time; EndS is the present while not Done
	FillS, HoldS   float64 // how long it filled and stood, in all
	PeakK          float64 // the hottest the wall was estimated to be
	PeakBandK      float64
	PeakS          float64 // session time of it
	PeakStation    string
	MarginLeastK   float64
	PressureMostPa float64
	RampMostPaS    float64
	GasMostK       float64
	GasLeastK      float64
	Advisories     int // alarms raised
	Cautions       int
	Aborts         int
	AbortFirst     string       // name of the first abort
	Leak           leak.Verdict // of the longest look at a hold
	LeakSeen       bool         // a significant one, at any time
}

func (s *Summary) underWay() bool { return s.Begun && !s.Done }

// summaryLeastPa: what never came above this was no fill.
const summaryLeastPa = 1e5

// NoSummary is the account before the first fill: nothing in it is known.
func NoSummary() Summary {
	nan := math.NaN()
	return Summary{BeginS: nan, EndS: nan, FillS: nan, HoldS: nan, PeakK: nan, PeakBandK: nan, PeakS: nan, MarginLeastK: nan,
		PressureMostPa: nan, RampMostPaS: nan, GasMostK: nan, GasLeastK: nan, Leak: leak.Unknown()}
}

// newSummary begins a fill.
func newSummary(timeS float64) Summary {
	s := NoSummary()
	s.Begun, s.BeginS, s.EndS, s.FillS, s.HoldS = true, timeS, timeS, 0, 0
	return s
}

// watchSummary takes the present into the summary, and begins and ends it.
func (m *Monitor) watchSummary() {
	s := &m.snap
	if !m.sum.underWay() && s.Phase == phase.Filling {
		if open := checklist.Open(s.Ready); len(open) > 0 {
			m.events.add(s.TimeS, EventPhase, wording.BeganWithOpen(open))
		}
		m.sum = newSummary(s.TimeS)
	}
	if m.sum.underWay() {
		m.sum.add(s)
		if s.Phase == phase.Vented {
			m.endSummary()
		}
	}
	s.Summary = m.sum
}

// endSummary closes the account; confirmations are good for one fill only.
func (m *Monitor) endSummary() {
	clear(m.ready.confirmed)
	if !(m.sum.PressureMostPa >= summaryLeastPa) {
		m.sum = NoSummary()
		return
	}
	m.sum.Done = true
	m.events.add(m.snap.TimeS, EventPhase, m.sum.Text())
}

// add adds one Snapshot.
func (a *Summary) add(s *Snapshot) {
	if dt := s.TimeS - a.EndS; dt > 0 {
		switch s.Phase {
		case phase.Filling:
			a.FillS += dt
		case phase.Holding:
			a.HoldS += dt
		}
		a.EndS = s.TimeS
	}
	// The hottest is the highest value. What value and band came to at most is
	// told by the least margin: before the first readings a wide band would win.
	if !math.IsNaN(s.HottestK+s.BandK) && !(s.HottestK <= a.PeakK) {
		a.PeakK, a.PeakBandK, a.PeakS = s.HottestK, s.BandK, s.TimeS
		if s.Hottest >= 0 && s.Hottest < len(s.Stations) {
			a.PeakStation = s.Stations[s.Hottest].Name
		}
	}
	a.MarginLeastK = quantity.LeastKnown(a.MarginLeastK, s.MarginK)
	a.PressureMostPa = quantity.MostKnown(a.PressureMostPa, s.PressurePa)
	if s.Phase == phase.Filling {
		a.RampMostPaS = quantity.MostKnown(a.RampMostPaS, s.RampPaS)
	}
	a.GasMostK, a.GasLeastK = quantity.MostKnown(a.GasMostK, s.GasK), quantity.LeastKnown(a.GasLeastK, s.GasK)
	if !math.IsNaN(s.Leak.RateKgS) {
		a.Leak = s.Leak
	}
	a.LeakSeen = a.LeakSeen || s.Leak.Significant
}

// count adds an alarm that was newly raised.
func (a *Summary) count(al *alarm.Active) {
	switch al.Level {
	case alarm.LevelAdvisory:
		a.Advisories++
	case alarm.LevelCaution:
		a.Cautions++
	case alarm.LevelAbort:
		a.Aborts++
		if a.AbortFirst == "" {
			a.AbortFirst = al.Name
		}
	}
}

// Text is the account in one line for the record.
func (a *Summary) Text() wording.Text {
	leak := "leak not known"
	switch {
	case a.LeakSeen:
		leak = "LEAK seen"
	case !math.IsNaN(a.Leak.RateKgS):
		leak = "no leak seen"
	}
	return wording.FillOver(a.EndS-a.BeginS, a.PeakK, a.PeakBandK, a.PressureMostPa, a.RampMostPaS,
		fmt.Sprintf("%d aborts, %d cautions, %s", a.Aborts, a.Cautions, leak))
}
