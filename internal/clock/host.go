package clock

import "math"

// host holds the logger's clock against the host's, as network time does: of
// the differences arrival − device time the least are those of frames that
// nothing held up, so the least of all is the base, and what lies above it is
// lag. A device clock that drifts moves the base, which is followed; one that
// does anything else is ill. All times are milliseconds; session time is the
// host's.
type host struct {
	known bool
	tied  bool    // a sample has come since
	last  uint32  // host's clock as last told
	nowMS float64 // session time

	sampleMS float64 // session time of the last sample
	beginMS  float64 // … of the first one of this device time
	deviceMS float64 // device time since then
	baseMS   float64 // arrival − device time of a frame that nothing holds up
	baseAt   float64 // session time at which baseMS is that
	lagMS    float64 // of the last sample

	drift drift
	lags  recent // least lag, each quarter of a second
	leads recent // by how much the base was lowered
	faulty
}

const (
	settleMS    = 4000.0 // a new device time may come out of a full buffer
	steadyMS    = 1500.0
	proveMS     = 500.0 // for so long it must have gone on before it is believed
	strideMS    = 300.0 // of a jump, or of what is lost or won over the last seconds
	absorbMS    = 300.0 // a lag below this is taken for a drift of the clock and made up
	absorbShare = 0.002 // so fast
	slewShare   = 0.02  // of a sample's step, to smooth its session time
	slewMostMS  = 100.0
)

func (h *host) begin(hostMS uint32, nowMS float64) {
	h.known, h.last, h.nowMS, h.sampleMS = true, hostMS, nowMS, nowMS
}

// arrive lets the host's time pass.
func (h *host) arrive(hostMS uint32, started bool) {
	step := int32(hostMS - h.last)
	if step <= 0 {
		return // a steady clock does not go back
	}
	h.last = hostMS
	if !started {
		return // session time is 0 until the first sample
	}
	h.nowMS += float64(step)
	h.judge(h)
}

// sample takes a sample in whose device time went on by stepMS, or begins
// anew; running says that nobody told of a new beginning.
func (h *host) sample(stepMS int64, begins, running bool) {
	defer h.judge(h)
	switch {
	case begins || !h.tied:
		if running && h.tied {
			h.wentBack(h.nowMS, -float64(stepMS))
		}
		h.tied = true
		h.anew()
		return
	case stepMS <= 0:
		h.stood(h.nowMS, stepMS)
		return
	}
	h.moved()
	h.deviceMS += float64(stepMS)
	h.lowerBase(float64(stepMS))
	h.drift.add(h.nowMS, h.nowMS-h.deviceMS)
	h.lags.least(h.nowMS, h.lagMS)
	h.date(float64(stepMS))
}

// anew begins with a new device time.
func (h *host) anew() {
	h.began(h.nowMS)
	h.beginMS, h.deviceMS = h.nowMS, 0
	h.baseMS, h.baseAt, h.lagMS = h.nowMS, h.nowMS, 0
	h.sampleMS = math.Max(h.sampleMS, h.nowMS)
	h.drift = drift{}
	h.lags, h.leads = recent{}, recent{}
	h.lags.least(h.nowMS, 0)
}

// lowerBase moves the base by what the clock drifts, and down to a frame that
// came sooner than any before: none comes before it was made.
func (h *host) lowerBase(stepMS float64) {
	passed := h.nowMS - h.baseAt
	h.baseAt = h.nowMS
	h.baseMS += passed * h.drift.share()
	h.lagMS = h.nowMS - h.deviceMS - h.baseMS
	switch {
	case h.lagMS < 0:
		if -h.lagMS > strideMS && h.settled() {
			h.wentAhead(h.nowMS, -h.lagMS)
		}
		h.leads.sum(h.nowMS, -h.lagMS)
		h.baseMS += h.lagMS
		h.lagMS = 0
	case h.lagMS < absorbMS:
		made := math.Min(h.lagMS, absorbShare*math.Min(passed, stepMS))
		h.baseMS += made
		h.lagMS -= made
	}
}

// settled tells whether no full buffer can come out any more: one that does
// wins again and again.
func (h *host) settled() bool {
	age := h.nowMS - h.beginMS
	return age > settleMS || age > steadyMS && h.leads.total(h.nowMS, steadyMS) < strideMS/6
}

// date gives the sample its session time: now less the lag, smoothed, since a
// frame's way over the cable takes now more, now less time.
func (h *host) date(stepMS float64) {
	target := h.nowMS - h.lagMS
	next := h.sampleMS + stepMS*(1+h.drift.share())
	if off := target - next; math.Abs(off) > slewMostMS {
		next = target
	} else {
		next += math.Max(-slewShare*stepMS, math.Min(slewShare*stepMS, off))
	}
	h.sampleMS = math.Max(h.sampleMS, math.Min(next, h.nowMS))
}
