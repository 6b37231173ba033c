package mimic

import (
	"math"
	"sort"
)

// waterPool is liquid water left inside, one temperature, at the bottom. It
// takes heat from the gas through its surface and from the wall that it wets.
// Evaporation is left out: below 60 °C it moves little heat in the minutes of
// a fill (common practice, no source).
type waterPool struct {
	heatJK    float64
	tempK     float64
	surfaceM2 float64
	wet       [anglesN]float64 // part of each station's area under water
}

const (
	waterHeatJM3K = 4.18e6
	waterWallWM2K = 300.0 // still water on a wall, order of magnitude, no source
)

func newWaterPool(t *Truth, startK float64) waterPool {
	p := waterPool{tempK: startK, heatJK: max(t.WaterM3, 0) * waterHeatJM3K}
	share := t.WaterM3 / t.VolumeM3
	if share <= 0 {
		return p
	}
	if t.Upright {
		p.surfaceM2 = math.Pi / 4 * t.InnerDiameterM * t.InnerDiameterM
		for j := range p.wet {
			p.wet[j] = min(share, 1)
		}
		return p
	}
	p.surfaceM2 = 0.8 * t.InnerDiameterM * t.LengthM
	// The lowest stations are wetted first.
	order := make([]int, anglesN)
	height := func(j int) float64 {
		return math.Sin(t.Weather.SunHighRad + 2*math.Pi*float64(j)/anglesN)
	}
	for j := range order {
		order[j] = j
	}
	sort.SliceStable(order, func(a, b int) bool { return height(order[a]) < height(order[b]) })
	left := share * anglesN
	for _, j := range order {
		p.wet[j] = min(max(left, 0), 1)
		left -= p.wet[j]
	}
	return p
}

// step adds gainJ from the gas and exchanges heat with the wetted wall,
// adding to inW; it gives the heat that went to the wall, J.
func (p *waterPool) step(gainJ, areaM2 float64, wallK *[anglesN][cellsN]float64, inW *[anglesN]float64) float64 {
	if p.heatJK <= 0 {
		return 0
	}
	lost := 0.0
	for j := range anglesN {
		q := waterWallWM2K * p.wet[j] * (p.tempK - wallK[j][0])
		inW[j] += q
		lost += q * areaM2 * stepS
	}
	p.tempK += (gainJ - lost) / p.heatJK
	return lost
}
