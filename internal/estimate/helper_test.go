package estimate

import (
	"math"
	"math/rand/v2"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// plover is an invented vessel of ten litres with a sunny and a shaded side.
func plover(cells int) *thermal.Model {
	return &thermal.Model{
		Fluid: gas.Table(gas.Air), VolumeM3: 0.0102, AmbientPa: 101325,
		Sides: 2, AreaM2: [thermal.SidesMost]float64{0.14, 0.3}, Round: true,
		PlaceCount: 2, Places: [thermal.PlacesMost]thermal.Place{{Sun: 1, LocalK: 0.5}, {LocalK: 0.5}},
		Cells: cells, ThicknessM: 0.0028, ConductivityWMK: 0.55, AreaHeatJM2K: 1480 * 1050 * 0.0028,
	}
}

// config is an observer's start from handbook values; skin gives each side a
// sensor.
func config(cells int, skin bool) Config {
	l := wallmodel.Handbook()
	c := Config{Model: plover(cells), Params: l.Params, ParCov: l.Cov, DiscrepancyK: l.DiscrepancyK, Bias: l.Bias}
	c.Gains = thermal.SunGains{Shade: thermal.Normal{MeanK: 2, SigmaK: 3}, Lit: thermal.Normal{MeanK: 8, SigmaK: 5}}
	c.Skin[0], c.Skin[1] = skin, skin
	return c
}

// known is config with every parameter known exactly.
func known(cells int, skin bool) Config {
	c := config(cells, skin)
	c.ParCov = [thermal.ParCount][thermal.ParCount]float64{}
	return c
}

const (
	ambientK = 295.0
	stepS    = 0.2
)

// twin is a true vessel drawn from an observer's own prior, with the
// observer: truth and filter share the model.
type twin struct {
	o     *Filter
	truth thermal.State
	par   thermal.Params
	bias  float64
	pPa   float64
	rng   *rand.Rand
}

// newTwin starts the filter and draws the truth from its start estimate.
func newTwin(cfg Config, seed uint64, pPa float64) *twin {
	w := &twin{o: New(cfg), rng: rand.New(rand.NewPCG(seed, 17)), pPa: pPa}
	w.o.Start(ambientK+1, ambientK, pPa, false)
	b := w.o.Estimate()
	n := b.Layout.N
	// Cholesky of the start covariance, plain and apart from the one tested.
	root := make([]float64, n*n)
	for i := 0; i < n; i++ {
		for j := 0; j <= i; j++ {
			sum := b.Cov[i*n+j]
			for k := 0; k < j; k++ {
				sum -= root[i*n+k] * root[j*n+k]
			}
			switch {
			case i == j:
				root[i*n+i] = math.Sqrt(math.Max(sum, 0))
			case root[j*n+j] > 0:
				root[i*n+j] = sum / root[j*n+j]
			}
		}
	}
	x, z := make([]float64, n), make([]float64, n)
	w.truth, w.par = b.State, b.Params
	b.Layout.Pack(&w.truth, 0, &w.par, x)
	for i := range z {
		z[i] = w.rng.NormFloat64()
	}
	for i := range x {
		for j := 0; j <= i; j++ {
			x[i] += root[i*n+j] * z[j]
		}
	}
	b.Layout.Unpack(x, &w.truth, &w.bias, &w.par)
	return w
}

// step goes stepS on at a ramp; what stirs and gusts are is drawn as the
// filter supposes. The bead's noise is correlated over a second (as the
// filter supposes too), so it is drawn as an autoregression.
func (w *twin) step(rampPaS float64, bead func(trueK float64) (float64, bool)) {
	p2 := w.pPa + rampPaS*stepS
	b := w.o.Estimate()
	if rampPaS == 0 {
		p2 = b.Model.Forecast(w.truth, &w.par, w.pPa, thermal.Plan{HorizonS: stepS, AmbientK: ambientK}, nil).EndPa
	}
	b.Model.StepOpen(&w.truth, &w.par, w.pPa, p2, ambientK, stepS)
	root := math.Sqrt(stepS)
	w.truth.GasK += noiseGasK * root * w.rng.NormFloat64()
	w.truth.BeadK += noiseBeadK * root * w.rng.NormFloat64()
	w.truth.FarK += noiseExcessK * root * w.rng.NormFloat64()
	w.truth.ExcessK += noiseExcessK * root * w.rng.NormFloat64()
	for i := 0; i < b.Model.Sides; i++ {
		drift := []float64{b.SunDriftK(), thermal.ShadeDriftK}[i]
		w.truth.OutK[i] += drift * root * w.rng.NormFloat64()
		for j := 0; j < b.Model.Cells; j++ {
			w.truth.Wall[i][j] += noiseWallK * root * w.rng.NormFloat64()
		}
	}
	w.o.Predict(w.pPa, p2, ambientK, stepS)
	w.pPa = p2
	if k, ok := bead(w.truth.BeadK + w.bias); ok {
		w.o.CorrectGas(k, stepS)
	}
}

// noisy is a bead with the noise that the filter supposes.
func (w *twin) noisy() func(float64) (float64, bool) {
	keep := math.Exp(-stepS / beadCorrelationS)
	e := sigmaBeadK * w.rng.NormFloat64()
	return func(k float64) (float64, bool) {
		e = keep*e + math.Sqrt(1-keep*keep)*sigmaBeadK*w.rng.NormFloat64()
		return k + e, true
	}
}

func silent(float64) (float64, bool) { return 0, false }

// checkCov proves that a covariance is finite, symmetric and positive.
func checkCov(t must.Test, b *thermal.Estimate) {
	t.Helper()
	n := b.Layout.N
	l := make([]float64, n*n)
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			a, c := b.Cov[i*n+j], b.Cov[j*n+i]
			must.Need(t, !math.IsNaN(a) && !math.IsInf(a, 0), "covariance of %d, %d is %v", i, j, a)
			must.Need(t, math.Abs(a-c) <= 1e-9*(1e-9+math.Sqrt(math.Abs(b.Cov[i*n+i]*b.Cov[j*n+j]))),
				"covariance lopsided at %d, %d: %v and %v", i, j, a, c)
		}
	}
	// Cholesky on the scaled matrix, with a hair's breadth for rounding.
	for i := 0; i < n; i++ {
		for j := 0; j <= i; j++ {
			scale := math.Sqrt(b.Cov[i*n+i] * b.Cov[j*n+j])
			must.Need(t, scale > 0, "variance of %d or %d is not positive", i, j)
			sum := b.Cov[i*n+j] / scale
			if i == j {
				sum += 1e-6
			}
			for k := 0; k < j; k++ {
				sum -= l[i*n+k] * l[j*n+k]
			}
			if i == j {
				must.Need(t, sum > 0, "covariance is not positive at %d: %v", i, sum)
				l[i*n+i] = math.Sqrt(sum)
			} else {
				l[i*n+j] = sum / l[j*n+j]
			}
		}
	}
}
