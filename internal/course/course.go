// Package course keeps quantities over time in bounded room: when it is full,
// neighbours are joined by least and greatest, so that the course gets coarser and
// no peak is lost.
package course

import (
	"math"
	"slices"
	"sort"
)

// Limits of a course.
const (
	RowsMost = 2048
	StepS    = 0.25 // length of a row at first
)

// Value is how fine the quantities are kept.
type Value interface{ float32 | float64 }

// Row is a stretch of time: the least and the greatest of each column in it, NaN
// where nothing is known.
type Row[V Value] struct {
	S         float64 // where it begins
	Low, High []V
}

// Series is a course. Make it with New, or as a part of another.
type Series[V Value] struct {
	StepS float64
	Rows  []Row[V]

	columns int
}

// New makes an empty course of so many columns.
func New[V Value](columns int) *Series[V] { return &Series[V]{StepS: StepS, columns: columns} }

// Add takes the values of a moment in. Time that runs back forgets what then lies in
// the future.
func (s *Series[V]) Add(timeS float64, values []float64) {
	if math.IsNaN(timeS) || math.Abs(timeS) > 1e9 {
		return
	}
	for len(s.Rows) > 0 && s.Rows[len(s.Rows)-1].S > timeS {
		s.Rows = s.Rows[:len(s.Rows)-1]
	}
	for len(s.Rows) == RowsMost && s.Rows[RowsMost-1].S < s.begin(timeS) {
		s.halve()
	}
	if n := len(s.Rows); n == 0 || s.Rows[n-1].S < s.begin(timeS) {
		s.Rows = append(s.Rows, s.blank(s.begin(timeS)))
	}
	r := &s.Rows[len(s.Rows)-1]
	for i, x := range values {
		r.with(i, V(x))
	}
}

// begin is where the row of a moment begins.
func (s *Series[V]) begin(timeS float64) float64 { return math.Floor(timeS/s.StepS) * s.StepS }

func (s *Series[V]) blank(beginS float64) Row[V] {
	both := slices.Repeat([]V{V(math.NaN())}, 2*s.columns)
	return Row[V]{S: beginS, Low: both[:s.columns], High: both[s.columns:]}
}

func (r *Row[V]) with(i int, x V) {
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

func (r *Row[V]) join(o *Row[V]) {
	for c := range r.Low {
		r.with(c, o.Low[c])
		r.with(c, o.High[c])
	}
}

// halve joins neighbours.
func (s *Series[V]) halve() {
	s.StepS *= 2
	out := s.Rows[:0]
	for _, r := range s.Rows {
		r.S = s.begin(r.S)
		if n := len(out); n > 0 && out[n-1].S == r.S {
			out[n-1].join(&r)
			continue
		}
		out = append(out, r)
	}
	s.Rows = out
}

// Reduced is the course in at most n rows.
func (s *Series[V]) Reduced(n int) *Series[V] {
	out := &Series[V]{StepS: s.StepS, columns: s.columns}
	for _, r := range s.Rows {
		out.Rows = append(out.Rows, Row[V]{r.S, slices.Clone(r.Low), slices.Clone(r.High)})
	}
	for n > 0 && len(out.Rows) > n {
		out.halve()
	}
	return out
}

// Between is what begins from one time to another, its times counted from originS.
func (s *Series[V]) Between(fromS, toS, originS float64) *Series[V] {
	out := &Series[V]{StepS: s.StepS, columns: s.columns}
	for _, r := range s.Rows {
		if r.S >= fromS && r.S <= toS {
			r.S -= originS
			out.Rows = append(out.Rows, r)
		}
	}
	return out
}

// Over is the stretch from one time to another in n rows alike, blank where nothing
// is known.
func (s *Series[V]) Over(fromS, toS float64, n int) []Row[V] {
	eachS := (toS - fromS) / float64(n)
	out := make([]Row[V], n)
	for i := range out {
		out[i] = s.blank(fromS + float64(i)*eachS)
		end := math.Max(out[i].S+eachS, s.begin(out[i].S)+s.StepS)
		for k := sort.Search(len(s.Rows), func(k int) bool { return s.Rows[k].S >= s.begin(out[i].S) }); k < len(s.Rows) && s.Rows[k].S < end; k++ {
			out[i].join(&s.Rows[k])
		}
	}
	return out
}

// Known says whether a column holds anything.
func (s *Series[V]) Known(column int) bool {
	return slices.ContainsFunc(s.Rows, func(r Row[V]) bool { return r.Low[column] == r.Low[column] })
}
