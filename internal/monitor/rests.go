package monitor

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/wording"
)

// restsOnNothing is why the advice can't ask for gas: a number that it rests
// on is not known, or its own forecast passes the limit; empty if it can.
func (m *Monitor) restsOnNothing() wording.Text {
	s := &m.snap
	a := &s.Advice
	for _, n := range []struct {
		name  string
		value float64
	}{
		{"pressure", s.PressurePa}, {"wall", s.HottestK}, {"wall's band", s.BandK}, {"margin", s.MarginK},
		{"ramp", a.RampPaS}, {"wall's peak", a.PeakK}, {"band of the peak", a.PeakBandK},
	} {
		if math.IsNaN(n.value) || math.IsInf(n.value, 0) {
			return wording.NotKnown(n.name)
		}
	}
	v := m.cfg.Profile
	if goal := float64(v.Resin.Onset) - float64(v.Limits.Reserve); a.PeakK+a.PeakBandK > goal+advise.OverMostK {
		return wording.MayPeakOver(a.PeakK+a.PeakBandK, goal)
	}
	return wording.Text{}
}
