package wallmodel

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// Transport properties of normal hydrogen at 300 K and 1 bar (viscosity: Muzny,
// Huber & Kazakov 2013; conductivity: Assael, Assael, Huber, Perkins & Takata
// 2011; values from memory).
const (
	hydrogenViscosityPaS    = 8.94e-6
	hydrogenConductivityWMK = 0.187
)

// forHydrogen scales the handbook's film, which is air's, to hydrogen.
// Nu = 0.104 Ra^0.352 (Woodfield, Monde & Mitsutake 2007, citation from memory)
// at the same density, difference and size makes h ~ k (c_p/(μ k))^0.352; its
// exponents stay. Nu ~ Re^0.67 of the jet makes h ~ k μ^−0.67. The scatter, and
// with it the doubt, stays the same share. Inlet diameter and vessel size stay in the
// scatter, as they do for air.
func forHydrogen(l *Learned, h *hydrogen) *Learned {
	const tempK, pa = 300.0, 1e5
	air := gas.Equation(gas.Air)
	rho := air.DensityKgM3(tempK, pa)
	airMu, airK := air.ViscosityPaS(tempK, rho), air.ConductivityWMK(tempK, rho)
	prandtl := h.CpJKgK(tempK, h.DensityKgM3(tempK, pa)) / (hydrogenViscosityPaS * hydrogenConductivityWMK) /
		(air.State(tempK, rho).CpJKgK / (airMu * airK))
	conducts := hydrogenConductivityWMK / airK
	natural := conducts * math.Pow(prandtl, 0.352)
	jet := math.Sqrt(conducts * math.Pow(airMu/hydrogenViscosityPaS, 0.67)) // held as a square root
	l.Params[thermal.ParLnFilm] += math.Log(natural)
	l.Params[thermal.ParJet] *= jet
	l.Cov[thermal.ParJet][thermal.ParJet] *= jet * jet
	return l
}

// Hydrogen into a horizontal vessel of 74 L with an aluminium liner of 4 mm under
// composite, 93 to 352 bar in 37 s (Dicken & Mérida 2007): the mean of 63 beads
// lies between the handbook's gas and the handbook's bead, give or take the band,
// and so does the liner at the end. The jet at some 15 to 30 g/s is an
// extrapolation from 5 g/s: the film that was seen is less than half of it.
//
// The liner is taken as a lump with as much composite as heat reaches in 37 s,
// √(k t/(ρ c)): the program's wall is of one material.
func TestMeasuredHydrogenLinedVessel(t *testing.T) {
	h, e := newHydrogen(t), measuredFill(t, "dicken_merida_fill_40s")
	fillS, startK := e.get(t, "fill_time"), e.get(t, "T0")
	composite := e.get(t, "composite_rho") * e.get(t, "composite_cp")
	reach := math.Sqrt(e.get(t, "composite_k") * fillS / composite)
	v := tube(e.get(t, "inner_diameter"), e.get(t, "inner_length_flat_equivalent")+e.get(t, "inner_diameter")/2, e.get(t, "volume"), vessel.Wall{})
	m := thermal.NewModel(v, h, 1)
	m.ThicknessM, m.ConductivityWMK = e.get(t, "liner_thickness_AA6061"), e.get(t, "liner_k")
	m.AreaHeatJM2K = e.get(t, "liner_rho")*e.get(t, "liner_cp")*m.ThicknessM + composite*reach
	d := drive(m, forHydrogen(HandbookFor(v), h), startK, 0.5)
	// The first point is a jump to 100 bar within 0.08 s; the ramp starts there.
	d.pressure, d.sigmaBar, d.endS = e.history["pressure"], 0.25, fillS+1
	b := d.spread(e.get(t, "T_ambient"))
	mean, wall := e.history["gas_mean"], e.history["wall_mean"]
	b.hold(t, "lined vessel: gas by a bead", ranReading, mean, 1, finding{rmsMostK: 5})
	b.hold(t, "lined vessel: gas, no lag", ranGas, mean, 1, finding{5.6, 1, 0.7, "(first second: lag of the beads, and the jump)"})
	b.hold(t, "lined vessel: liner at the end", ranInner, wall, 1, finding{rmsMostK: 4.2})

	// The liner has only its end; a straight line from the start will do for a film.
	line := []point{{0, startK}, {fillS, wall[0].value}}
	d.filmHold(t, "lined vessel, filling", mean, line, []float64{5, 20, 36}, startK, 1, "(jet of 15 to 30 g/s)")
	var half []point
	for _, p := range e.history["gas_high"] {
		half = append(half, point{p.atS, p.value - at(mean, p.atS)})
	}
	spreadHold(t, "lined vessel, filling", mean, half, line, 5, 40, 0.40)
}

// Hydrogen into an upright litre of thick steel, 1 to 104 bar in 17 s (Woodfield,
// Monde & Mitsutake 2007): the mean of the warmest and coldest bead lies in the
// band. Wall and start were not stated: 5 mm, as the data set's fill has it, and
// 300 ± 5 K.
func TestMeasuredHydrogenLitre(t *testing.T) {
	h, e := newHydrogen(t), measuredFill(t, "woodfield2007_fill_1L")
	v := flatEnded(e.get(t, "inner_diameter"), e.get(t, "inner_length"), steel(0.005))
	const startK = 300.0
	d := drive(thermal.NewModel(v, h, thermal.CellsLayered), forHydrogen(HandbookFor(v), h), startK, 5)
	d.pressure, d.sigmaBar, d.endS = append([]point{{0, 1.013}}, e.history["pressure"]...), 0.25, 49
	b := d.spread(startK)
	mean, half := e.mid()
	b.hold(t, "litre: gas by a bead", ranReading, mean, 1, finding{rmsMostK: 5})
	b.hold(t, "litre: gas, no lag", ranGas, mean, 1, finding{rmsMostK: 11.5})
	wall := b.value[ranInner]
	d.filmHold(t, "litre, filling", mean, wall, []float64{3, 8, 14}, startK, 1, "")
	d.filmHold(t, "litre, at rest", mean, wall, []float64{21, 45}, startK, 1, "")
	spreadHold(t, "litre, filling", mean, half, wall, 2, 13, 0.40)
	spreadHold(t, "litre, at rest", mean, half, wall, 18, 49, 0.55) // to a wall that is computed, not measured
}

// Hydrogen let out of a steel cylinder of 50 L in perlite, 138 bar down in 30 s
// and in 480 s (Byrnes, Reid & Ruccia 1964): the mean of the gas and of the wall
// lie in the band in the fast one. In the slow one the wall is warmer than the
// handbook has it, and the measurement does not close: the measured gas took
// more heat than the stated wall gave by cooling as measured.
func TestMeasuredHydrogenDischarges(t *testing.T) {
	h := newHydrogen(t)
	for _, c := range []struct {
		name      string
		endS      float64
		ends      []float64
		gas, wall finding
	}{
		{"byrnes1964_run7", 31, []float64{7, 17, 29}, finding{rmsMostK: 7.5}, finding{rmsMostK: 3.8}},
		{"byrnes1964_run8", 479, []float64{50, 200, 475}, finding{3.6, 1, 0.4, "(follows its wall)"}, finding{7, 7, 4.2, "(its balance does not close)"}},
	} {
		e := measuredFill(t, c.name)
		v := tube(e.get(t, "inner_diameter"), e.get(t, "inner_length"), e.get(t, "volume"), steel(e.get(t, "wall_thickness")))
		gasSeen, wallSeen := e.history["gas_mean"], e.history["wall_mean"]
		d := drive(thermal.NewModel(v, h, thermal.CellsLayered), forHydrogen(HandbookFor(v), h), gasSeen[0].value, 1)
		wallK := wallSeen[0].value
		for side := range d.estimate.State.Wall {
			d.estimate.State.OutK[side] = wallK
			for cell := range d.estimate.State.Wall[side] {
				d.estimate.State.Wall[side][cell] = wallK
			}
		}
		d.estimate.Params[thermal.ParLnOutside] = math.Log(1) // some 50 mm of perlite, 0.05 W/mK (handbook, from memory)
		d.pressure, d.falling, d.sigmaBar, d.endS, d.stepS = e.history["pressure"], true, 0.25, c.endS, c.endS/200
		b := d.spread(wallK)
		b.hold(t, c.name+": gas", ranGas, gasSeen, 1, c.gas)
		b.hold(t, c.name+": wall mean", ranMeanWall, wallSeen, 1, c.wall)
		d.filmHold(t, c.name, gasSeen, wallSeen, c.ends, wallK, 1, "")

		from, to := gasSeen[1].atS, gasSeen[len(gasSeen)-2].atS
		_, _, _, took := d.filmSeen(gasSeen, wallSeen, from, to, wallK)
		gave := (at(wallSeen, from) - at(wallSeen, to)) * v.WallAreaHeatJM2K() * v.InnerAreaM2()
		t.Logf("balance, %s, %.0f to %.0f s: the measured gas took %.0f kJ, the stated wall gave %.0f kJ as measured: %.2f of it", c.name, from, to, -took/1e3, gave/1e3, gave/-took)
		must.Be(t, c.wall.outsideMost <= 0 || gave < -0.8*took,
			"%s: the wall gave %.0f kJ, the gas took %.0f: the balance closes, so the finding has another reason", c.name, gave/1e3, -took/1e3)
	}
}

// Hydrogen into 23.5 L of steel, 50 to 240 bar at 50 and 300 bar/min, then shut
// (Striednig, Brandstätter, Sartory & Klell 2014). The ramp is nominal and the
// inlet's temperature was not stated: supply gas of 350 bar throttled.
func TestMeasuredHydrogenRamps(t *testing.T) {
	h := newHydrogen(t)
	for _, c := range []struct {
		name  string
		found finding
	}{
		{"striednig2014_fill_5MPa_min", finding{rmsMostK: 5}},
		{"striednig2014_fill_30MPa_min", finding{rmsMostK: 10}},
	} {
		e := measuredFill(t, c.name)
		thick := e.get(t, "wall_thickness")
		wall := steel(thick)
		wall.DensityKgM3, wall.SpecificHeatJKgK = e.get(t, "wall_density"), e.get(t, "wall_cp")
		v := tube(e.get(t, "outer_diameter")-2*thick, e.get(t, "outer_length")-2*thick, e.get(t, "volume"), wall)
		startK, barS := e.get(t, "T0"), e.get(t, "pressure_ramp")*10/60
		l := forHydrogen(HandbookFor(v), h)
		mean, sigma := thermal.InflowPrior(thermal.InletThrottled)
		l.Params[thermal.ParInflow], l.Cov[thermal.ParInflow][thermal.ParInflow] = mean, sigma*sigma
		d := drive(thermal.NewModel(v, h, thermal.CellsLayered), l, startK, 1)
		d.estimate.State.Supply.PressurePa = 1e5 * e.get(t, "supply_pressure")
		from, to := e.get(t, "p0"), e.get(t, "p_end")
		d.closedS = (to - from) / barS
		d.pressure, d.sigmaBar, d.endS, d.stepS = []point{{0, from}, {d.closedS, to}}, 2, 241, 0.5
		b := d.spread(startK)
		seen := e.history["gas_mean"]
		b.hold(t, c.name[14:]+": gas, no lag", ranGas, seen, 1, c.found)
		b.hold(t, c.name[14:]+": gas by a bead", ranReading, seen, 1, c.found)
	}
}
