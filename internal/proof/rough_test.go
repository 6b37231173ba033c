package proof

import (
	"math"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// TestRoughFills is TestUnseenFills on vessels that do what real ones do:
// mimic.Roughly lists it, with the sources of its ranges.
func TestRoughFills(t *testing.T) {
	scores := make([][2]score, roughVessels(t))
	t.Run("vessels", func(t *testing.T) {
		for i := range scores {
			t.Run(strconv.Itoa(i+1), func(t *testing.T) {
				t.Parallel()
				seed := uint64(1000 + i)
				if list := os.Getenv("PROOF_SEEDS"); list != "" {
					n, err := strconv.Atoi(strings.Split(list, ",")[i])
					if err != nil {
						t.Fatal(err)
					}
					seed = uint64(n)
				}
				scores[i] = unseen(t, inventRough(t, seed))
			})
		}
	})
	for _, w := range []way{wayHand, waySkin} {
		var all []score
		for i := range scores {
			all = append(all, scores[i][w])
		}
		roughSummary(t, w, all)
	}
}

// roughVessels is how many are tried.
func roughVessels(t *testing.T) int {
	n := 40
	if underRace {
		n = 1
	}
	if s := os.Getenv("PROOF_ROUGH"); s != "" {
		v, err := strconv.Atoi(s)
		if err != nil {
			t.Fatalf("PROOF_ROUGH: %v", err)
		}
		n = v
	}
	return n
}

func roughSummary(t *testing.T, w way, all []score) {
	var inside, refused, missed, crossed float64
	least := 1.0
	var bands, rms []float64
	under := 0
	for _, s := range all {
		inside += s.inside / float64(len(all))
		least = math.Min(least, s.inside)
		if s.inside < 0.7 {
			under++
		}
		refused += float64(s.refused)
		bands, rms = append(bands, s.bandK), append(rms, s.rmsK)
		if !math.IsInf(s.crossS, 1) {
			crossed++
			if s.abortS > s.crossS {
				missed++
			}
		}
	}
	sort.Float64s(bands)
	sort.Float64s(rms)
	n := len(all)
	t.Logf("rough %-16s inside %.0f %% least %.0f %% (%d under 70) | RMS median %.2f worst %.2f | band median %.2f | refused %.0f | missed %.0f of %.0f",
		w, 100*inside, 100*least, under, rms[n/2], rms[n-1], bands[n/2], refused, missed, crossed)
}
