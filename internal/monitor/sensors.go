package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/wording"
)

// withoutPressure carries the estimate on while a vessel stands shut and its
// pressure sensor is lost: the gas in a shut vessel keeps its mass, so its
// pressure follows the bead's temperature (ideal gas, p/T constant). Advice
// stays withdrawn. While gas flows nothing can be carried on: then what was
// estimated is soon not known any more.
func (m *Monitor) withoutPressure(r reading) {
	if !m.filter.Started() || m.snap.Phase != phase.Holding || math.IsNaN(r.beadK) || !(m.last.beadK > 0) {
		if m.filter.Started() && r.timeS-m.last.timeS > probe.StaleDefaultS {
			m.withdraw()
		}
		return
	}
	d := drive{
		p1Pa: m.last.pPa, p2Pa: m.last.pPa * r.beadK / m.last.beadK, ambientK: m.ambient(r),
		dtS: r.timeS - m.last.timeS, beadK: r.beadK, skinK: r.skinK,
	}
	if d.dtS < stepLeastS {
		return
	}
	m.undo.keep(d)
	m.last.pPa, m.last.timeS, m.last.beadK = d.p2Pa, r.timeS, r.beadK
	d.apply(m.filter)
	m.estimates()
	m.lookAhead()
}

// withdraw makes every estimate unknown, until the filter goes on.
func (m *Monitor) withdraw() {
	nan := math.NaN()
	s := &m.snap
	s.RampPaS, s.GasK, s.GasBandK, s.GasMassKg = nan, nan, nan, nan
	s.Hottest, s.HottestK, s.BandK, s.MarginK = -1, nan, nan, nan
	s.Sides = s.Sides.Unknown()
	s.Stations = append([]Station(nil), s.Stations...)
	for i := range s.Stations {
		st := &s.Stations[i]
		st.OuterK, st.InnerK, st.HottestK, st.BandK, st.OutsideK = nan, nan, nan, nan, nan
	}
	m.advice, s.Outlook = advise.Unknown(wording.NoPressure)
	m.advised = math.Inf(-1) // look ahead as soon as it is back
}

// offsetsText says which offsets are taken off on this logger.
func (m *Monitor) offsetsText(board uint64) wording.Text {
	if m.cfg.Offsets == nil || len(m.cfg.Offsets.List) == 0 {
		return wording.Text{}
	}
	var parts []string
	for _, c := range m.cfg.Profile.Channels {
		o, ok := m.cfg.Offsets.Find(board, c.Index)
		if !ok || o.Pressure != c.Kind.Pressure() {
			continue
		}
		text := wording.OffsetK(c.Index, o.Offset, o.Date)
		if o.Pressure {
			text = wording.OffsetPa(c.Index, o.Offset, o.Date)
		}
		parts = append(parts, text)
	}
	if parts == nil {
		return wording.NoOffsetsHere(probe.BoardText(board))
	}
	return wording.OffsetsTakenOff(parts)
}
