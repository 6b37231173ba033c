package learn

import "math"

// A vessel that stands shut keeps its gas: how its pressure falls while it cools tells
// how the mean of the gas cools, wherever the probe hangs and whatever stem, layers
// and inflow do to it. Without that a fit may make up for a probe that reads far under
// the mean by gas that comes in cold, and then loses a part of its gas in each hold.

// readsGasMass stands for the inventory of a hold in place of a place.
const readsGasMass = -2

// What is made of it. Common practice, no source.
const (
	holdFromS      = 3.0        // after the greatest pressure: the valve is shut by then
	holdMostS      = 300.0      // longer, what leaks and what the sensor drifts counts more than what cools
	holdFallTimes  = 1.5        // gas that only cools falls ever slower: so much faster again, it leaves
	holdFallPerS   = 3e-4       // beside what its noise does to it, of the pressure
	holdLeast      = 4          // readings of one that tell more than their own noise
	holdSlopeS     = 5.0        // over which the fall is taken
	holdProbeShare = 0.33       // of the mean's cooling: a probe shows so much of it, wherever it hangs; gas that is let out cools by less of its fall, (γ − 1)/γ at the most
	holdProbeFrom  = 0.03       // once the pressure has fallen by so much
	sigmaInventory = 0.003      // of the gas: 1 K of its mean
	leakPerS       = 0.001 / 60 // one sigma of what may leak unseen
)

// hold finds the bins of a hold by which the inventory is judged: ever sparser, as the
// gas cools ever slower. None where gas has left: there the probe cools less than the
// pressure falls.
func hold(b []bin, ambientPa float64) []int {
	top := 0
	for i := range b {
		if b[i].pPa > b[top].pPa {
			top = i
		}
	}
	at := falling(b, top, ambientPa)
	if len(at) < holdLeast {
		return nil
	}
	last := at[len(at)-1]
	falls := math.Log((b[top].pPa + ambientPa) / (b[last].pPa + ambientPa))
	if cools := math.Log(b[top].gasK / b[last].gasK); falls > holdProbeFrom && !(cools > holdProbeShare*falls) {
		return nil
	}
	return at
}

// falling finds the bins after the greatest pressure, as long as it falls ever slower.
func falling(b []bin, top int, ambientPa float64) (at []int) {
	least, next := math.Inf(1), holdFromS
	for i, from := top+1, top; i < len(b); i++ {
		since := b[i].timeS - b[top].timeS
		if since > holdMostS {
			break
		}
		for from+1 < i && b[i].timeS-b[from+1].timeS >= holdSlopeS {
			from++
		}
		if over := b[i].timeS - b[from].timeS; over >= holdSlopeS {
			falls := (b[from].pPa - b[i].pPa) / (over * (b[top].pPa + ambientPa))
			if !(falls > -holdFallPerS) || falls > holdFallTimes*least+holdFallPerS {
				break
			}
			least = math.Min(least, math.Max(falls, 0))
		}
		if since >= next {
			at = append(at, i)
			next = holdFallTimes*since + holdSlopeS
		}
	}
	return at
}

// inventory writes into r by how much the gas of a hold, of the densities that the fit
// gives it at the bins at, is not the same throughout, each in sigma, and last the leak
// that explains most of that.
func inventory(b []bin, at []int, densityKgM3, r []float64) {
	var meanS, mean, spread, slope float64
	n := float64(len(at))
	for k, i := range at {
		meanS, mean = meanS+b[i].timeS/n, mean+densityKgM3[k]/n
	}
	for k, i := range at {
		t := b[i].timeS - meanS
		r[k] = densityKgM3[k]/mean - 1
		spread, slope = spread+t*t, slope+t*r[k]
	}
	// The leak that the sum of squares is least by, beside its own prior.
	leak := -slope / (spread + square(sigmaInventory/leakPerS))
	for k, i := range at {
		r[k] = (r[k] + leak*(b[i].timeS-meanS)) / sigmaInventory
	}
	r[len(at)] = leak / leakPerS
}
