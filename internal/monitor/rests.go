package monitor

import (
	"fmt"
	"math"

	"fillwright/internal/advise"
)

// restsOnNothing is why the advice can't ask for gas: a number that it rests
// on is not known, or its own forecast passes the limit; empty if it can.
func (m *Monitor) restsOnNothing() string {
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
			return fmt.Sprintf("the %s is not known: shut the supply", n.name)
		}
	}
	v := m.cfg.Profile
	if goal := float64(v.Resin.Onset) - float64(v.Limits.Reserve); a.PeakK+a.PeakBandK > goal+advise.OverMostK {
		return fmt.Sprintf("the wall may peak at %.0f °C, limit %.0f °C: shut the supply and wait", a.PeakK+a.PeakBandK-zeroC, goal-zeroC)
	}
	return ""
}

const zeroC = 273.15 // K
