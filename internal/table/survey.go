package table

import (
	"fmt"
	"math"

	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// Survey is what a table holds at a glance, and what in it looks wrong.
type Survey struct {
	Rows    int
	SpanS   float64 // from the first row to the last
	Columns []ColumnSurvey
	Doubts  []Doubt
}

// ColumnSurvey is one column, in the unit that its name gives.
type ColumnSurvey struct {
	Name        string
	Values      int // cells with a reading
	Blank       int
	Least, Most float64
}

// Doubt is something in a table that looks wrong.
type Doubt struct {
	Column    string
	What      string // what is seen
	Do        string // what was likely meant
	Forbidden bool   // physics does not allow it
}

// String is the doubt in one line.
func (d Doubt) String() string { return d.Column + ": " + d.What + "; " + d.Do }

// Survey reads the table to its end. P may be nil: then nothing is held against
// the vessel. Told, which may be nil, is called now and then meanwhile.
func (c *Reader) Survey(p *vessel.Profile, told func()) (*Survey, error) {
	n := 0
	err := recording.Each(c, func(wire.Frame) error {
		if n++; told != nil && n%1024 == 0 {
			told()
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return c.survey(p), nil
}

// survey is the table as far as it was read.
func (c *Reader) survey(p *vessel.Profile) *Survey {
	s := &Survey{Rows: c.rows, SpanS: float64(c.last) / 1000}
	for i := range c.cols {
		col, t := &c.cols[i], &c.traces[i]
		if col.use == useTime || col.use == useNote {
			continue
		}
		one := ColumnSurvey{Name: col.name, Values: t.n, Blank: c.rows - t.n, Least: math.NaN(), Most: math.NaN()}
		if t.n > 0 {
			one.Least, one.Most = col.written(t.least), col.written(t.most)
		}
		s.Columns = append(s.Columns, one)
	}
	s.Doubts = doubtsOf(c, p)
	return s
}

// written is a wire value in the unit of the column.
func (col *column) written(v float64) float64 { return v/col.unit.scale + col.unit.zero }

// text is a wire value with the unit of the column, for people.
func (col *column) text(v float64) string {
	names := map[string]string{"c": "°C", "f": "°F", "kpa": "kPa", "mpa": "MPa"}
	name := col.unit.name
	if n, ok := names[name]; ok {
		name = n
	}
	return fmt.Sprintf("%.4g %s", col.written(v), name)
}

// trace is one column over time, thinned so that a long table takes no more
// room than a short one. Values are the wire's: Pa or m°C.
type trace struct {
	n           int
	least, most float64
	first, last float64
	stride      int // every so many values are kept
	t, x        []float64
}

// traceMost bounds the points of a trace; at that length every second is let go.
const traceMost = 4096

func (t *trace) add(timeS, x float64) {
	if t.n == 0 {
		t.least, t.most, t.first, t.stride = x, x, x, 1
	}
	t.least, t.most, t.last = math.Min(t.least, x), math.Max(t.most, x), x
	if t.n++; (t.n-1)%t.stride != 0 {
		return
	}
	if len(t.t) == traceMost {
		for i := range traceMost / 2 {
			t.t[i], t.x[i] = t.t[2*i], t.x[2*i]
		}
		t.t, t.x, t.stride = t.t[:traceMost/2], t.x[:traceMost/2], 2*t.stride
		if (t.n-1)%t.stride != 0 {
			return
		}
	}
	t.t, t.x = append(t.t, timeS), append(t.x, x)
}

// fastest is the greatest change of the mean from one of n parts of the span to
// the next, a second; up counts rises alone. Means take the noise off.
func (t *trace) fastest(n int, up bool) float64 {
	switch {
	case len(t.t) < 16:
		n = len(t.t) // too few for means
	case len(t.t) < 2*n:
		n = len(t.t) / 2
	}
	best, at, before := 0.0, math.NaN(), math.NaN()
	for i := range n {
		from, to := i*len(t.t)/n, (i+1)*len(t.t)/n
		sumT, sumX := 0.0, 0.0
		for j := from; j < to; j++ {
			sumT, sumX = sumT+t.t[j], sumX+t.x[j]
		}
		m, x := sumT/float64(to-from), sumX/float64(to-from)
		if rate := (x - before) / (m - at); i > 0 && m > at && (rate > best || !up && -rate > best) {
			best = math.Abs(rate)
		}
		at, before = m, x
	}
	return best
}
