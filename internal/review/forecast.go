package review

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
)

// Events that forecasts are kept of, beside the names of alarms.
const (
	FirstGas   = "first gas"
	SupplyShut = "supply shut"
)

// rampShare is how far the ramp that came may lie from the one that a forecast
// was made for, so that the two can be compared. Our own choice.
const rampShare = 0.25

// forecast keeps what is foreseen at an event, and follows what comes.
func (f *filling) forecast(n *telling, s *monitor.Snapshot, raised []*Alarm) {
	f.came(n, s)
	if f.begun && s.Phase == phase.Filling && n.last.Phase != phase.Filling {
		f.open = f.open[:0] // gas comes in anew: what was foreseen is over
	}
	if !f.begun && s.Phase == phase.Filling && s.Model.Fresh {
		f.begun = true
		f.keep(n, s, FirstGas, false)
	}
	if f.shut && s.Model.Fresh && s.Phase == phase.Holding {
		f.shut = false
		f.keep(n, s, SupplyShut, true)
		if k := len(f.fill.Holds); k > 0 {
			f.fill.Holds[k-1].SettlePa = s.Outlook.SettlePa
		}
	}
	for _, a := range raised {
		if a.Level >= alarm.LevelCaution && s.Phase == phase.Filling {
			f.keep(n, s, a.Name, true)
		}
	}
}

func (f *filling) keep(n *telling, s *monitor.Snapshot, event string, ifShut bool) {
	if len(f.fill.Forecasts) >= forecastsMost {
		n.part.Left.Forecasts++
		return
	}
	nan := math.NaN()
	o := Forecast{AtS: s.TimeS, Event: event, IfShut: ifShut, RampPaS: s.Advice.RampPaS, SettlePa: s.Outlook.SettlePa, Path: s.Outlook.Path,
		CameK: nan, CameBandK: nan, CameInS: nan, CamePa: nan, CameRamp: nan, ShutInS: nan}
	if s.Advice.Then.Known() { // of a course its mean, as what came is told
		o.RampPaS = (s.TargetPa - s.PressurePa) / s.Advice.TargetInS
	}
	if ifShut {
		o.PeakK, o.BandK, o.PeakInS = s.Outlook.CoastPeakK, s.Outlook.CoastPeakBandK, s.Outlook.CoastPeakInS
		o.Path, o.RampPaS = s.Outlook.Coast, 0
		if s.Phase != phase.Filling {
			o.ShutInS = 0
		}
	} else {
		o.PeakK, o.BandK, o.PeakInS = s.Advice.PeakK, s.Advice.PeakBandK, s.Advice.PeakInS
		if math.IsNaN(o.PeakK) {
			o.PeakK, o.BandK, o.PeakInS = pathPeak(o.Path)
		}
	}
	f.open = append(f.open, len(f.fill.Forecasts))
	f.fill.Forecasts = append(f.fill.Forecasts, o)
}

// came follows what came of each forecast: until gas comes in anew, or leaves.
func (f *filling) came(n *telling, s *monitor.Snapshot) {
	if s.Phase == phase.Venting || s.Phase == phase.Vented {
		f.open = f.open[:0]
		return
	}
	for _, k := range f.open {
		o := &f.fill.Forecasts[k]
		if s.HottestK > o.CameK || math.IsNaN(o.CameK) {
			o.CameK, o.CameBandK, o.CameInS = s.HottestK, s.BandK, s.TimeS-o.AtS
		}
		if s.Phase == phase.Holding {
			o.CamePa = n.goodPa
			if math.IsNaN(o.ShutInS) {
				o.ShutInS = s.TimeS - o.AtS
			}
		}
	}
}

// settle says which forecasts can be held against what came.
func (f *filling) settle(n *telling) {
	for k := range f.fill.Forecasts {
		o := &f.fill.Forecasts[k]
		for i := range f.fill.Ramps {
			if r := &f.fill.Ramps[i]; r.FromS <= o.AtS && r.ToS >= o.AtS {
				o.CameRamp = r.MeanPaS
			}
		}
		o.Apart = f.apart(n, o)
	}
}

func (f *filling) apart(n *telling, o *Forecast) string {
	switch react := n.part.Vessel.Reaction; {
	case !o.IfShut && !(o.RampPaS > 0):
		return "no gas was advised"
	case math.IsNaN(o.PeakK) || math.IsNaN(o.BandK):
		return "nothing was forecast"
	case math.IsNaN(o.CameK):
		return "nothing is known of what came"
	case o.IfShut && math.IsNaN(o.ShutInS):
		return "the supply was not shut"
	case o.IfShut && o.ShutInS > react:
		return fmt.Sprintf("the supply was shut %.0f s later, not within the %.0f s of the profile", o.ShutInS, react)
	case !o.IfShut && !(math.Abs(o.CameRamp-o.RampPaS) <= rampShare*o.RampPaS):
		return "it was filled at another ramp than the one forecast for"
	}
	return ""
}

// Inside says whether what came lay within the band of the forecast.
func (f *Forecast) Inside() bool { return f.Apart == "" && math.Abs(f.OffK()) <= f.BandK }

// residual sums how far a sensor lay from the estimate, once a second.
type residual struct {
	n, sum, squares, worst, worstS, nextS float64
}

func (r *residual) add(k, timeS, dt float64) {
	if math.IsNaN(k) || timeS < r.nextS || dt < 0 {
		return
	}
	r.n, r.sum, r.squares, r.nextS = r.n+1, r.sum+k, r.squares+k*k, timeS+1
	if math.Abs(k) > math.Abs(r.worst) {
		r.worst, r.worstS = k, timeS
	}
}

func (f *filling) residuals() []Residual {
	var out []Residual
	for i := range f.off {
		r := &f.off[i]
		if r.n == 0 {
			continue
		}
		one := Residual{N: int(r.n), MeanK: r.sum / r.n, RMSK: math.Sqrt(r.squares / r.n), WorstK: r.worst, WorstS: r.worstS}
		if i < len(f.fill.Stations) {
			one.Station = f.fill.Stations[i].Station
		}
		out = append(out, one)
	}
	return out
}
