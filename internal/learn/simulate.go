package learn

import (
	"math"

	"fillwright/internal/gas"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wallmodel"
)

// Parameters that each fill has for itself: the inflow's deviation, the gas
// probe's bias, the day's inside film and outside coefficient over the usual
// ones (logarithms), for each side its outside equilibrium and the wall at the
// start, since the sun may have been on it for five minutes or for an hour, and
// for each place what its readings are off by.
const (
	localInflow = iota
	localBias
	localFilm
	localOutside
	localFirst // then OutK and start of each side, then each place
)

// Noise of the readings and what the model can't follow of them, one sigma,
// as the fit weighs them. Weighed by the sensors' noise alone, a thousand
// readings would bend a parameter far from the handbook to mend a tenth of a
// kelvin that has other causes.
const (
	sigmaGasK     = 0.9
	sigmaSkinK    = 0.8
	sigmaSurfaceK = 0.7
	everyGasS     = 8.0  // a bead reading this often counts as one: what gusts, clouds and
	everySkinS    = 20.0 // layers do to the readings lasts for a while
	followPerS    = 0.08 // gain at which the simulated gas follows the bead
)

// prepared is a fill ready to be simulated.
type prepared struct {
	name    string
	model   *thermal.Model
	bins    []bin
	useGas  []bool
	useSkin [][vessel.StationsMost]bool
	skins   bool // some of them do
	surface []surfaceAt
	farRead bool  // a reading stands at a far end
	hold    []int // bins of a hold, by which the inventory is judged
	n       int   // residuals of the readings
	readsAt []int // what each of them reads: a place, or readsGas
	startK  float64
	under   bool // starts under pressure
	inlet   thermal.Inlet
	inflow  prior // of this fill's deviation from the others' inflow
	gains   thermal.SunGains
}

// readsGas stands for the gas probe in place of a place.
const readsGas = -1

type surfaceAt struct {
	bin, station int
	k            float64
}

// prepare bins a fill and decides which readings count.
func prepare(f *Fill, v *vessel.Profile, fluid thermal.Fluid, cells int) (*prepared, error) {
	b, err := f.bins()
	if err != nil {
		return nil, err
	}
	p := &prepared{name: f.Name, model: thermal.NewModel(v, fluid, cells), bins: b}
	p.useGas = make([]bool, len(b))
	p.useSkin = make([][vessel.StationsMost]bool, len(b))
	nextGas := math.Inf(-1)
	var nextSkin [vessel.StationsMost]float64
	for i := 1; i < len(b); i++ {
		if !math.IsNaN(b[i].gasK) && b[i].timeS >= nextGas {
			p.useGas[i], nextGas = true, b[i].timeS+everyGasS
			p.n++
			p.readsAt = append(p.readsAt, readsGas)
		}
		for s := range v.Stations {
			if !math.IsNaN(b[i].wall[s]) && b[i].timeS >= nextSkin[s] {
				p.useSkin[i][s], nextSkin[s], p.skins = true, b[i].timeS+everySkinS, true
				p.n++
				p.readsAt = append(p.readsAt, s)
			}
		}
		p.takeSurface(f, i)
	}
	if p.hold = hold(b, p.model.AmbientPa); p.hold != nil {
		for range len(p.hold) + 1 { // and the leak
			p.n++
			p.readsAt = append(p.readsAt, readsGasMass)
		}
	}
	for i := range b {
		if !math.IsNaN(b[i].gasK) {
			p.startK = b[i].gasK
			break
		}
	}
	p.under = b[0].pPa > vessel.UnderPressurePa
	p.farRead = p.model.FarShare > 0 && p.readsFar()
	p.inlet = inletOf(b, p.model)
	p.inflow = prior{0, wallmodel.HandbookDay.InflowK}
	p.gains = wallmodel.HandbookGains(v)
	return p, nil
}

// takeSurface puts hand-held readings at the bin that they fall into.
func (p *prepared) takeSurface(f *Fill, i int) {
	from := p.bins[i-1].timeS
	if i == 1 {
		from = math.Inf(-1)
	}
	for _, s := range f.Surface {
		if s.TimeS > from && s.TimeS <= p.bins[i].timeS && s.Station >= 0 && s.Station < p.model.PlaceCount && p.possible(i, s.K) {
			p.surface = append(p.surface, surfaceAt{i, s.Station, s.K})
			p.n++
			p.readsAt = append(p.readsAt, s.Station)
		}
	}
}

// possible judges a hand-held reading as the live estimate does.
func (p *prepared) possible(i int, surfaceK float64) bool {
	b := &p.bins[i]
	return thermal.ReadingPossible(surfaceK, b.ambientK, b.gasK)
}

// locals is how many parameters a fill has for itself.
func (p *prepared) locals() int {
	n := p.localPlace(p.model.PlaceCount)
	if p.farRead {
		n++
	}
	return n
}

// localFar is where what the layers do at a far end that is read lies, over what they
// do elsewhere.
func (p *prepared) localFar() int { return p.localPlace(p.model.PlaceCount) }

// localPlace is where what is a place's own lies.
func (p *prepared) localPlace(place int) int { return localFirst + 2*p.model.Sides + place }

// start puts the likeliest values of a fill's own parameters into x, and the
// deviation from its priors into r (see priors).
func (p *prepared) start(x []float64) {
	ambient := p.bins[0].ambientK
	for i := range x {
		x[i] = 0
	}
	x[localInflow] = p.inflow.mean
	shade := ambient + warmed*p.gains.Shade.MeanK
	if first := p.firstRead(thermal.SideShade); !math.IsNaN(first) {
		shade = first
	}
	sun := shade + warmed*p.gains.Lit.MeanK
	if first := p.firstRead(thermal.SideSun); !math.IsNaN(first) {
		sun = first
	}
	for side, first := range []float64{sun, shade} {
		x[localFirst+2*side] = ambient + math.Max(first-ambient, 0)/warmed
		x[localFirst+2*side+1] = first
	}
}

// firstRead is the first reading of a place that shows a side rather than the
// other; NaN when there is none.
func (p *prepared) firstRead(side int) float64 {
	shows := func(place int) bool { return (p.model.Places[place].Sun >= 0.5) == (side == thermal.SideSun) }
	for _, r := range p.surface {
		if shows(r.station) {
			return r.k
		}
	}
	for i := range p.bins {
		for k := range p.model.PlaceCount {
			if shows(k) && !math.IsNaN(p.bins[i].wall[k]) {
				return p.bins[i].wall[k]
			}
		}
	}
	return math.NaN()
}

// Priors of a fill's own parameters (the same reasoning as the live start).
const (
	biasSigmaK  = 0.5
	warmed      = 0.8
	warmSigmaK  = 5.0
	underSigmaK = 10.0
)

// farLayersSigma is one sigma of how much more of the layers a place at the far end sees
// than one within the jet's reach. Layers lie on top, not under the sun: with the sun 50°
// high, places 15° to either side of its line see 0.9 and 0.6 of them; and half the spread
// of the gas was 0.06 to 0.47 of gas minus wall where it was measured
// (internal/wallmodel/testdata), the less the more it was stirred. Common practice, no
// source.
const farLayersSigma = 0.6

// layersAtFar is the model with places at the far end that see so much more of the
// layers, as a share.
func (p *prepared) layersAtFar(more float64) *thermal.Model {
	m := *p.model
	for i := range m.PlaceCount {
		if m.Places[i].OfFar > 0 {
			m.Places[i].OfLayer *= 1 + more
		}
	}
	return &m
}

// priors writes the deviations of a fill's own parameters from what is
// likely, in sigma.
func (p *prepared) priors(x, r []float64) {
	ambient := p.bins[0].ambientK
	r[localInflow] = (x[localInflow] - p.inflow.mean) / p.inflow.sigma
	r[localBias] = x[localBias] / biasSigmaK
	r[localFilm] = x[localFilm] / wallmodel.HandbookDay.FilmLn
	r[localOutside] = x[localOutside] / wallmodel.HandbookDay.OutsideLn
	for i := range p.model.PlaceCount {
		r[p.localPlace(i)] = x[p.localPlace(i)] / p.model.Places[i].LocalK
	}
	if at := p.localFar(); p.farRead {
		r[at] = x[at] / farLayersSigma
	}
	outs := [thermal.SidesMost]float64{x[localFirst], x[localFirst+2]}
	r[localFirst] = (outs[thermal.SideSun] - outs[thermal.SideShade] - p.gains.Lit.MeanK) / p.gains.Lit.SigmaK
	r[localFirst+2] = (outs[thermal.SideShade] - ambient - p.gains.Shade.MeanK) / p.gains.Shade.SigmaK
	for s, out := range outs {
		wall, at := x[localFirst+2*s+1], localFirst+2*s+1
		if p.under {
			r[at] = (wall - 0.5*(p.startK+out)) / underSigmaK
		} else {
			r[at] = (wall - ambient - warmed*(out-ambient)) / warmSigmaK
		}
	}
}

// residuals simulates the fill and writes (read − simulated)/σ of every
// reading that counts. The simulated gas follows the bead slowly, as the live
// filter's does, so that a drifting inflow temperature does not bend the wall.
func (p *prepared) residuals(par thermal.Params, x, r []float64) {
	m, b := p.model, p.bins
	if p.farRead {
		m = p.layersAtFar(x[p.localFar()])
	}
	par[thermal.ParInflow] += x[localInflow]
	par[thermal.ParLnFilm] += x[localFilm]
	par[thermal.ParJet] *= math.Exp(0.5 * x[localFilm]) // it is held as a square root
	par[thermal.ParLnOutside] += x[localOutside]
	bias := x[localBias]
	s := m.Uniform(p.startK - bias)
	for i := 0; i < m.Sides; i++ {
		s.OutK[i] = x[localFirst+2*i]
		for j := 0; j < m.Cells; j++ {
			s.Wall[i][j] = x[localFirst+2*i+1]
		}
	}
	for i := range m.PlaceCount {
		sun := m.Places[i].Sun
		s.SkinK[i] = sun*s.Wall[thermal.SideSun][0] + (1-sun)*s.Wall[thermal.SideShade][0]
	}
	for i := range m.PlaceCount {
		s.LocalK[i] = x[p.localPlace(i)]
		s.SkinK[i] += s.LocalK[i]
	}
	at, next := 0, 0
	held := make([]float64, 0, len(p.hold))
	stepper := m.Stepper(&par, p.skins)
	if p.under {
		s.WaterK = b[0].ambientK // it follows the gas but slowly
	}
	for i := 1; i < len(b); i++ {
		s.Supply.TempK = b[i].inletK
		f := stepper.Open(&s, b[i-1].pPa+m.AmbientPa, b[i].pPa+m.AmbientPa, b[i].ambientK, b[i].dtS)
		if !math.IsNaN(b[i].gasK) {
			e := b[i].gasK - bias - s.BeadK
			if p.useGas[i] {
				r[at] = e / sigmaGasK
				at++
			}
			share := -math.Expm1(-followPerS * b[i].dtS)
			s.GasK += share * e
			s.BeadK += share * e
		}
		for k := range m.PlaceCount {
			if p.useSkin[i][k] {
				r[at] = (b[i].wall[k] - s.SkinK[k]) / sigmaSkinK
				at++
			}
		}
		if k := len(held); k < len(p.hold) && p.hold[k] == i {
			held = append(held, m.Fluid.DensityKgM3(s.GasK, b[i].pPa+m.AmbientPa))
		}
		for next < len(p.surface) && p.surface[next].bin == i {
			q := p.surface[next]
			wall := m.At(&s, &par, q.station, f.DensityKgM3, f.InflowKgS)
			r[at] = (q.k - par.HandK(wall.OuterK, b[i].ambientK)) / sigmaSurfaceK
			at++
			next++
		}
	}
	if len(p.hold) > 0 {
		inventory(b, p.hold, held, r[at:])
	}
}

// fluidOf is the gas that fits are made with.
func fluidOf(v *vessel.Profile) thermal.Fluid { return gas.Table(v.Gas) }
