// Package learn fits the wall model to earlier fills and tells how sure the
// fit is.
package learn

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wrongfile"
)

// Fill is one recorded fill. Temperatures are K, pressures gauge Pa; NaN is a
// reading that was not taken. Wall holds a series for each station, nil where
// no sensor was attached.
type Fill struct {
	Name       string
	TimeS      []float64
	PressurePa []float64
	GasK       []float64
	AmbientK   []float64
	SupplyPa   []float64 // in the supply cylinder, gauge; nil: not read
	SupplyK    []float64 // in the line to the inlet; nil: not read
	Wall       [vessel.StationsMost][]float64
	Surface    []Surface
}

// Surface is one hand-held reading of the outer skin.
type Surface struct {
	TimeS   float64
	Station int
	K       float64
}

// Steps of a prepared fill, s: fine while gas flows, coarse while it stands.
const (
	fineS     = 1.0
	coarseS   = 4.0
	flowingPa = 0.015e5 // pressure change per second that counts as flow
	binsMost  = 6000
	binsLeast = 20
)

// bin is the mean of a fill's readings over one step.
type bin struct {
	timeS, dtS float64
	pPa        float64 // gauge
	gasK       float64
	ambientK   float64
	supplyPa   float64 // gauge
	supplyK    float64
	inletK     float64 // what the inflow is counted from, 0: ambient
	wall       [vessel.StationsMost]float64
}

// bins averages a fill over steps. Pressure is smoothed over neighbours, so
// that noise is not taken for gas flowing in and out.
func (f *Fill) bins() ([]bin, error) {
	fine := f.average()
	if len(fine) < binsLeast {
		return nil, &wrongfile.Error{File: f.Name, What: fmt.Sprintf("only %d seconds with a pressure reading", len(fine)), Do: "give a fill with at least a minute of pressure and gas temperature"}
	}
	known := 0
	for i := range fine {
		if !math.IsNaN(fine[i].gasK) {
			known++
		}
	}
	if known < binsLeast {
		return nil, &wrongfile.Error{File: f.Name, What: "no gas temperature to learn from", Do: "a fill needs a gas probe (CSV: a gas_c column)"}
	}
	smooth(fine)
	f.fillAmbient(fine)
	return merge(fine), nil
}

func (f *Fill) average() []bin {
	var out []bin
	var sum, n [5 + vessel.StationsMost]float64
	from := math.NaN()
	flush := func(end float64) {
		if n[0] == 0 || len(out) >= binsMost {
			return
		}
		b := bin{timeS: end, pPa: sum[0] / n[0], gasK: sum[1] / n[1], ambientK: sum[2] / n[2], supplyPa: sum[3] / n[3], supplyK: sum[4] / n[4]}
		for s := range b.wall {
			b.wall[s] = sum[5+s] / n[5+s]
		}
		out = append(out, b)
		sum, n = [5 + vessel.StationsMost]float64{}, [5 + vessel.StationsMost]float64{}
	}
	add := func(i int, x float64) {
		if !math.IsNaN(x) {
			sum[i] += x
			n[i]++
		}
	}
	var times, count float64
	for i, t := range f.TimeS {
		if math.IsNaN(from) {
			from = t
		}
		if t >= from+fineS-1e-9 && count > 0 {
			flush(times / count)
			from, times, count = t, 0, 0
		}
		times += t
		count++
		add(0, f.PressurePa[i])
		add(1, at(f.GasK, i))
		add(2, at(f.AmbientK, i))
		add(3, at(f.SupplyPa, i))
		add(4, at(f.SupplyK, i))
		for s := range f.Wall {
			add(5+s, at(f.Wall[s], i))
		}
	}
	if count > 0 {
		flush(times / count)
	}
	return out
}

func at(x []float64, i int) float64 {
	if i >= len(x) {
		return math.NaN()
	}
	return x[i]
}

// smooth weighs each pressure with its neighbours 1:2:1.
func smooth(b []bin) {
	p := make([]float64, len(b))
	for i := range b {
		p[i] = b[i].pPa
	}
	for i := 1; i+1 < len(b); i++ {
		b[i].pPa = 0.25*p[i-1] + 0.5*p[i] + 0.25*p[i+1]
	}
}

// fillAmbient puts the mean ambient where none was read; a fill without any
// takes its first gas reading.
func (f *Fill) fillAmbient(b []bin) {
	last := math.NaN()
	for i := range b {
		if !math.IsNaN(b[i].ambientK) {
			last = b[i].ambientK
			break
		}
	}
	for i := 0; math.IsNaN(last) && i < len(b); i++ {
		last = b[i].gasK
	}
	for i := range b {
		if math.IsNaN(b[i].ambientK) {
			b[i].ambientK = last
		}
		last = b[i].ambientK
	}
}

// merge joins the seconds in which little flows into coarser steps.
func merge(fine []bin) []bin {
	out := []bin{fine[0]}
	for i := 1; i < len(fine); {
		j := i
		for j+1 < len(fine) && fine[j+1].timeS-out[len(out)-1].timeS <= coarseS+0.5 && quiet(fine, i-1, j+1) {
			j++
		}
		b := fine[j]
		b.dtS = b.timeS - out[len(out)-1].timeS
		out = append(out, b)
		i = j + 1
	}
	return out
}

// quiet tells whether the pressure barely moves between two bins.
func quiet(b []bin, i, j int) bool {
	dt := b[j].timeS - b[i].timeS
	return dt > 0 && math.Abs(b[j].pPa-b[i].pPa) < flowingPa*dt
}
