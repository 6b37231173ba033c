package advise

import "math"

// Marks is a search for the fastest ramp whose bound keeps a limit. What is not
// known weighs otherwise at another ramp, so the bound is weighed at marks, ramps
// that lie at most so many times apart from the least to the greatest, and goes
// over from one to the next between them. It thus hangs on the situation alone, not
// on where the last answer was, and does not jump: two situations that are nearly
// the same get nearly the same answer.
type Marks struct {
	LeastPaS, MostPaS float64
	at                int // what is asked for lies between this mark and the next
}

const marksApart = 1.5

// steps is how many there are between marks, and the logarithm of one.
func (k *Marks) steps() (n int, apartLn float64) {
	all := math.Log(k.MostPaS / k.LeastPaS)
	n = max(1, int(math.Ceil(all/math.Log(marksApart))))
	return n, all / float64(n)
}

// of is the mark at or under a ramp, and the share of the way to the next.
func (k *Marks) of(rampPaS float64) (mark int, share float64) {
	n, apartLn := k.steps()
	if !(apartLn > 0) {
		return 0, 0
	}
	at := math.Log(rampPaS/k.LeastPaS) / apartLn
	mark = max(0, min(int(at), n-1))
	return mark, at - float64(mark)
}

// PaS is the ramp of a mark.
func (k *Marks) PaS(mark int) float64 {
	_, apartLn := k.steps()
	return k.LeastPaS * math.Exp(float64(mark)*apartLn)
}

// between is a figure at the marks beside a ramp, gone over from one to the other;
// out of their reach it is that of the nearer.
func (k *Marks) between(rampPaS float64, figure func(mark int) float64) float64 {
	mark, share := k.of(rampPaS)
	share = math.Min(math.Max(share+float64(mark-k.at), 0), 1)
	switch share {
	case 0:
		return figure(k.at)
	case 1:
		return figure(k.at + 1)
	}
	return (1-share)*figure(k.at) + share*figure(k.at+1)
}

// Fastest is the fastest ramp whose excess, as it is weighed at the marks beside
// it, is at most 0; ok is false when not even the least one's is, or nothing is known
// of it. It looks near a ramp first, between two marks, and goes on to others until
// the answer lies between those that it asked.
func (k *Marks) Fastest(nearPaS float64, excess func(mark int, rampPaS float64) float64) (rampPaS float64, ok bool) {
	slowest := math.Inf(1)
	k.at, _ = k.of(nearPaS)
	n, _ := k.steps()
	for first, last := 0, n-1; first <= last; {
		rampPaS, ok = Fastest(k.LeastPaS, k.MostPaS, nearPaS, func(r float64) float64 {
			if r == k.LeastPaS {
				return excess(0, r)
			}
			return k.between(r, func(mark int) float64 { return excess(mark, r) })
		})
		if !ok {
			k.at = 0
			return 0, false
		}
		slowest = math.Min(slowest, rampPaS)
		mark, _ := k.of(rampPaS)
		switch {
		case mark < k.at:
			last = k.at - 1
		case mark > k.at:
			first = k.at + 1
		default:
			return rampPaS, true
		}
		k.at, nearPaS = max(first, min(mark, last)), rampPaS
	}
	return slowest, true // on a mark, to the width of an answer
}
