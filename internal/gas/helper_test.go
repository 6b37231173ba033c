package gas

import (
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// record is a row of a CSV file in testdata, by column name.
type record struct {
	t      *testing.T
	where  string
	fields map[string]string
}

func (r record) text(name string) string {
	r.t.Helper()
	s, ok := r.fields[name]
	must.Need(r.t, ok, "%s: no column %q", r.where, name)
	return s
}

func (r record) number(name string) float64 {
	r.t.Helper()
	x, err := strconv.ParseFloat(r.text(name), 64)
	must.Need(r.t, err == nil, "%s: column %s: %v", r.where, name, err)
	return x
}

func (r record) species() Species {
	r.t.Helper()
	switch s := r.text("gas"); s {
	case "air":
		return Air
	case "nitrogen":
		return Nitrogen
	default:
		r.t.Fatalf("%s: gas %q", r.where, s)
		return Air
	}
}

// records reads a file and insists on a least number of rows, so that an empty
// or cut file can't pass.
func records(t *testing.T, name string, least int) []record {
	t.Helper()
	rows := must.Rows(t, filepath.Join("testdata", name), least+1)
	var out []record
	for i, row := range rows[1:] {
		r := record{t: t, where: name + ":" + strconv.Itoa(i+2), fields: map[string]string{}}
		for j, column := range rows[0] {
			r.fields[column] = row[j]
		}
		out = append(out, r)
	}
	return out
}

// printed checks got against a printed number to its last printed digit.
func (r record) printed(column string, got float64) {
	r.t.Helper()
	text := r.text(column)
	want := r.number(column)
	decimals := 0
	if at := strings.IndexByte(text, '.'); at >= 0 {
		decimals = len(text) - at - 1
	}
	half := 0.5000001 * math.Pow(10, -float64(decimals))
	must.Be(r.t, math.Abs(got-want) <= half, "%s %s: got %.9g, printed %s", r.where, column, got, text)
}

// near checks got against a column within a relative and an absolute tolerance.
func (r record) near(column string, got, relative, absolute float64) {
	r.t.Helper()
	want := r.number(column)
	must.Be(r.t, math.Abs(got-want) <= relative*math.Abs(want)+absolute, "%s %s: got %.10g, want %.10g", r.where, column, got, want)
}

var bothSpecies = []Species{Air, Nitrogen}

// bisect finds where an increasing function crosses zero.
func bisect(low, high float64, f func(float64) float64) float64 {
	for range 200 {
		mid := low + (high-low)/2
		if f(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// fluid is what the program asks of a gas.
type fluid interface {
	SpecificGasConstant() float64
	DensityKgM3(tempK, pressurePa float64) float64
	PressurePa(tempK, densityKgM3 float64) float64
	UJKg(tempK, densityKgM3 float64) float64
	HJKg(tempK, densityKgM3 float64) float64
	CvJKgK(tempK, densityKgM3 float64) float64
}

// stated is a fluid that gives everything at once.
type stated interface {
	fluid
	State(tempK, densityKgM3 float64) State
}

// at is the state at a temperature and pressure.
func (e *EOS) at(tempK, pressurePa float64) State {
	return e.State(tempK, e.DensityKgM3(tempK, pressurePa))
}
