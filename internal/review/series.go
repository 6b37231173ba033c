package review

import "math"

// Column is a quantity of a Series.
type Column uint8

// The columns, K, Pa and Pa/s. Those of a station follow, see Of.
const (
	Pressure Column = iota
	RampNow
	RampAdvised
	Gas
	GasLow
	GasHigh
	Bead
	Ambient
	HottestK
	HottestLow
	HottestHigh
	Margin
	columnsFirst // of the stations
)

// Columns of a station.
const (
	Outer Column = iota
	Sensed
	Off // sensor less estimate
	columnsEach
)

// Of is a station's column.
func Of(station int, c Column) Column { return columnsFirst + Column(station)*columnsEach + c }

const (
	stationsMost = 4 // as vessel.StationsMost
	columnCount  = int(columnsFirst) + stationsMost*int(columnsEach)
	rowsMost     = 2048
	rowStepS     = 0.25
)

// Row is a stretch of time: the least and the greatest of each column in it,
// NaN where nothing is known. Seven digits are more than a picture shows.
type Row struct {
	S         float64 // where it begins
	Low, High [columnCount]float32
}

// Series is a course over time of bounded size: when it is full, neighbours are
// joined, so that it gets coarser and no peak is lost.
type Series struct {
	StepS float64
	Rows  []Row
}

func newSeries() *Series { return &Series{StepS: rowStepS} }

var unknownRow = func() (r Row) {
	for i := range r.Low {
		r.Low[i], r.High[i] = float32(math.NaN()), float32(math.NaN())
	}
	return r
}()

// add takes the values of a moment in. Time does not run back within a part.
func (s *Series) add(timeS float64, values *[columnCount]float64) {
	if math.IsNaN(timeS) || math.IsInf(timeS, 0) {
		return
	}
	from := math.Floor(timeS/s.StepS) * s.StepS
	if n := len(s.Rows); n == 0 || s.Rows[n-1].S < from {
		if n == rowsMost {
			s.halve()
			from = math.Floor(timeS/s.StepS) * s.StepS
		}
		if n := len(s.Rows); n == 0 || s.Rows[n-1].S < from {
			r := unknownRow
			r.S = from
			s.Rows = append(s.Rows, r)
		}
	}
	r := &s.Rows[len(s.Rows)-1]
	for i, x := range values {
		r.with(i, float32(x))
	}
}

func (r *Row) with(i int, x float32) {
	if x != x {
		return
	}
	if !(r.Low[i] <= x) {
		r.Low[i] = x
	}
	if !(r.High[i] >= x) {
		r.High[i] = x
	}
}

// halve joins neighbours.
func (s *Series) halve() {
	s.StepS *= 2
	out := s.Rows[:0]
	for i := range s.Rows {
		r := s.Rows[i]
		r.S = math.Floor(r.S/s.StepS) * s.StepS
		if n := len(out); n > 0 && out[n-1].S == r.S {
			for c := range r.Low {
				out[n-1].with(c, r.Low[c])
				out[n-1].with(c, r.High[c])
			}
			continue
		}
		out = append(out, r)
	}
	s.Rows = out
}

// Reduced is the course in at most n rows.
func (s *Series) Reduced(n int) *Series {
	out := &Series{StepS: s.StepS, Rows: append([]Row(nil), s.Rows...)}
	for n > 0 && len(out.Rows) > n {
		out.halve()
	}
	return out
}

// Known says whether a column holds anything.
func (s *Series) Known(c Column) bool {
	for i := range s.Rows {
		if s.Rows[i].Low[c] == s.Rows[i].Low[c] {
			return true
		}
	}
	return false
}
