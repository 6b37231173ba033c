package estimate

import (
	"math"
	"testing"

	"fillwright/internal/must"
)

// take feeds samples at 20 Hz and gives the times and readings of the blocks.
func takeBlocks(lengthS float64, n int, at func(i int) Sample) (out []Block) {
	var b block
	for i := range n {
		s := at(i)
		if b.add(float64(i)*0.05, lengthS, &s) {
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
		got := takeBlocks(lengthS, 101, func(i int) Sample {
			s := Sample{PressurePa: 1e5 + float64(i), BeadK: nan, AmbientK: 290}
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
			want := 1e5 + last - (per-1)/2
			must.Be(t, math.Abs(r.PressurePa-want) <= 1e-6, "block %d of %g s: pressure %v, want %v", k+1, lengthS, r.PressurePa, want)
			must.Be(t, math.Abs(r.TimeS-last*0.05) <= 1e-9 && r.AmbientK == 290 && math.IsNaN(r.BeadK), "block %d of %g s: %+v", k+1, lengthS, r)
		}
	}
}

// A jump in pressure ends a long block at once, but not sooner than a short
// one lasts.
func TestBlockJump(t *testing.T) {
	t.Parallel()
	got := takeBlocks(blockStandS, 60, func(i int) Sample {
		p := 1e5
		if i >= 25 {
			p += 2 * blockJumpPa
		}
		return Sample{PressurePa: p, BeadK: 300, AmbientK: 300}
	})
	var times []float64
	for _, r := range got {
		times = append(times, r.TimeS)
	}
	must.Need(t, len(times) >= 4 && math.Abs(times[2]-1.25) <= 1e-9, "blocks end at %v, want one at 1.25", times)
	for i := 1; i < len(times); i++ {
		must.Be(t, times[i]-times[i-1] >= blockFlowS-1e-9, "blocks at %v: one is shorter than %g s", times, blockFlowS)
	}
}
