package gas

import "math"

// idealPart is the Helmholtz energy of the gas at zero density, over RT and
// without ln δ: logTau·ln τ + Σ n τ^t + Σ n ln(1 − exp(−θτ)) + Σ n ln(c + exp(θτ)).
type idealPart struct {
	logTau   float64
	powers   []idealPower
	einstein []idealEinstein
	softplus []idealSoftplus
}

type idealPower struct{ n, t float64 }
type idealEinstein struct{ n, theta float64 }
type idealSoftplus struct{ n, theta, c float64 }

// at gives the value and its first two derivatives in τ.
func (p *idealPart) at(tau float64) (a, a1, a2 float64) {
	ln := math.Log(tau)
	a, a1, a2 = p.logTau*ln, p.logTau/tau, -p.logTau/(tau*tau)
	for _, t := range p.powers {
		x := t.n * math.Exp(t.t*ln)
		a += x
		a1 += x * t.t / tau
		a2 += x * t.t * (t.t - 1) / (tau * tau)
	}
	for _, t := range p.einstein {
		x := math.Exp(-t.theta * tau)
		a += t.n * math.Log1p(-x)
		a1 += t.n * t.theta * x / (1 - x)
		a2 -= t.n * t.theta * t.theta * x / ((1 - x) * (1 - x))
	}
	for _, t := range p.softplus {
		// ln(c + exp(θτ)) = θτ + ln(1 + c exp(−θτ)), which can't overflow.
		x := t.c * math.Exp(-t.theta*tau)
		a += t.n * (t.theta*tau + math.Log1p(x))
		a1 += t.n * t.theta / (1 + x)
		a2 += t.n * t.theta * t.theta * x / ((1 + x) * (1 + x))
	}
	return a, a1, a2
}
