package advise

import (
	"math"

	"fillwright/internal/gas"
	"fillwright/internal/phase"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"

	"pgregory.net/rapid"
)

// situation is an invented ten-litre vessel in a steady state, to plan from.
type situation struct {
	fluid                        thermal.Fluid
	cells, stations              int
	scatter                      float64 // share of the handbook's scatter
	wallK, outK, gasK, pPa       float64
	stateSigmaK, modelK, reserve float64
	widen                        float64 // factor on the band
	film                         float64 // W/m²K in place of the handbook's film, jet and exponents; 0: the handbook's
	phase                        phase.Phase
	ramp                         float64 // Pa/s
}

func calm() situation {
	return situation{
		fluid: gas.Table(gas.Air), cells: 6, stations: 2, scatter: 0.3,
		wallK: 295, outK: 298, gasK: 295, pPa: 101325, stateSigmaK: 0.7, modelK: 0.3, reserve: 5, widen: 1,
		phase: phase.Vented,
	}
}

const (
	onsetK    = 54 + 273.15
	targetPa  = 40e5 + 101325
	rampLeast = 2e5 / 60
	rampMost  = 60e5 / 60
)

func (c situation) query() Query {
	m := &thermal.Model{
		Fluid: c.fluid, VolumeM3: 0.0102, AmbientPa: 101325, Sides: c.stations, Cells: c.cells,
		ThicknessM: 0.0028, ConductivityWMK: 0.55, AreaHeatJM2K: 1480 * 1050 * 0.0028,
	}
	for i := 0; i < c.stations; i++ {
		m.AreaM2[i] = 0.45 / float64(c.stations)
	}
	l := wallmodel.Handbook()
	if c.film > 0 {
		l.Params[thermal.ParLnFilm] = math.Log(c.film)
		l.Params[thermal.ParDensity], l.Params[thermal.ParBuoyancy], l.Params[thermal.ParJet] = 0, 0, 0
	}
	var free [thermal.ParCount]bool
	for i := range free {
		free[i] = c.scatter > 0
	}
	layout := thermal.NewLayout(m, [thermal.PlacesMost]bool{}, free)
	n := layout.N
	b := &thermal.Estimate{Model: m, Params: l.Params, Layout: layout, Cov: make([]float64, n*n), DiscrepancyK: c.modelK, BandFactor: c.widen}
	b.State = m.Uniform(c.wallK)
	b.State.GasK, b.State.BeadK, b.State.FarGasK = c.gasK, c.gasK, c.gasK
	for i := 0; i < n; i++ {
		b.Cov[i*n+i] = c.stateSigmaK * c.stateSigmaK
	}
	for i := 0; i < c.stations; i++ {
		b.State.OutK[i] = c.outK - 4*float64(i)
		for j := 0; j < c.cells; j++ { // the cells of a wall are wrong together
			for k := 0; k < c.cells; k++ {
				b.Cov[layout.AtWall(i, j)*n+layout.AtWall(i, k)] = c.stateSigmaK * c.stateSigmaK
			}
			b.Cov[layout.AtWall(i, j)*n+layout.AtWall(i, j)] += 0.2 * 0.2
		}
	}
	for i := range free {
		if at := layout.AtPar(i); at >= 0 {
			b.Cov[at*n+at] = l.Cov[i][i] * c.scatter * c.scatter
		}
	}
	return Query{
		Estimate: b, Phase: c.phase, PressurePa: c.pPa, RampPaS: c.ramp, AmbientK: 293.15, TargetPa: targetPa,
		OnsetK: onsetK, ReserveK: c.reserve, ReactionS: 5, RampLeast: rampLeast, RampMost: rampMost, HoldS: 900,
	}
}

func (c situation) plan() (Advice, Outlook) {
	var pl Planner
	return pl.Plan(c.query())
}

// drawSituation draws from cool to too hot, near empty to near full.
func drawSituation(t *rapid.T) situation {
	c := calm()
	draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	c.cells = rapid.SampledFrom([]int{1, 2, 6}).Draw(t, "cells")
	c.stations = rapid.IntRange(1, 2).Draw(t, "stations")
	c.scatter = draw("scatter", 0.05, 1)
	c.wallK = draw("wall", 280, 325)
	c.outK = draw("out", 280, 325)
	c.gasK = c.wallK + draw("gas over wall", 0, 30)
	c.pPa = 101325 + draw("bar", 0, 38)*1e5
	c.stateSigmaK = draw("sigma", 0.1, 2)
	c.modelK = draw("model", 0, 1.5)
	c.reserve = draw("reserve", 0, 12)
	return c
}

// grain is the factor that an answer of the ramp's search may be too slow by.
var grain = math.Exp(crossingLn)
