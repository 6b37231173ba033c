package learn

import "fillwright/internal/wallmodel"

// The work of learning, in parts that take about the same time for each cell of
// the wall (our own timing): the fit of a variant from several starts, and each
// fit that leaves a fill out.
func fitWork(r wallmodel.Variant) float64     { return 3 * float64(max(r.Cells, 1)) }
func leftOutWork(r wallmodel.Variant) float64 { return float64(max(r.Cells, 1)) }

// tally makes of parts of the work that are done the share of all, and tells it.
func tally(told func(share float64), variants []wallmodel.Variant, fills int) (did func(work float64)) {
	all, done := 0.0, 0.0
	for _, r := range variants {
		all += fitWork(r)
		if fills > 1 {
			all += float64(fills) * leftOutWork(r)
		}
	}
	return func(work float64) {
		if done += work; told != nil {
			told(done / all)
		}
	}
}
