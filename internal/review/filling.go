package review

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/course"
	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
)

// filling is the fill that is under way.
type filling struct {
	fill    *Fill
	massKg  float64 // when gas last began to come in
	advised mean
	lastS   float64
	ended   bool // vented; the course goes on for a little
	open    []int
	begun   bool // its first forecast was taken
	shut    bool // the forecast of the supply just shut is still to be taken
	off     [stationsMost + 1]residual
}

// afterS is how long the course of a fill goes on once it is vented.
const afterS = 30.0

type mean struct{ sum, weight float64 }

func (m *mean) add(x, w float64) {
	if x == x && w > 0 {
		m.sum, m.weight = m.sum+x*w, m.weight+w
	}
}

func (m *mean) value() float64 { return m.sum / m.weight }

// follow keeps the account of the fill.
func (n *telling) follow(s *monitor.Snapshot, raised []*Alarm) {
	sum := &s.Summary
	if f := n.fill; f != nil && (f.ended && (s.Phase == phase.Filling || s.TimeS-f.fill.EndS > afterS) ||
		!f.ended && sum.BeginS != f.fill.BeginS) {
		n.close(&n.last)
	}
	if n.fill == nil && sum.Begun && !sum.Done && sum.BeginS != n.last.Summary.BeginS {
		n.open(s)
	}
	f := n.fill
	if f == nil || f.ended {
		return
	}
	f.add(n, s)
	f.forecast(n, s, raised)
	f.fill.Account, f.fill.EndS = *sum, s.TimeS
	if sum.Done {
		f.ended, f.fill.Done = true, true
	}
}

// open begins a fill; its course has the minute before.
func (n *telling) open(s *monitor.Snapshot) {
	if len(n.part.Fills) >= fillsMost {
		n.part.Left.Fills++
		return
	}
	nan := math.NaN()
	fill := &Fill{BeginS: s.Summary.BeginS, EndS: s.TimeS, TargetPa: s.TargetPa, AmbientK: s.AmbientK, Course: course.New[float32](columnCount),
		MarginK: nan, MarginS: nan, VentColdK: nan, Ready: n.ready.close(), Hottest: unknownPeak("")}
	for i := range s.Stations {
		fill.Stations = append(fill.Stations, unknownPeak(s.Stations[i].Name))
	}
	for i := max(0, n.ahead-preRows); i < n.ahead; i++ {
		if m := &n.before[i%preRows]; m.s >= s.TimeS-preS && m.s < s.TimeS {
			fill.Course.Add(m.s, m.values[:])
		}
	}
	fill.Course.Add(s.TimeS, n.values[:])
	n.part.Fills = append(n.part.Fills, fill)
	n.fill = &filling{fill: fill, lastS: s.TimeS, massKg: nan}
}

func unknownPeak(station string) Peak {
	nan := math.NaN()
	return Peak{Station: station, K: nan, BandK: nan, S: nan, ReadK: nan}
}

// add adds one Snapshot.
func (f *filling) add(n *telling, s *monitor.Snapshot) {
	fill := f.fill
	dt := s.TimeS - f.lastS
	f.lastS = s.TimeS
	fill.TargetPa = s.TargetPa
	hot := ""
	if s.Hottest >= 0 && s.Hottest < len(s.Stations) {
		hot = s.Stations[s.Hottest].Name
	}
	if fill.Hottest.raise(s.HottestK, s.BandK, s.TimeS) {
		fill.Hottest.Station = hot
	}
	for i := range min(len(s.Stations), len(fill.Stations)) {
		st := &s.Stations[i]
		fill.Stations[i].raise(st.HottestK, st.BandK, s.TimeS)
		fill.Stations[i].ReadK = quantity.MostKnown(fill.Stations[i].ReadK, st.SensorK)
		if i < stationsMost {
			f.off[i].add(st.SensorK-st.OuterK, s.TimeS, dt)
		}
	}
	f.off[stationsMost].add(s.BeadK-s.GasK, s.TimeS, dt)
	if s.MarginK < fill.MarginK || fill.MarginK != fill.MarginK && s.MarginK == s.MarginK {
		fill.MarginK, fill.MarginS = s.MarginK, s.TimeS
	}
	was := n.last.Phase
	if s.Phase != was {
		f.changed(n, s, was)
	}
	switch s.Phase {
	case phase.Filling:
		f.ramps(s, dt)
	case phase.Holding:
		if k := len(fill.Holds); k > 0 {
			h := &fill.Holds[k-1]
			h.ToS, h.ToPa = s.TimeS, n.goodPa
			h.SagPa = h.FromPa - h.ToPa
		}
	case phase.Venting:
		fill.VentColdK = quantity.LeastKnown(fill.VentColdK, s.GasK)
	}
}

func (p *Peak) raise(k, bandK, timeS float64) bool {
	if !(k > p.K) && !(math.IsNaN(p.K) && !math.IsNaN(k)) {
		return false
	}
	p.K, p.BandK, p.S = k, bandK, timeS
	return true
}

// changed notes that the vessel does something else now.
func (f *filling) changed(n *telling, s *monitor.Snapshot, was phase.Phase) {
	fill := f.fill
	if was == phase.Filling && len(fill.Ramps) > 0 {
		f.shutNow(s)
	}
	switch {
	case s.Phase == phase.Filling && len(fill.Ramps) < rampsMost:
		f.massKg, f.advised = s.GasMassKg, mean{}
		fill.Ramps = append(fill.Ramps, Ramp{FromS: s.TimeS, ToS: s.TimeS, FromPa: n.goodPa, ToPa: n.goodPa, MeanPaS: math.NaN(),
			MostPaS: math.NaN(), AdvisedPaS: math.NaN(), ShutS: math.NaN(), TopUp: len(fill.Ramps) > 0})
	case s.Phase == phase.Holding && len(fill.Holds) < rampsMost:
		fill.Holds = append(fill.Holds, Hold{FromS: s.TimeS, ToS: s.TimeS, FromPa: n.goodPa, ToPa: n.goodPa, SettlePa: math.NaN()})
	}
}

// shutNow closes the ramp that ended.
func (f *filling) shutNow(s *monitor.Snapshot) {
	r := &f.fill.Ramps[len(f.fill.Ramps)-1]
	if kg := s.GasMassKg - f.massKg; kg > 0 {
		f.fill.GasUsedKg += kg
	}
	f.shut = true
	r.ShutS = s.TimeS
}

// ramps adds a moment of gas coming in.
func (f *filling) ramps(s *monitor.Snapshot, dt float64) {
	if len(f.fill.Ramps) == 0 {
		return
	}
	r := &f.fill.Ramps[len(f.fill.Ramps)-1]
	if s.PressurePa == s.PressurePa {
		r.ToS, r.ToPa = s.TimeS, s.PressurePa
	}
	r.MeanPaS = (r.ToPa - r.FromPa) / (r.ToS - r.FromS)
	r.MostPaS = quantity.MostKnown(r.MostPaS, s.RampPaS)
	f.advised.add(advised(s), dt)
	r.AdvisedPaS = f.advised.value()
	if dt > 0 && s.RampPaS > aboveShare*advised(s) {
		r.AboveS += dt
	}
}

// aboveShare times the advised ramp is faster than advised: a needle valve is
// not set finer (common practice, no source).
const aboveShare = 1.1

// close ends the fill under way. One that came to nothing is forgotten, as the
// monitor's own account does.
func (n *telling) close(s *monitor.Snapshot) {
	f := n.fill
	n.fill, n.ahead = nil, 0
	if !(f.fill.Account.PressureMostPa >= fillLeastPa) {
		n.part.Fills = n.part.Fills[:len(n.part.Fills)-1]
		return
	}
	if s.Phase == phase.Filling && !f.ended && len(f.fill.Ramps) > 0 {
		if kg := s.GasMassKg - f.massKg; kg > 0 { // the recording ended in it
			f.fill.GasUsedKg += kg
		}
	}
	f.settle(n)
	f.fill.Residuals = f.residuals()
}

// fillLeastPa: what never came above this was no fill.
const fillLeastPa = 1e5

// pathPeak is the hottest of a path, NaN for none.
func pathPeak(path []advise.Point) (k, bandK, inS float64) {
	k, bandK, inS = math.NaN(), math.NaN(), math.NaN()
	for i := range path {
		if p := &path[i]; p.HottestK > k || math.IsNaN(k) {
			k, bandK, inS = p.HottestK, p.BandK, p.InS
		}
	}
	return k, bandK, inS
}
