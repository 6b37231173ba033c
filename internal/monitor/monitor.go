package monitor

import (
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/estimate"
	"fillwright/internal/gas"
	"fillwright/internal/leak"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/recording"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// Config is what a monitor works with. Offsets and Model may be nil.
type Config struct {
	Profile *vessel.Profile
	Offsets *probe.Offsets
	Model   *wallmodel.Learned
}

// Monitor holds everything that one fill needs between two inputs.
type Monitor struct {
	cfg     Config
	play    recording.Playback
	alarms  *alarm.Table
	est     *estimate.Tracker
	sample  estimate.Sample // what the sensors say now
	ahead   ahead
	ready   readyBook
	learned *wallmodel.Learned
	trust   trust
	lost    lost
	scatter scatterDoubt
	shown   []shown // before the last hand-held readings
	leak    leak.Leak
	vent    ventWatch
	pace    pace
	// unsettled readings, by station
	unsettled [vessel.StationsMost]unsettled
	events    events
	snap      Snapshot
	copies    copies  // that its slices are
	reached   bool    // the wall may have been at the onset under pressure, and it is not vented yet
	reachedS  float64 // session time of it
	missesS   float64 // session time since when a hold may be topped up, NaN: it may not
	phase     phase.Watch
	sides     sidesWatch
	targetPa  float64            // the operator's target, gauge
	zeroPa    float64            // what is not known of the pressure's zero, two sigma
	raised    map[string]float64 // session time + 1 at which an alarm was last noted
	sum       Summary
}

// New makes a monitor for one vessel. The profile must have passed
// vessel.Parse.
func New(cfg Config) *Monitor {
	m := &Monitor{
		cfg: cfg, alarms: alarm.NewTable(),
		play:    recording.Playback{Bank: probe.NewBank(cfg.Profile, cfg.Offsets), Stations: len(cfg.Profile.Stations)},
		learned: cfg.Model, ahead: ahead{atS: math.Inf(-1)}, ready: readyBook{confirmed: map[string]bool{}}, raised: map[string]float64{},
	}
	if m.learned == nil {
		m.learned = wallmodel.HandbookFor(cfg.Profile)
	}
	m.trust = newTrust()
	m.targetPa = float64(cfg.Profile.Fill.Target)
	m.sum = NoSummary()
	m.sides = sidesWatch{tube: cfg.Profile.Tube(), bowedS: math.Inf(-1)}
	m.phase.FilledS, m.missesS = math.Inf(-1), math.NaN()
	m.leak.Found, m.vent.saidS, m.pace.shutS = leak.Unknown(), math.NaN(), math.NaN()
	m.est = estimate.NewTracker(m.filterConfig(), float64(cfg.Profile.AmbientPressure))
	m.clear()
	return m
}

// skinErrorK is one sigma of an attached skin sensor's lasting error, after its
// offset was taken off. Common practice, no source; IEC 60584 class 1 allows
// 1.5 K.
const skinErrorK = 0.4

// filterConfig hands the learned model and the vessel to the filter.
func (m *Monitor) filterConfig() estimate.Config {
	v := m.cfg.Profile
	c := estimate.Config{
		Model:  thermal.NewModel(v, gas.Table(v.Gas), m.learned.Variant.Cells),
		Params: m.learned.Params, ParCov: m.learned.DayCov(), Inlet: m.learned.Inlet,
		DiscrepancyK: m.learned.DiscrepancyK, Bias: m.learned.Bias, FarTaught: m.learned.FarTaught(v),
	}
	c.Bias.SigmaK = math.Hypot(c.Bias.SigmaK, m.offsetSigmaK(vessel.RoleGas))
	c.Gains = m.learned.GainsFor(v)
	watched := false
	for _, ch := range v.Channels {
		if i := v.StationIndex(ch.Station); ch.Role == vessel.RoleWall && i >= 0 {
			c.Skin[i] = true
			watched = true
		}
	}
	if watched {
		// What a skin sensor reads wrong, the estimate follows.
		c.DiscrepancyK = math.Hypot(c.DiscrepancyK, math.Hypot(skinErrorK, m.offsetSigmaK(vessel.RoleWall)))
	}
	m.zeroPa = m.zeroBandPa()
	c.ZeroK = estimate.ZeroWallK(c.Model, &c.Params, v, m.zeroPa)
	return c
}

// clear sets the Snapshot to nothing known.
func (m *Monitor) clear() {
	m.snap = Unknown()
	m.snap.TargetPa, m.snap.Link = m.targetPa, Link{AgeS: math.Inf(1)}
	m.snap.Model = ModelNote{Name: m.learned.Name, Variant: m.learned.Variant.Name, Fills: len(m.learned.Fills)}
	m.ahead.advice = m.snap.Advice
	m.snap.Stations = m.blankStations()
	m.snap.Sensors = append([]probe.Reading(nil), m.play.Bank.Readings()...)
}

func (m *Monitor) blankStations() []Station {
	nan := math.NaN()
	out := make([]Station, len(m.cfg.Profile.Stations))
	for i := range out {
		out[i] = Station{
			Name: m.cfg.Profile.Stations[i].Name, OuterK: nan, InnerK: nan, HottestK: nan, BandK: nan,
			OutsideK: nan, SensorK: nan, SurfaceK: nan, SurfaceS: nan,
		}
	}
	return out
}

// Step takes one input in and tells what is known after it. Frames that no
// monitor needs pass without effect.
func (m *Monitor) Step(f wire.Frame) Snapshot {
	m.snap.Seq++
	m.snap.Model.Fresh = false
	var h recording.Heard
	if f.Type != wire.TypeLogStart { // there another monitor begins
		h = m.play.Step(f)
	}
	switch h.Type {
	case wire.TypeHello:
		m.onHello(&h)
	case wire.TypeSample:
		m.onSample(&h)
	case wire.TypeSilence:
		m.snap.TimeS = m.play.Time.NowS()
		m.grow()
	case wire.TypeArrival:
		if !m.onArrival() {
			return m.snap
		}
	case wire.TypeEntry:
		m.onEntry(&h)
	}
	switch f.Type {
	case wire.TypeClock:
		var v wire.Clock
		if wire.ParseClock(f.Body, &v) == nil {
			m.snap.UnixMS = v.UnixMS
		}
	case wire.TypeLogStart:
		var v wire.LogStart
		if wire.ParseLogStart(f.Body, &v) == nil {
			m.snap.UnixMS = v.UnixMS
		}
	case wire.TypeLink:
		m.onLink(f.Body)
	}
	m.follow(f)
	m.freshen()
	m.judge()
	return m.snap
}

// flows tells whether gas flows, or did a while ago.
func (m *Monitor) flows() bool {
	return m.snap.Phase == phase.Filling || m.snap.Phase == phase.Venting || m.snap.TimeS-m.snap.PhaseSince < settlingS
}

func (m *Monitor) onLink(body []byte) {
	var v wire.Link
	if err := wire.ParseLink(body, &v); err != nil {
		return
	}
	switch v.State {
	case wire.LinkUp:
		m.snap.Link.Up = true
		m.lost.joined()
	case wire.LinkDown:
		m.snap.Link.Up = false
	case wire.LinkLogLost:
		m.snap.Link.LogFailed = true
	case wire.LinkLogBack:
		m.snap.Link.LogFailed = false
	case wire.LinkLogRoom, wire.LinkLogTight, wire.LinkLogNone:
		m.ready.log, m.ready.logText, m.ready.drawnS = v.State, v.Text, math.Inf(-1)
		if v.State != wire.LinkLogTight {
			return // stands on the readiness list; no news otherwise
		}
	}
	m.events.add(m.snap.TimeS, EventLink, wording.Words(v.Text))
}

// read copies the sensors' present values into the Snapshot; what is not
// good is not known.
func (m *Monitor) read() {
	m.snap.Sensors = m.copies.sensors.of(m.play.Bank.Readings())
	m.sample = estimate.Unread()
	x := &m.sample
	_, second := m.cfg.Profile.GasProbes()
	for _, r := range m.snap.Sensors {
		if r.Health != probe.HealthGood {
			continue
		}
		switch r.Role {
		case vessel.RolePressure:
			x.PressurePa = r.Value
		case vessel.RoleGas:
			if second != nil && r.Channel == second.Index {
				x.SecondK = r.Value
			} else {
				x.BeadK = r.Value
			}
		case vessel.RoleAmbient:
			x.AmbientK = r.Value
		case vessel.RoleSupply:
			if r.Kind.Pressure() {
				x.SupplyPa = r.Value
			} else {
				x.SupplyK = r.Value
			}
		case vessel.RoleWall:
			if i := m.cfg.Profile.StationIndex(r.Station); i >= 0 {
				x.SkinK[i] = r.Value
			}
		}
	}
	m.snap.PressurePa, m.snap.BeadK, m.snap.SecondK, m.snap.AmbientK = x.PressurePa, x.BeadK, x.SecondK, x.AmbientK
	stations := m.copies.stations.of(m.snap.Stations)
	for i := range stations {
		stations[i].SensorK = x.SkinK[i]
	}
	m.snap.Stations = stations
}
