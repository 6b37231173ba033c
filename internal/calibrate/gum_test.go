package calibrate

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"fillwright/internal/must"
)

// The end gauge of JCGM 100:2008, H.1 (values from memory): components 25,
// 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2 degrees of freedom combine to
// 32 nm with 16.7 of them, and t₉₉(16) = 2.92 gives 93 nm.
func TestGumEndGauge(t *testing.T) {
	b := Budget{{"standard", 25, 18}, {"comparator", 9.7, 25.6}, {"expansion", 2.9, 50}, {"temperature", 16.6, 2}}
	u, dof := b.Combined()
	must.Near(t, "combined, nm", u, 32, 0.5)
	must.Near(t, "degrees of freedom", dof, 16.7, 0.1)
	must.Near(t, "t99", Student(0.99, math.Floor(dof)), 2.92, 0.005)
	must.Near(t, "expanded, nm", Student(0.99, math.Floor(dof))*u, 93, 1)
	// H.1.6: the comparator's own three: 5.8, 3.9 and 6.7 nm with 24, 5 and 8.
	u, dof = Budget{{"", 5.8, 24}, {"", 3.9, 5}, {"", 6.7, 8}}.Combined()
	must.Near(t, "comparator, nm", u, 9.7, 0.05)
	must.Near(t, "its degrees of freedom", dof, 25.6, 0.3)
	must.Near(t, "a step of one, F.2.2.1", step(1), 0.29, 0.002)
}

// Table G.2 of JCGM 100:2008 (values from memory).
func TestStudentTable(t *testing.T) {
	for _, row := range []struct{ dof, t95, t9545 float64 }{
		{1, 12.71, 13.97}, {2, 4.30, 4.53}, {3, 3.18, 3.31}, {4, 2.78, 2.87}, {5, 2.57, 2.65},
		{8, 2.31, 2.37}, {10, 2.23, 2.28}, {16, 2.12, 2.17}, {20, 2.09, 2.13}, {50, 2.01, 2.05}, {math.Inf(1), 1.960, 2.000},
	} {
		must.Near(t, "95 %", Student(0.95, row.dof), row.t95, 0.006)
		must.Near(t, "95.45 %", Student(0.9545, row.dof), row.t9545, 0.006)
	}
}

// The standard uncertainty of the mean of an autoregressive series of first
// order is σ·√((1+φ)/(1−φ)/n) (exact for long series; Priestley 1981): ours
// must come to it on average, and to σ/√n where nothing is correlated.
func TestMeanMindsCorrelation(t *testing.T) {
	for _, phi := range []float64{0, 0.5, 0.8} {
		r := rand.New(rand.NewPCG(7, 8))
		var ours, scatter float64
		const runs, n = 400, 60
		for range runs {
			y, e := make([]float64, n), r.NormFloat64()
			for i := range y {
				e = phi*e + math.Sqrt(1-phi*phi)*r.NormFloat64()
				y[i] = e
			}
			m := meanOf(y)
			ours += m.u * m.u / runs
			scatter += m.value * m.value / runs
		}
		ratio := math.Sqrt(ours / scatter)
		must.Be(t, ratio >= 0.75 && ratio <= 1.3, "φ = %v: stated over found is %.2f", phi, ratio)
	}
}

func table(t *testing.T, name string) [][]string {
	t.Helper()
	return must.Rows(t, "testdata/"+name, 3)[1:]
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	return must.Get(strconv.ParseFloat(s, 64))(t)
}

// IAPWS-IF97: the release's check values (table 36, from memory), the steam
// table and the boiling point among the fixed points.
func TestBoiling(t *testing.T) {
	for mpa, k := range map[float64]float64{0.1: 372.755919, 1: 453.035632, 10: 584.149488} {
		must.Near(t, "boiling", BoilingK(mpa*1e6), k, 5e-7)
	}
	for _, row := range table(t, "water_boiling.csv") {
		must.Near(t, row[0]+" kPa", BoilingK(number(t, row[0])*1e3), number(t, row[1]), 1e-6)
	}
	for _, row := range table(t, "fixed_points.csv") {
		if row[0] == "water boiling at 101.325 kPa" {
			must.Near(t, row[0], BoilingK(101325), number(t, row[1]), 1e-3)
		}
	}
	for _, pa := range []float64{0, 600, 23e6, math.NaN()} {
		must.Be(t, math.IsNaN(BoilingK(pa)), "%v Pa boils at %v K", pa, BoilingK(pa))
	}
}

// ICAO standard atmosphere, computed and printed values.
func TestStandardAtmosphere(t *testing.T) {
	for _, row := range table(t, "standard_atmosphere.csv") {
		must.Near(t, row[0]+" m", StandardPa(number(t, row[0])), number(t, row[2]), 0.006)
		if row[4] != "" {
			must.Near(t, row[0]+" m, printed", StandardPa(number(t, row[0])), number(t, row[4]), 0.06)
		}
	}
	must.Be(t, math.IsNaN(StandardPa(20000)) && math.IsNaN(StandardPa(-2000)), "an altitude outside of the layer has a pressure")
}
