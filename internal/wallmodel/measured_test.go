package wallmodel

import (
	"math"
	"strconv"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// experiment is a fill or a discharge that somebody measured on a real vessel
// (measured_fills.csv; sources and how sure they are in testdata/README.md).
type experiment struct {
	constant map[string]float64 // SI, pressures in bar absolute
	history  map[string][]point
}

type point struct{ atS, value float64 }

func measuredFill(t *testing.T, name string) *experiment {
	t.Helper()
	e := &experiment{constant: map[string]float64{}, history: map[string][]point{}}
	for _, r := range must.Table(t, "testdata/measured_fills.csv", 400) {
		switch {
		case r["experiment"] != name:
		case r["time_s"] != "":
			q := r["quantity"]
			e.history[q] = append(e.history[q], point{r.Num(t, "time_s"), r.Num(t, "value")})
		default: // texts such as the gas's name are left to the reader
			if v, err := strconv.ParseFloat(r["value"], 64); err == nil {
				e.constant[r["quantity"]] = v
			}
		}
	}
	must.Need(t, len(e.history) != 0, "%s is not among the measured fills", name)
	return e
}

// get is a constant of the experiment.
func (e *experiment) get(t *testing.T, key string) float64 {
	t.Helper()
	v, ok := e.constant[key]
	must.Need(t, ok, "the experiment has no %s", key)
	return v
}

// at is a history between its points.
func at(h []point, s float64) float64 {
	for i := 1; i < len(h); i++ {
		if a, b := h[i-1], h[i]; s <= b.atS || i == len(h)-1 {
			w := math.Min(math.Max((s-a.atS)/(b.atS-a.atS), 0), 1)
			return a.value + w*(b.value-a.value)
		}
	}
	return h[0].value
}

// mid joins the hottest and the coldest gas to one history, and half their
// spread.
func (e *experiment) mid() (mean, half []point) {
	low := e.history["gas_low"]
	for _, p := range e.history["gas_high"] {
		if p.atS < low[0].atS || p.atS > low[len(low)-1].atS {
			continue
		}
		l := at(low, p.atS)
		mean = append(mean, point{p.atS, 0.5 * (p.value + l)})
		half = append(half, point{p.atS, 0.5 * math.Abs(p.value-l)})
	}
	return mean, half
}

// steel is a wall of steel; heat and conductivity are handbooks'.
func steel(thicknessM float64) vessel.Wall {
	return vessel.Wall{Thickness: quantity.Length(thicknessM), DensityKgM3: 7800, SpecificHeatJKgK: 500, ConductivityWMK: 45}
}

// flatEnded is a tube with flat ends: its profile is as much longer as makes its
// surface π d L that of side and ends.
func flatEnded(diameterM, lengthM float64, w vessel.Wall) *vessel.Profile {
	return tube(diameterM, lengthM+diameterM/2, math.Pi/4*diameterM*diameterM*lengthM, w)
}

// tube is a profile without sun, sensors or stations.
func tube(diameterM, lengthM, volumeM3 float64, w vessel.Wall) *vessel.Profile {
	return &vessel.Profile{
		InnerDiameter: quantity.Length(diameterM), Length: quantity.Length(lengthM), Volume: quantity.Volume(volumeM3),
		AmbientPressure: 101325, Wall: w,
	}
}
