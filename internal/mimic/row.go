package mimic

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"fillwright/internal/advise"
	"fillwright/internal/vessel"
)

// Row is the truth at one moment. Pressures are gauge Pa, temperatures K.
type Row struct {
	TimeS       float64
	PressurePa  float64
	GasK        float64 // bulk
	BeadK       float64 // the gas probe's bead, without offset and noise
	GasKg       float64
	InflowKgS   float64
	InflowK     float64 // temperature at which gas last entered
	VentKgS     float64
	LeakKgS     float64
	Valve       Valve
	HottestK    float64 // hottest point of the wall, at any angle
	HottestRad  float64 // its angle, as in Weather
	Stations    []StationRow
	AmbientK    float64
	SunWM2      float64
	WindMS      float64
	InsideWM2K  float64 // inside convection, mean around
	OutsideWM2K float64 // outside convection without radiation
	SupplyPa    float64
	SupplyK     float64
	Advice      advise.Advice // as the operator was told at this moment
	AdviceKnown bool
}

// StationRow is the truth at one of the profile's stations.
type StationRow struct {
	Name     string
	OuterK   float64
	InnerK   float64
	HottestK float64
}

// State is the truth now.
func (s *Simulator) State() Row {
	r := Row{
		TimeS: s.TimeS(), PressurePa: s.gaugePa(), GasK: s.gasK, BeadK: s.sensors.beadK,
		GasKg: s.massKg, InflowKgS: s.inKgS, InflowK: s.supply.deliverK,
		VentKgS: s.outKgS, LeakKgS: s.leakKgS, Valve: s.command,
		AmbientK: s.air.ambientK, SunWM2: s.air.sunWM2, WindMS: s.air.windMS,
		InsideWM2K: s.hIn, OutsideWM2K: s.hOut,
		SupplyPa: s.supply.absPa() - s.truth.AmbientPa, SupplyK: s.supply.gasK,
	}
	for j := range anglesN {
		t := s.wall.hottestK(j)
		if s.far != nil {
			t = max(t, s.far.wall.hottestK(j))
		}
		if t > r.HottestK {
			r.HottestK, r.HottestRad = t, s.wall.angleRad[j]
		}
	}
	r.Stations = make([]StationRow, len(s.sensors.stations))
	for i := range r.Stations {
		at := s.place(i)
		r.Stations[i] = StationRow{s.profile.Stations[i].Name, at.outK, at.inK, at.hottestK}
	}
	if s.adviser != nil {
		r.Advice, r.AdviceKnown = s.adviser(), true
	}
	return r
}

// TruthFile writes rows as CSV, units in the column names.
type TruthFile struct {
	w      *csv.Writer
	fields []string
}

// NewTruthFile writes the header.
func NewTruthFile(w io.Writer, p *vessel.Profile) (*TruthFile, error) {
	head := []string{"time_s", "pressure_bar", "gas_c", "bead_c", "gas_mass_g", "hottest_c", "ambient_c"}
	for _, s := range p.Stations {
		head = append(head, "outer_"+s.Name+"_c", "inner_"+s.Name+"_c", "hottest_"+s.Name+"_c")
	}
	head = append(head, "valve", "command_bar_min", "inflow_g_s", "inflow_c", "vent_g_s", "leak_g_min",
		"sun_w_m2", "wind_m_s", "inside_w_m2k", "outside_w_m2k", "supply_bar", "supply_c",
		"verdict", "advised_bar_min")
	f := &TruthFile{w: csv.NewWriter(w)}
	if err := f.w.Write(head); err != nil {
		return nil, fmt.Errorf("truth file: %w", err)
	}
	return f, nil
}

// Write adds a row.
func (f *TruthFile) Write(r Row) error {
	f.fields = f.fields[:0]
	f.add(2, r.TimeS)
	f.add(4, r.PressurePa/bar)
	f.add(3, r.GasK-273.15, r.BeadK-273.15, r.GasKg*1000, r.HottestK-273.15, r.AmbientK-273.15)
	for _, s := range r.Stations {
		f.add(3, s.OuterK-273.15, s.InnerK-273.15, s.HottestK-273.15)
	}
	f.fields = append(f.fields, r.Valve.Action.String())
	f.add(3, r.Valve.RampPaS/barPerMin, r.InflowKgS*1000, r.InflowK-273.15, r.VentKgS*1000, r.LeakKgS*60000)
	f.add(2, r.SunWM2, r.WindMS, r.InsideWM2K, r.OutsideWM2K, r.SupplyPa/bar, r.SupplyK-273.15)
	if r.AdviceKnown {
		f.fields = append(f.fields, r.Advice.Verdict.String())
		f.add(3, r.Advice.RampPaS/barPerMin)
	} else {
		f.fields = append(f.fields, "", "")
	}
	if err := f.w.Write(f.fields); err != nil {
		return fmt.Errorf("truth file: %w", err)
	}
	return nil
}

// Flush writes out what is buffered.
func (f *TruthFile) Flush() error {
	f.w.Flush()
	if err := f.w.Error(); err != nil {
		return fmt.Errorf("truth file: %w", err)
	}
	return nil
}

func (f *TruthFile) add(digits int, v ...float64) {
	for _, x := range v {
		if x != x { // unknown: an empty cell, never a number
			f.fields = append(f.fields, "")
			continue
		}
		f.fields = append(f.fields, strconv.FormatFloat(x, 'f', digits, 64))
	}
}

// Record runs a scene as fast as it goes. wire gets the bytes of each frame
// that the logger sends (valid during the call) before the vessel goes on, so
// that a monitor fed from it can advise the operator of the same run; truth,
// which may be nil, gets a row at the start and every RowEveryS. The first
// error of either ends the run.
func Record(p *vessel.Profile, sc Scene, o Options, wire func([]byte) error, truth func(Row) error) error {
	if err := o.check(); err != nil {
		return err
	}
	d, err := NewDevice(p, sc, o)
	if err != nil {
		return err
	}
	length := o.ForS
	if length <= 0 {
		length = sc.ForS
	}
	if !(length > 0) {
		return fmt.Errorf("mimic: scene %q does not say how long it runs; give a time", sc.Name)
	}
	var failed error
	emit := func(b []byte) {
		if failed == nil {
			failed = wire(b)
		}
	}
	for row := 0; failed == nil; row++ {
		at := float64(row) * o.RowEveryS
		d.Advance(min(at, length), emit)
		if failed == nil && truth != nil {
			failed = truth(d.State())
		}
		if at >= length {
			break
		}
	}
	if failed != nil {
		return fmt.Errorf("mimic: scene %q stopped at %.1f s: %w", sc.Name, d.TimeS(), failed)
	}
	return nil
}
