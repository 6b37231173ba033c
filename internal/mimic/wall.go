package mimic

import "math"

// The grid. The estimator's models have a handful of cells in a flat wall;
// here the wall is curved and finely cut.
const (
	anglesN = 12
	cellsN  = 20
)

// wall is conduction through the thickness of a curved wall at anglesN
// stations around it, cellsN cells each, with weak conduction around. All
// areas count from the inner surface: a flux is per m² of inner surface.
// Through the thickness the scheme is Crank-Nicolson, around it explicit; the
// fluxes at both faces are given and constant over a step, so that energy
// closes to rounding.
type wall struct {
	condWMK  float64
	cellM    float64
	outOverI float64                  // outer over inner area
	tempK    [anglesN][cellsN]float64 // [0] at the gas
	upSin    [anglesN]float64         // height of each station, −1 bottom … 1 top
	angleRad [anglesN]float64         // as in Weather
	heatJM2K [cellsN]float64          // per m² of inner surface
	joinWM2K [cellsN + 1]float64      // conductance to the previous cell; ends 0
	aroundWK [cellsN]float64          // to the next station, W/(m² K)
	dtS      float64                  // the step the factors below hold for
	upper    [cellsN]float64          // Thomas algorithm, forward sweep
	pivot    [cellsN]float64          //
	inK      [anglesN]float64         // inner face
	outK     [anglesN]float64         // outer skin
	work     [anglesN][cellsN]float64 // right-hand side
}

// newWall cuts the wall; sunHighRad is the angle of station 0.
func newWall(t *Truth, startK, sunHighRad, dtS float64) *wall {
	w := &wall{condWMK: t.ConductivityWMK, cellM: t.ThicknessM / cellsN, dtS: dtS}
	in := t.InnerDiameterM / 2
	arc := 2 * math.Pi * in / anglesN
	w.outOverI = (in + t.ThicknessM) / in
	for i := range cellsN {
		mid := (in + (float64(i)+0.5)*w.cellM) / in
		w.heatJM2K[i] = t.DensityKgM3 * t.SpecificHeatJKgK * w.cellM * mid
		w.aroundWK[i] = t.AroundWMK * w.cellM / (arc * mid * arc)
		if i > 0 {
			w.joinWM2K[i] = t.ConductivityWMK / w.cellM * (in + float64(i)*w.cellM) / in
		}
	}
	for j := range anglesN {
		w.angleRad[j] = sunHighRad + 2*math.Pi*float64(j)/anglesN
		w.upSin[j] = math.Sin(w.angleRad[j])
		w.set(j, startK)
	}
	w.factor()
	return w
}

// set brings station j to one temperature.
func (w *wall) set(j int, tempK float64) {
	w.inK[j], w.outK[j] = tempK, tempK
	for i := range cellsN {
		w.tempK[j][i] = tempK
	}
}

// factor prepares the Thomas algorithm; the matrix never changes.
func (w *wall) factor() {
	prev := 0.0
	for i := range cellsN {
		low, up := -w.joinWM2K[i]/2, -w.joinWM2K[i+1]/2
		diag := w.heatJM2K[i]/w.dtS - low - up
		w.pivot[i] = diag
		if i > 0 {
			w.pivot[i] -= low * prev
		}
		w.upper[i] = up / w.pivot[i]
		prev = w.upper[i]
	}
}

// faceWM2K is the half cell between the inner face and the first cell's middle.
func (w *wall) faceWM2K() float64 { return 2 * w.condWMK / w.cellM }

// step moves the wall by dtS with inW into and outW out of each station, W
// per m² of inner surface.
func (w *wall) step(inW, outW *[anglesN]float64) {
	for j := range anglesN {
		w.fillRight(j, inW[j], outW[j])
	}
	for j := range anglesN {
		rhs, t := &w.work[j], &w.tempK[j]
		carry := 0.0
		for i := range cellsN {
			carry = (rhs[i] + w.joinWM2K[i]/2*carry) / w.pivot[i]
			rhs[i] = carry
		}
		t[cellsN-1] = rhs[cellsN-1]
		for i := cellsN - 2; i >= 0; i-- {
			t[i] = rhs[i] - w.upper[i]*t[i+1]
		}
		w.inK[j] = t[0] + inW[j]/w.faceWM2K()
		w.outK[j] = t[cellsN-1] - outW[j]/(w.faceWM2K()*w.outOverI)
	}
}

// fillRight writes the right-hand side of station j from the old temperatures.
func (w *wall) fillRight(j int, inW, outW float64) {
	t, rhs := &w.tempK[j], &w.work[j]
	next, last := &w.tempK[(j+1)%anglesN], &w.tempK[(j+anglesN-1)%anglesN]
	for i := range cellsN {
		flux := w.aroundWK[i] * (next[i] + last[i] - 2*t[i])
		if i > 0 {
			flux += w.joinWM2K[i] / 2 * (t[i-1] - t[i])
		}
		if i < cellsN-1 {
			flux += w.joinWM2K[i+1] / 2 * (t[i+1] - t[i])
		}
		rhs[i] = w.heatJM2K[i]/w.dtS*t[i] + flux
	}
	rhs[0] += inW
	rhs[cellsN-1] -= outW
}

// meanInK is the mean of the inner faces.
func (w *wall) meanInK() float64 { return mean(&w.inK) }

// meanOutK is the mean of the outer skin.
func (w *wall) meanOutK() float64 { return mean(&w.outK) }

func mean(v *[anglesN]float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / anglesN
}

// hottestK is the hottest point of station j, faces included.
func (w *wall) hottestK(j int) float64 {
	most := max(w.inK[j], w.outK[j])
	for _, t := range w.tempK[j] {
		most = max(most, t)
	}
	return most
}
