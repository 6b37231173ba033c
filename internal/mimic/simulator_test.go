package mimic

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// insulated is a vessel whose wall takes no heat, in balance at T1 and p1
// (absolute), filled from an endless supply through a hose without effect.
func insulated(t *testing.T, species gas.Species, p1, t1, pSupply, tSupply float64) (Truth, Scene) {
	truth := NewTruth(vessel.Invented())
	truth.Gas = species
	truth.ConductivityWMK, truth.SpecificHeatJKgK = 1e-9, 1
	truth.AroundWMK = 0
	truth.AmbientPa = p1
	truth.Weather = Weather{AmbientK: t1, WindMS: 1}
	truth.RampUnsteady = 0
	truth.ValveAreaM2 = 1e-3
	truth.Supply = SupplyTruth{VolumeM3: 1e6, GaugePa: pSupply - p1, TempK: tSupply, WallJK: 1, HoseJK: 1}
	return truth, Scene{Name: "insulated", FromAmbient: true, ForS: 1}
}

// A fill without heat loss ends at the temperature of the closed balance
// m2u2 − m1u1 = (m2−m1)h_in with the reference equations.
func TestAdiabaticFillMatchesClosedBalance(t *testing.T) {
	count := 0
	for _, r := range must.Table(t, "testdata/fill_limit_realgas.csv", 4) {
		p2, supply := number(t, r["p2_bar_abs"])*bar, number(t, r["p_supply_bar_abs"])*bar
		if number(t, r["wall_heat_capacity_J_per_K_per_m3"]) != 0 || p2 > 70*bar {
			continue
		}
		count++
		p1, t1 := number(t, r["p1_bar_abs"])*bar, number(t, r["T1_K"])
		species := gas.Air
		if r["gas"] == "nitrogen" {
			species = gas.Nitrogen
		}
		// A supply at the very end pressure would take for ever; stop 3 % short
		// of it where the table fills to the supply's own pressure.
		want := number(t, r["T2_K"])
		within := 1.2
		if p2 == supply {
			p2 *= 0.97
			within = 2.5
		}
		truth, sc := insulated(t, species, p1, t1, supply, number(t, r["T_supply_K"]))
		sc.Plan = []Segment{{Do: Fill, RampPaS: 2 * bar, ToPa: p2 - p1, ForS: 120}, {Do: Shut, ForS: 1}}
		s := must.Get(NewSimulator(vessel.Invented(), sc, Options{Truth: &truth}))(t)
		for s.absPa() < p2 && s.TimeS() < 110 {
			s.Step(stepS)
		}
		must.Near(t, r["gas"]+" "+r["p1_bar_abs"]+" to "+r["p2_bar_abs"]+" bar from "+r["p_supply_bar_abs"], s.gasK, want, within)
	}
	must.Need(t, count >= 20, "only %d rows tried", count)
}

// Filling an evacuated insulated tank: T2 = k T_in (Balmer, Modern
// Engineering Thermodynamics, ex. 6.8: 20 °C gives 137 °C with k = 1.40).
// Low pressures, where the gas is nearly ideal; the little gas that is there
// at first takes off 0.5 K, throttling from 3 bar 0.7 K, and k falls to 1.396
// on the way up, another 1 K.
func TestEvacuatedTankFillsToKTimesInlet(t *testing.T) {
	truth, sc := insulated(t, gas.Air, 300, 293.15, 3*bar, 293.15)
	sc.Plan = []Segment{{Do: Fill, RampPaS: 0.02 * bar, ToPa: 0.9 * bar, ForS: 120}}
	s := must.Get(NewSimulator(vessel.Invented(), sc, Options{Truth: &truth}))(t)
	for s.absPa() < 0.9*bar && s.TimeS() < 110 {
		s.Step(stepS)
	}
	must.Near(t, "T2", s.gasK-273.15, 137.26-1.2, 1.2)
}

// A quick vent without heat gain cools as the isentropic discharge does.
func TestAdiabaticVentIsIsentropic(t *testing.T) {
	count := 0
	for _, r := range must.Table(t, "testdata/discharge_isentropic_realgas.csv", 4) {
		p1, p2 := number(t, r["p1_bar_abs"])*bar, number(t, r["p2_bar_abs"])*bar
		want := number(t, r["T2_K"])
		if want < 200 || p1 > 70*bar {
			continue
		}
		count++
		species := gas.Air
		if r["gas"] == "nitrogen" {
			species = gas.Nitrogen
		}
		truth, sc := insulated(t, species, p2/2, number(t, r["T1_K"]), 2*p1, 300)
		sc.Plan = []Segment{{Do: Vent, RampPaS: bar, ForS: 200}}
		s := must.Get(NewSimulator(vessel.Invented(), sc, Options{Truth: &truth}))(t)
		rho := s.law.densityKgM3(p1, number(t, r["T1_K"]))
		u, _, _ := s.law.energy(rho, number(t, r["T1_K"]))
		s.massKg = rho * truth.gasVolumeM3()
		s.energyJ, s.gasK = s.massKg*u, number(t, r["T1_K"])
		for s.absPa() > p2 && s.TimeS() < 190 {
			s.Step(stepS)
		}
		must.Near(t, r["gas"]+" "+r["p1_bar_abs"]+" to "+r["p2_bar_abs"]+" bar", s.gasK, want, 1.5)
	}
	must.Need(t, count >= 20, "only %d rows tried", count)
}

// Mass and energy close to 1e-6 over a whole fill, hold and vent, for the
// gas, the wall, the water and the supply, each against what crossed its
// border (first law; no source needed).
func TestMassAndEnergyClose(t *testing.T) {
	truth := NewTruth(vessel.Invented())
	truth.WaterM3 = 0.0005
	truth.LeakAreaM2, truth.LeakOpensPa = 5e-9, 20*bar
	s := must.Get(NewSimulator(vessel.Invented(), calm(), Options{Truth: &truth, Seed: 5}))(t)
	energy := func() float64 { u, _, _ := s.law.energy(s.rho(), s.gasK); return s.massKg * u }
	supplied := func() float64 {
		u, _, _ := s.law.energy(s.supply.rho(), s.supply.gasK)
		return s.supply.massKg*u + s.supply.shellK*truth.Supply.WallJK
	}
	mass, gasJ, wallJ, waterK := s.massKg, energy(), s.wall.heatJM2(), s.water.tempK
	supplyKg, supplyJ, hoseK := s.supply.massKg, supplied(), s.supply.hoseK
	outJ, airJ, toGasJ := s.supply.outJ, s.supply.airJ, s.supply.toHoseJ
	for s.TimeS() < 980 {
		s.Step(0.05)
	}
	l := &s.ledger
	must.Need(t, l.inKg >= 0.4 && l.outKg >= 0.4 && l.inJ != 0 && s.water.tempK != waterK, "nothing happened: in %g kg, out %g kg", l.inKg, l.outKg)
	scale := 1e-6 * 300e3 * l.inKg // enthalpy of the gas that came in
	must.Near(t, "mass, kg", s.massKg-mass, l.inKg-l.outKg, 1e-6*l.inKg)
	must.Near(t, "gas, J", energy()-gasJ, l.inJ-l.outJ-l.toWallJ-l.toWaterJ, scale)
	must.Near(t, "wall, J", (s.wall.heatJM2()-wallJ)*truth.wallAreaM2(), l.toWallJ+l.waterWallJ-l.wallToOutsideJ, scale)
	must.Near(t, "water, J", (s.water.tempK-waterK)*s.water.heatJK, l.toWaterJ-l.waterWallJ, scale)
	must.Near(t, "supply, J", supplied()-supplyJ, -(s.supply.outJ - outJ), scale)
	must.Near(t, "hose, J", (s.supply.hoseK-hoseK)*truth.Supply.HoseJK, s.supply.airJ-airJ-(s.supply.toHoseJ-toGasJ), scale)
	if drawn := supplyKg - s.supply.massKg; math.Abs(drawn-l.inKg) > 0.002*l.inKg { // the rest was breathed in through the vent
		t.Errorf("supply gave %g kg, vessel got %g kg", drawn, l.inKg)
	}
}

// The same seed gives the same run to the last bit; another seed does not.
func TestRunsAreReproducible(t *testing.T) {
	p := vessel.Invented()
	one := run(t, p, calm(), Options{Seed: 7, ForS: 60})
	same := run(t, p, calm(), Options{Seed: 7, ForS: 60})
	other := run(t, p, calm(), Options{Seed: 8, ForS: 60})
	last := len(one) - 1
	must.Be(t, one[last].GasK == same[last].GasK && one[last].HottestK == same[last].HottestK, "the same seed gave another run")
	must.Be(t, one[last].GasK != other[last].GasK, "another seed gave the same run")
}
