package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/probe"
	"fillwright/internal/wording"
)

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
	m.ahead.advice, s.Outlook = advise.Unknown(wording.NoPressure)
	m.ahead.atS = math.Inf(-1) // look ahead as soon as it is back
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
