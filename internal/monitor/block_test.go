package monitor

import (
	"math"
	"testing"
)

// take feeds samples at 20 Hz and gives the times and readings of the blocks.
func takeBlocks(lengthS float64, n int, at func(i int) Snapshot) (out []reading) {
	var b block
	for i := range n {
		s := at(i)
		if b.add(float64(i)*0.05, lengthS, &s, nil) {
			out = append(out, b.out)
		}
	}
	return out
}

// Blocks have their length, hold the mean of what is known, and nothing when
// nothing is.
func TestBlockMeans(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, lengthS := range []float64{blockFlowS, blockStandS} {
		got := takeBlocks(lengthS, 101, func(i int) Snapshot {
			s := Snapshot{PressurePa: 1e5 + float64(i), BeadK: nan, AmbientK: 290}
			if i%2 == 0 {
				s.AmbientK = nan
			}
			return s
		})
		if want := int(math.Round(5/lengthS)) + 1; len(got) != want {
			t.Fatalf("%d blocks of %g s in 5 s, want %d", len(got), lengthS, want)
		}
		per := lengthS / 0.05
		for k, r := range got[1:] {
			last := per * float64(k+1)
			if want := 1e5 + last - (per-1)/2; math.Abs(r.pressurePa-want) > 1e-6 {
				t.Errorf("block %d of %g s: pressure %v, want %v", k+1, lengthS, r.pressurePa, want)
			}
			if math.Abs(r.timeS-last*0.05) > 1e-9 || r.ambientK != 290 || !math.IsNaN(r.beadK) {
				t.Errorf("block %d of %g s: %+v", k+1, lengthS, r)
			}
		}
	}
}

// A jump in pressure ends a long block at once, but not sooner than a short
// one lasts.
func TestBlockJump(t *testing.T) {
	t.Parallel()
	got := takeBlocks(blockStandS, 60, func(i int) Snapshot {
		p := 1e5
		if i >= 25 {
			p += 2 * blockJumpPa
		}
		return Snapshot{PressurePa: p, BeadK: 300, AmbientK: 300}
	})
	var times []float64
	for _, r := range got {
		times = append(times, r.timeS)
	}
	if len(times) < 4 || math.Abs(times[2]-1.25) > 1e-9 {
		t.Fatalf("blocks end at %v, want one at 1.25", times)
	}
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] < blockFlowS-1e-9 {
			t.Errorf("blocks at %v: one is shorter than %g s", times, blockFlowS)
		}
	}
}

// While gas flows, and for a while after, blocks are short; then long.
func TestBlockLengths(t *testing.T) {
	t.Parallel()
	s := vented(t, onsetFarC)
	lengths := func(forS, rampPaS float64) float64 {
		least := math.Inf(1)
		before := s.m.block.out.timeS
		s.see = func(Snapshot) {
			if at := s.m.block.out.timeS; at > before {
				least, before = math.Min(least, at-before), at
			}
		}
		s.run(forS, rampPaS)
		s.see = nil
		return least
	}
	s.run(settlingS, 0)
	if got := lengths(10, 0); math.Abs(got-blockStandS) > 1e-6 {
		t.Errorf("vented: blocks of %g s", got)
	}
	s.run(3, 20*barPerMin)
	if got := lengths(10, 20*barPerMin); math.Abs(got-blockFlowS) > 1e-6 {
		t.Errorf("filling: blocks of %g s", got)
	}
	s.run(3, 0)
	if got := lengths(10, 0); math.Abs(got-blockFlowS) > 1e-6 {
		t.Errorf("just after the fill: blocks of %g s", got)
	}
	s.run(settlingS, 0)
	if got := lengths(10, 0); math.Abs(got-blockStandS) > 1e-6 {
		t.Errorf("hold: blocks of %g s", got)
	}
}
