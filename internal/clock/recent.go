package clock

import "math"

// recent keeps one number for each quarter of a second of the last seconds.
type recent struct {
	v  [recentKeep]float64
	at [recentKeep]float64 // quarter + 1, 0: none
}

const (
	quarterMS  = 250.0
	recentKeep = 12 // 3 s
)

func (r *recent) slot(nowMS float64) (i int, fresh bool) {
	q := math.Floor(nowMS/quarterMS) + 1
	i = int(math.Mod(q, recentKeep))
	fresh = r.at[i] != q
	r.at[i] = q
	return i, fresh
}

// least keeps the least value of each quarter.
func (r *recent) least(nowMS, v float64) {
	if i, fresh := r.slot(nowMS); fresh || v < r.v[i] {
		r.v[i] = v
	}
}

// sum keeps the sum of each quarter.
func (r *recent) sum(nowMS, v float64) {
	i, fresh := r.slot(nowMS)
	if fresh {
		r.v[i] = 0
	}
	r.v[i] += v
}

// total is the sum of the last windowMS.
func (r *recent) total(nowMS, windowMS float64) (sum float64) {
	q := math.Floor(nowMS/quarterMS) + 1
	for i, at := range r.at {
		if at > q-windowMS/quarterMS && at <= q && at > 0 {
			sum += r.v[i]
		}
	}
	return sum
}

// grown is by how much the newest closed quarter stands over the least of the
// last two seconds before it, and when it last stood strideMS lower.
func (r *recent) grown(nowMS float64) (byMS, sinceMS float64) {
	q := math.Floor(nowMS/quarterMS) + 1
	newest := -1
	for i, at := range r.at {
		if at > 0 && at < q && at >= q-4 && (newest < 0 || at > r.at[newest]) {
			newest = i
		}
	}
	if newest < 0 {
		return 0, nowMS
	}
	sinceMS = math.Inf(-1)
	for i, at := range r.at {
		if at <= 0 || at >= r.at[newest] || at < r.at[newest]-8 {
			continue
		}
		by := r.v[newest] - r.v[i]
		byMS = math.Max(byMS, by)
		if by > strideMS {
			sinceMS = math.Max(sinceMS, (at-1)*quarterMS) // its beginning
		}
	}
	return byMS, sinceMS
}
