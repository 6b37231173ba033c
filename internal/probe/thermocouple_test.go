package probe

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

var thermoKinds = []vessel.Kind{vessel.KindE, vessel.KindJ, vessel.KindK, vessel.KindN, vessel.KindT}

// rows reads a table of testdata without its header line.
func rows(t testing.TB, file string) [][]string {
	t.Helper()
	return must.Rows(t, "testdata/"+file, 2)[1:]
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	return must.Get(strconv.ParseFloat(s, 64))(t)
}

// EMF gives every tabulated emf to the printed microvolt. Source: NIST
// Monograph 175 tables (SRD 60).
func TestEMFAgainstTable(t *testing.T) {
	table := rows(t, "thermocouple_emf_table.csv")
	must.Need(t, len(table) >= 1500, "only %d rows", len(table))
	worst := 0.0
	for _, row := range table {
		tempC, mv := number(t, row[1]), number(t, row[2])
		v := must.Get(EMF(vessel.Kind(row[0]), tempC+zeroCK))(t)
		d := math.Abs(v*1e3 - mv)
		worst = math.Max(worst, d)
		must.Be(t, d <= 0.0005+1e-9, "%s at %v °C: %v mV, table %v", row[0], tempC, v*1e3, mv)
	}
	t.Logf("worst of %d: %.6f mV", len(table), worst)
}

// The inverse of a tabulated emf is the tabulated temperature, to the
// rounding of the table (0.0005 mV over the sensitivity).
func TestTemperatureAgainstTable(t *testing.T) {
	used := 0
	for _, row := range rows(t, "thermocouple_emf_table.csv") {
		kind, tempC, mv := vessel.Kind(row[0]), number(t, row[1]), number(t, row[2])
		if tempC < -200 && kind != vessel.KindJ {
			continue
		}
		slope := must.Get(Sensitivity(kind, tempC+zeroCK))(t)
		got, err := TemperatureK(kind, mv*1e-3)
		must.Be(t, err == nil && math.Abs(got-zeroCK-tempC) <= 0.0005e-3/slope*1.01+1e-6,
			"%s %v mV: %v °C, %v; table %v", kind, mv, got-zeroCK, err, tempC)
		used++
	}
	must.Be(t, used >= 1300, "only %d rows used", used)
}

// The inverse undoes the forward function to 1e-6 °C over the whole range,
// far below the 0.01 °C that the job asks for.
func TestInverseUndoesEMF(t *testing.T) {
	for _, kind := range thermoKinds {
		l := letterOf(kind)
		least, most := -200.0, l.forward[len(l.forward)-1].mostC
		if kind == vessel.KindJ {
			least = -210
		}
		worst, worstAt := 0.0, 0.0
		for i := range 200001 {
			tempC := least + (most-least)*float64(i)/200000
			v := must.Get(EMF(kind, tempC+zeroCK))(t)
			got, ok := l.temperatureC(v * 1e3)
			must.Need(t, ok, "%s: no inverse at %v °C", kind, tempC)
			if d := math.Abs(got - tempC); d > worst {
				worst, worstAt = d, tempC
			}
		}
		t.Logf("%s: worst %.2g °C at %.2f °C", kind, worst, worstAt)
		must.Be(t, worst <= 1e-6, "%s: inverse is off by %v °C at %v °C", kind, worst, worstAt)
	}
}

// Emf rises with temperature everywhere above -200 °C, and the slope is that
// of the function itself.
func TestSensitivityIsTheSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(thermoKinds).Draw(t, "kind")
		l := letterOf(kind)
		tempC := rapid.Float64Range(-199, l.forward[len(l.forward)-1].mostC-1).Draw(t, "tempC")
		slope, err := Sensitivity(kind, tempC+zeroCK)
		must.Need(t, err == nil && slope > 0, "%s at %v: %v, %v", kind, tempC, slope, err)
		const h = 0.01
		for i := range l.forward { // the pieces meet with a small step in slope
			if math.Abs(tempC-l.forward[i].mostC) < h {
				return
			}
		}
		up, _ := l.at(tempC + h)
		down, _ := l.at(tempC - h)
		d := math.Abs((up-down)/(2*h)*1e-3/slope - 1)
		must.Need(t, d <= 1e-5, "%s at %v: slope %v differs by %v", kind, tempC, slope, d)
	})
}

// The pieces of each reference function meet: at 0 °C in 0 mV, at 760 °C for J.
func TestPiecesMeet(t *testing.T) {
	for _, kind := range thermoKinds {
		l := letterOf(kind)
		for i := 1; i < len(l.forward); i++ {
			edge := l.forward[i].leastC
			must.Need(t, edge == l.forward[i-1].mostC, "%s: a gap at %v °C", kind, edge)
			below, _ := l.at(math.Nextafter(edge, -1e3))
			above, _ := l.at(edge)
			must.Be(t, math.Abs(above-below) <= 2e-6 && (edge != 0 || math.Abs(above) <= 2e-6), "%s at %v °C: %v and %v mV", kind, edge, below, above)
		}
	}
}

// A thermocouple between two fixed points: V = E(t) − E(cold) gives t back
// with the cold end at either. Source of the points: see the table.
func TestJunctionAtFixedPoints(t *testing.T) {
	points := rows(t, "fixed_points.csv")
	for _, kind := range thermoKinds {
		for _, hot := range points {
			for _, cold := range points {
				hotK, coldK := number(t, hot[1]), number(t, cold[1])
				hotV, err1 := EMF(kind, hotK)
				coldV, err2 := EMF(kind, coldK)
				got, err3 := JunctionK(kind, hotV-coldV, coldK)
				err := errors.Join(err1, err2, err3)
				must.Be(t, err == nil && math.Abs(got-hotK) <= 1e-6, "%s %s from %s: %v, %v; want %v", kind, hot[0], cold[0], got, err, hotK)
			}
		}
	}
	// The steam point's emf for K in the table: 4.096 mV at 100 °C, 41.4 µV/K
	// there, so 4.095 mV at 99.974 °C.
	if v, err := EMF(vessel.KindK, 373.124); err != nil || math.Abs(v*1e3-4.095) > 0.0005 {
		t.Errorf("K at the steam point: %v mV, %v", v*1e3, err)
	}
}

// Outside of their ranges the functions refuse and say what the range is.
func TestRangeErrors(t *testing.T) {
	for _, kind := range thermoKinds {
		for _, tempK := range []float64{0, 2000, math.NaN(), math.Inf(1)} {
			v, err := EMF(kind, tempK)
			must.Be(t, err != nil && strings.Contains(err.Error(), "is outside of -2") && math.IsNaN(v), "EMF(%s, %v) = %v, %v", kind, tempK, v, err)
		}
		for _, volts := range []float64{-0.012, 0.09, math.NaN(), math.Inf(-1)} {
			k, err := TemperatureK(kind, volts)
			must.Be(t, err != nil && strings.Contains(err.Error(), "is outside of -") && math.IsNaN(k), "TemperatureK(%s, %v) = %v, %v", kind, volts, k, err)
		}
	}
	_, err1 := EMF(vessel.KindLoop, 300)
	_, err2 := TemperatureK("", 0)
	_, err3 := JunctionK(vessel.KindCelsius, 0, 300)
	for _, err := range []error{err1, err2, err3} {
		must.Be(t, err != nil && strings.Contains(err.Error(), "expected K, T, J, N or E"), "a kind that is no thermocouple: %v", err)
	}
}

// Tolerances against the rows of IEC 60584-1 (see the table's header), at
// both ends of each class and where the two rules cross.
func TestTolerance(t *testing.T) {
	table := rows(t, "thermocouple_tolerances.csv")
	must.Be(t, len(table) == len(tolerances), "%d rows, the standard has %d", len(tolerances), len(table))
	for _, row := range table {
		kind, class := vessel.Kind(row[0]), int(number(t, row[1]))
		least, most, fixed, share := number(t, row[2]), number(t, row[3]), number(t, row[4]), number(t, row[5])
		for _, tempC := range []float64{least, most, 0, fixed / share * math.Copysign(1, most-100)} {
			want := math.Max(fixed, share*math.Abs(tempC))
			got, err := Tolerance(kind, tempC+zeroCK, class)
			must.Be(t, err == nil && math.Abs(got-want) <= 1e-9, "%s class %d at %v °C: %v, %v; want %v", kind, class, tempC, got, err, want)
		}
		if _, err := Tolerance(kind, most+1+zeroCK, class); err == nil || !strings.Contains(err.Error(), "is outside of") {
			t.Errorf("%s class %d beyond its end: %v", kind, class, err)
		}
	}
	if _, err := Tolerance(vessel.KindJ, 273.15, 3); err == nil {
		t.Error("J has no class 3")
	}
}

// No emf makes the inverse panic or return a number that is none.
func FuzzTemperature(f *testing.F) {
	for _, v := range []float64{0, 4.096e-3, -5.89e-3, 0.0545, -1, math.Inf(1), math.NaN(), 1e-300} {
		f.Add(v)
	}
	f.Fuzz(func(t *testing.T, volts float64) {
		for _, kind := range thermoKinds {
			k, err := TemperatureK(kind, volts)
			must.Be(t, err != nil || k > 50 && k < 1700, "%s %v V: %v K", kind, volts, k)
		}
	})
}
