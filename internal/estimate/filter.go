// Package estimate keeps the best estimate of gas and wall from what the
// sensors say: an extended Kalman filter (Jazwinski 1970; Gelb 1974) on the
// model of package thermal. Pressure drives the gas balance, the bead
// corrects it, and skin sensors and hand-held readings pull the wall and its
// outside equilibrium, each by its own uncertainty.
package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// Noise of the process and of the sensors, one sigma. Process noise is per
// square root of a second; that of the outside is thermal's. Common practice, no
// source: sizes chosen so that a stirred gas, a gust and a passing cloud lie
// inside them.
const (
	noiseGasK    = 0.08
	noiseWallK   = 0.01
	noiseExcessK = 0.02
	noiseLocalK  = 0.01
	noiseInflowK = 0.10
	noiseBeadK   = 0.02
	noiseWindLn  = 0.01 // of the outside coefficient's logarithm, up to what a day may change: the wind drops

	sigmaBeadK    = 0.35 // bead, with what is correlated from sample to sample
	sigmaSkinK    = 0.5  // attached skin sensor, likewise
	sigmaSurfaceK = 0.7  // hand-held surface reading

	gateSigma    = 4.0 // an innovation beyond this many sigma is disbelieved
	disagreeTimS = 5.0 // how long gas balance and bead may disagree unremarked
)

// Config is what a filter starts from.
type Config struct {
	Model        *thermal.Model
	Params       thermal.Params
	ParCov       [thermal.ParCount][thermal.ParCount]float64 // zero rows: known exactly
	Inlet        thermal.Inlet                               // what ParInflow of these is counted from
	Gains        thermal.SunGains
	Skin         [thermal.PlacesMost]bool
	FarTaught    bool           // fills behind the parameters read the far end
	Bias         thermal.Normal // of the gas probe
	DiscrepancyK float64
	ZeroK        float64 // see thermal.Estimate
}

// Filter is the filter. The zero value is not usable; see New.
type Filter struct {
	cfg      Config
	estimate thermal.Estimate
	started  bool
	x        []float64
	jac      []float64 // state rows of the transition, column by column
	tmp      []float64
	hp, h    []float64
	root     thermal.Cholesky
	flow     thermal.Flow
	disagree float64 // seconds that bead and balance have disagreed
	bias     float64 // last innovation of the bead, K
	supply   thermal.Supply
	ambientK float64
	startKg  float64  // gas in the vessel at Start
	parts    []part   // of each position
	beside   corrects // by a sensor on the wall that is not at the far end
	colder   [thermal.PlacesMost]unsettled
	read     [thermal.PlacesMost]bool // since Start
	trust    trust
}

// New makes a filter that waits for Start.
func New(cfg Config) *Filter {
	var free [thermal.ParCount]bool
	for i := range free {
		free[i] = cfg.ParCov[i][i] > 0
	}
	layout := thermal.NewLayout(cfg.Model, cfg.Skin, free)
	n := layout.N
	parts, considered := partsOf(&cfg, &layout), 0
	if at := layout.AtPar(thermal.ParFar); at >= 0 && parts[at] == farPart {
		considered = at
	}
	return &Filter{
		cfg: cfg, parts: parts, beside: corrects{true, true, cfg.FarTaught},
		estimate: thermal.Estimate{
			Model: cfg.Model, Params: cfg.Params, Layout: layout, Cov: make([]float64, n*n),
			DiscrepancyK: cfg.DiscrepancyK, ZeroK: cfg.ZeroK, LitK: cfg.Gains.Lit, BandFactor: 1, Considered: considered,
		},
		x: make([]float64, n), jac: make([]float64, n*n), tmp: make([]float64, n*n),
		hp: make([]float64, n), h: make([]float64, n),
	}
}

// wallPars are the parameters that the wall goes by.
var wallPars = []int{
	thermal.ParLnFilm, thermal.ParDensity, thermal.ParBuoyancy, thermal.ParJet,
	thermal.ParLnOutside, thermal.ParLnConduct, thermal.ParLnHeat, thermal.ParInflow,
}

// part is what a position of the state belongs to.
type part uint8

const (
	gasPart  part = iota // gas, the sensors, and what these alone go by
	wallPart             // the walls, their outsides, and what both go by
	farPart              // a far end that no sensor speaks of
)

// partsOf is what each position belongs to.
func partsOf(cfg *Config, l *thermal.Layout) []part {
	parts := make([]part, l.N)
	set := func(to part, positions ...int) {
		for _, at := range positions {
			if at >= 0 {
				parts[at] = to
			}
		}
	}
	for i := 0; i < cfg.Model.Sides; i++ {
		for at := l.AtWall(i, 0); at <= l.AtOut(i); at++ {
			set(wallPart, at)
		}
	}
	for _, par := range wallPars {
		set(wallPart, l.AtPar(par))
	}
	if !farRead(cfg) {
		set(farPart, l.AtFarGas(), l.AtFar(), l.AtPar(thermal.ParFar), l.AtPar(thermal.ParLnMix))
	}
	return parts
}

// corrects is which of them a reading corrects; what it leaves alone is considered,
// with all its variance (Schmidt 1966, from memory).
type corrects [farPart + 1]bool

// whole is what a reading of the place itself corrects. A sensor that is not at the far
// end corrects that end only where fills tell how the two go together (Filter.beside):
// else what it reads off has causes enough of its own, its stem, the inflow, layers, to
// say nothing of gas that it does not see.
var whole = corrects{true, true, true}

// farRead tells whether a sensor speaks of the end that the jet does not reach.
func farRead(cfg *Config) bool {
	for i := 0; i < cfg.Model.PlaceCount; i++ {
		if cfg.Skin[i] && cfg.Model.Places[i].OfFar > 0 {
			return true
		}
	}
	return cfg.Model.BeadFar
}

// Started tells whether Start was called.
func (o *Filter) Started() bool { return o.started }

// Estimate is the present estimate; it stays the filter's.
func (o *Filter) Estimate() *thermal.Estimate { return &o.estimate }

// Flow is what the last prediction let in or out.
func (o *Filter) Flow() thermal.Flow { return o.flow }

// Start sets the estimate up from the first readings: gasK is the bead (or
// ambient, if there is none); underPressure widens what is not known of a
// vessel that was filled before the record began.
func (o *Filter) Start(gasK, ambientK, pPa float64, underPressure bool) {
	b, l := &o.estimate, &o.estimate.Layout
	b.Params = o.cfg.Params
	b.State = b.Model.Uniform(gasK)
	b.State.Supply = o.supply
	if underPressure {
		b.State.WaterK = ambientK // it follows the gas but slowly
	}
	b.BiasK = o.cfg.Bias.MeanK
	for i := range b.Cov {
		b.Cov[i] = 0
	}
	n := l.N
	o.startWalls(gasK, ambientK, underPressure)
	o.startPlaces()
	o.colder, o.read, o.trust = [thermal.PlacesMost]unsettled{}, [thermal.PlacesMost]bool{}, trust{}
	b.Cov[thermal.AtGas*n+thermal.AtGas] = startGasK * startGasK
	b.Cov[thermal.AtBead*n+thermal.AtBead] = startBeadK * startBeadK
	if far := l.AtFarGas(); far >= 0 { // the same gas until some comes in
		v := startGasK * startGasK
		b.Cov[far*n+far], b.Cov[far*n+thermal.AtGas], b.Cov[thermal.AtGas*n+far] = v, v, v
	}
	bias := l.AtBias()
	b.Cov[bias*n+bias] = o.cfg.Bias.SigmaK * o.cfg.Bias.SigmaK
	for i := 0; i < thermal.ParCount; i++ {
		for j := 0; j < thermal.ParCount; j++ {
			if a, c := l.AtPar(i), l.AtPar(j); a >= 0 && c >= 0 {
				b.Cov[a*n+c] = o.cfg.ParCov[i][j]
			}
		}
	}
	if o.Rebased() {
		o.setInflow(o.inflow(o.supply.Inlet()))
	}
	rho := b.Model.Fluid.DensityKgM3(gasK, pPa)
	o.ambientK, o.startKg = ambientK, rho*b.Model.VolumeM3
	o.flow = thermal.Flow{MassKg: rho * b.Model.VolumeM3, DensityKgM3: rho, PressurePa: pPa}
	o.started = true
}

// Predict takes the estimate dtS on while the absolute pressure goes from
// p1Pa to p2Pa.
func (o *Filter) Predict(p1Pa, p2Pa, ambientK, dtS float64) {
	o.ambientK = ambientK
	o.flow = o.estimate.Transition(p1Pa, p2Pa, ambientK, dtS, o.jac)
	o.propagateCovariance(o.estimate.Layout.N, o.estimate.Layout.AtBias())
	o.addNoise(dtS)
}

// propagateCovariance is P ← F P Fᵀ, where F's rows beyond the state are the identity.
func (o *Filter) propagateCovariance(n, m int) {
	p, acc := o.estimate.Cov, o.x
	for i := range m { // F P, row by row
		for k := range n {
			acc[k] = o.jac[k*m+i]
		}
		thermal.Combine(o.tmp[i*n:i*n+n], acc, p, n)
	}
	for i := range m {
		row := o.tmp[i*n : i*n+n]
		for j, v := range row[m:] {
			p[i*n+m+j], p[(m+j)*n+i] = v, v
		}
		thermal.Combine(acc[i:m], row, o.jac[i:], m)
		for j, v := range acc[i:m] {
			p[i*n+i+j], p[(i+j)*n+i] = v, v
		}
	}
}

// addNoise adds what the model does not know to happen within dtS.
func (o *Filter) addNoise(dtS float64) {
	l, n := &o.estimate.Layout, o.estimate.Layout.N
	add := func(i int, sigma float64) { o.estimate.Cov[i*n+i] += sigma * sigma * dtS }
	add(thermal.AtGas, noiseGasK)
	add(thermal.AtBead, noiseBeadK)
	if bead, off, ok := l.AtSecond(); ok {
		add(bead, noiseBeadK)
		add(off, noiseLocalK)
	}
	add(l.AtExcess(), math.Hypot(noiseExcessK, o.stillK()))
	add(l.AtFar(), noiseExcessK)
	for i := 0; i < l.Places; i++ {
		add(l.AtLocal(i), noiseLocalK)
	}
	for i := 0; i < l.Sides; i++ {
		drift := thermal.ShadeDriftK
		if i == thermal.SideSun {
			drift = o.estimate.SunDriftK()
		}
		add(l.AtOut(i), drift)
		for j := 0; j < l.Cells; j++ {
			add(l.AtWall(i, j), noiseWallK)
		}
	}
	if at := l.AtPar(thermal.ParLnOutside); at >= 0 {
		v := &o.estimate.Cov[at*n+at]
		*v = math.Max(*v, math.Min(*v+noiseWindLn*noiseWindLn*dtS, o.cfg.ParCov[thermal.ParLnOutside][thermal.ParLnOutside]))
	}
	if at := l.AtPar(thermal.ParInflow); at >= 0 && o.flow.InKg > 0 {
		add(at, noiseInflowK)
	}
}

// stillShare is one sigma of how much less, or more, the film gives in gas that lies
// still. Common practice, no source.
const stillShare = 0.35

// stillK is by how much the sunny line's excess over even gas wanders in the square
// root of a second where gas lies still, under a wall that the sun has made hotter and
// over one that is colder: it takes less off the one and gives less to the other than
// a film would that stirs it. The noise is such as makes stillShare of what the film
// does once that has settled.
func (o *Filter) stillK() float64 {
	b := &o.estimate
	m, s := b.Model, &b.State
	if m.Standing || m.Sides < thermal.SidesMost {
		return 0
	}
	sunK, shadeK := s.Wall[thermal.SideSun][0], s.Wall[thermal.SideShade][0]
	if !(sunK > s.GasK && s.GasK > shadeK) {
		return 0
	}
	half := 0.5 * (sunK - shadeK)
	film := b.Params.Film(o.flow.DensityKgM3, half, 0)
	loss := film + math.Exp(b.Params[thermal.ParLnOutside])
	tauS := m.AreaHeatJM2K * math.Exp(b.Params[thermal.ParLnHeat]) / loss
	return stillShare * half * film / loss * math.Sqrt(2/tauS)
}

// correct folds one scalar reading with row o.h and noise sigma into the parts that
// take it. What lies beyond the gate is held to the gate's pull. An unknown one is no
// reading.
func (o *Filter) correct(innovation, sigma float64, take corrects) {
	if math.IsNaN(innovation) || math.IsInf(innovation, 0) {
		return
	}
	b, n := &o.estimate, o.estimate.Layout.N
	s, r := o.variance(), sigma*sigma
	if limit := gateSigma * gateSigma * (s + r); innovation*innovation > limit {
		r = innovation*innovation/(gateSigma*gateSigma) - s
	}
	s += r
	b.Layout.Pack(&b.State, b.BiasK, &b.Params, o.x)
	for i := range o.x {
		if take[o.parts[i]] {
			o.x[i] += o.hp[i] / s * innovation
		}
	}
	b.Layout.Unpack(o.x, &b.State, &b.BiasK, &b.Params)
	kept := o.x // what of P hᵀ each state keeps out of the correction
	for i, v := range o.hp {
		kept[i] = 0
		if !take[o.parts[i]] {
			kept[i] = v
		}
	}
	for i, v := range o.hp {
		k, keeps := v/s, kept[i]/s
		row := b.Cov[i*n : i*n+n]
		for j, v := range o.hp {
			row[j] -= k*v - keeps*kept[j]
		}
		row[i] = max(row[i], 1e-12)
	}
}

// variance is that of the figure whose row is o.h, h P hᵀ; it leaves P hᵀ in o.hp.
func (o *Filter) variance() (s float64) {
	n := o.estimate.Layout.N
	thermal.Combine(o.hp, o.h, o.estimate.Cov, n)
	for i, h := range o.h {
		s += h * o.hp[i]
	}
	return s
}

func (o *Filter) clearRow() {
	for i := range o.h {
		o.h[i] = 0
	}
}

// Clone is a filter with the same estimate that goes its own way.
func (o *Filter) Clone() *Filter {
	c := New(o.cfg)
	cov := c.estimate.Cov
	c.estimate = o.estimate
	c.estimate.Cov = cov
	copy(cov, o.estimate.Cov)
	c.started, c.flow, c.disagree, c.bias = o.started, o.flow, o.disagree, o.bias
	c.supply, c.ambientK, c.startKg = o.supply, o.ambientK, o.startKg
	c.colder, c.read, c.trust = o.colder, o.read, o.trust
	return c
}
