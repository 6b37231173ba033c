package screen

import (
	"math"
	"sync"

	"fillwright/internal/monitor"
)

// historyMost is how many buckets the past is kept in. When they are full,
// neighbours are merged by least and greatest: the memory stays the same, the
// past gets coarser, and no peak is lost.
const historyMost = 2048

// historyStepS is the length of a bucket at first.
const historyStepS = 0.25

// extent is the least and the greatest of a bucket; NaN where nothing is known.
type extent struct{ low, high float64 }

var noExtent = extent{math.NaN(), math.NaN()}

// with takes a value in; what is not a number leaves the extent as it is.
func (e extent) with(x float64) extent {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return e
	}
	if math.IsNaN(e.low) {
		return extent{x, x}
	}
	return extent{math.Min(e.low, x), math.Max(e.high, x)}
}

func (e extent) join(o extent) extent { return e.with(o.low).with(o.high) }

// bucket is a stretch of the past.
type bucket struct{ hottest, gas extent }

// history is the past of the two curves of the chart, K, by session time.
type history struct {
	stepS   float64
	first   int64 // number of buckets[0]: its time is first·stepS
	buckets []bucket
}

// Trail is the past that the chart shows. Whoever steps the monitor may feed it
// with every Snapshot, from another goroutine than the screen's.
type Trail struct {
	mu sync.Mutex
	h  *history
}

// NewTrail makes an empty Trail.
func NewTrail() *Trail { return &Trail{h: newHistory()} }

// Add takes a Snapshot in.
func (t *Trail) Add(s *monitor.Snapshot) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.h.add(s)
}

func (t *Trail) columns(fromS, toS float64, n int) []bucket {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.h.columns(fromS, toS, n)
}

func newHistory() *history {
	return &history{stepS: historyStepS, buckets: make([]bucket, 0, historyMost)}
}

// add takes a Snapshot in. Time that runs back (a replay set back) forgets
// what then lies in the future.
func (h *history) add(s *monitor.Snapshot) {
	if math.IsNaN(s.TimeS) || math.IsInf(s.TimeS, 0) || math.Abs(s.TimeS) > 1e9 {
		return
	}
	n := int64(math.Floor(s.TimeS / h.stepS))
	if len(h.buckets) == 0 || n < h.first || n-h.first >= 4*historyMost {
		h.first, h.buckets = n, h.buckets[:0]
	}
	for n-h.first >= historyMost {
		h.halve()
		n = int64(math.Floor(s.TimeS / h.stepS))
	}
	at := int(n - h.first)
	if at < len(h.buckets)-1 {
		h.buckets = h.buckets[:at]
	}
	for len(h.buckets) <= at {
		h.buckets = append(h.buckets, bucket{noExtent, noExtent})
	}
	b := &h.buckets[at]
	b.hottest = b.hottest.with(s.HottestK)
	b.gas = b.gas.with(s.GasK)
}

// halve merges neighbours, so that each bucket lasts twice as long.
func (h *history) halve() {
	first := h.first >> 1 // rounds down, also below zero
	n := 0
	for i := range h.buckets {
		to := int((h.first+int64(i))>>1 - first)
		if to == n-1 {
			b := &h.buckets[to]
			b.hottest, b.gas = b.hottest.join(h.buckets[i].hottest), b.gas.join(h.buckets[i].gas)
			continue
		}
		h.buckets[to] = h.buckets[i]
		n = to + 1
	}
	h.first, h.stepS, h.buckets = first, 2*h.stepS, h.buckets[:n]
}

// columns reduces the stretch from fromS to toS to n columns by least and
// greatest. Columns without a value are NaN.
func (h *history) columns(fromS, toS float64, n int) []bucket {
	out := make([]bucket, n)
	for i := range out {
		out[i] = bucket{noExtent, noExtent}
	}
	if n == 0 || !(toS > fromS) {
		return out
	}
	each := (toS - fromS) / float64(n)
	for i := range out {
		lo := fromS + float64(i)*each
		a := int64(math.Floor(lo/h.stepS)) - h.first
		b := int64(math.Ceil((lo+each)/h.stepS)) - h.first
		for k := max(a, 0); k < min(max(b, a+1), int64(len(h.buckets))); k++ {
			out[i].hottest = out[i].hottest.join(h.buckets[k].hottest)
			out[i].gas = out[i].gas.join(h.buckets[k].gas)
		}
	}
	return out
}
