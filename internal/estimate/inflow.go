package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// What the estimate of the inflow's temperature loses when its base changes
// while gas flows, one sigma, and how much gas must have come in for it to be
// worth keeping. Common practice, no source.
const (
	baseChangeK = 5.0
	flowedShare = 1.2 // of the mass at the start
)

// Feed tells what supplies the vessel from here on. When that changes what the
// inflow's temperature is counted from, the estimate goes over: as it is, with
// more doubt, once gas has come in; anew, from what is known on the new base,
// before.
func (o *Filter) Feed(s thermal.Supply) {
	if !o.started {
		o.supply = s
		return
	}
	b, before := &o.estimate, o.supply.Inlet()
	old := b.State
	o.supply, b.State.Supply = s, s
	if s.Inlet() == before {
		return
	}
	meanK, sigmaK := o.inflow(s.Inlet())
	if o.flow.MassKg <= flowedShare*o.startKg {
		o.setInflow(meanK, sigmaK)
		return
	}
	p := o.flow.PressurePa
	b.Params[thermal.ParInflow] += b.Model.InletK(&old, p, o.ambientK) - b.Model.InletK(&b.State, p, o.ambientK)
	if at := b.Layout.AtPar(thermal.ParInflow); at >= 0 {
		v := &b.Cov[at*b.Layout.N+at]
		*v = math.Max(*v, math.Min(*v+baseChangeK*baseChangeK, sigmaK*sigmaK))
	}
}

// Rebased tells whether the inflow is counted from another base than in the
// fills behind the model.
func (o *Filter) Rebased() bool { return o.supply.Inlet() != o.cfg.Inlet }

// inflow is what is known of the inflow on a base before any reading: what was
// learned, if it was learned on that base, else what handbooks say.
func (o *Filter) inflow(base thermal.Inlet) (meanK, sigmaK float64) {
	if base == o.cfg.Inlet {
		return o.cfg.Params[thermal.ParInflow], math.Sqrt(o.cfg.ParCov[thermal.ParInflow][thermal.ParInflow])
	}
	return thermal.InflowPrior(base)
}

// setInflow forgets what went before of the inflow's temperature.
func (o *Filter) setInflow(meanK, sigmaK float64) {
	b, n := &o.estimate, o.estimate.Layout.N
	b.Params[thermal.ParInflow] = meanK
	at := b.Layout.AtPar(thermal.ParInflow)
	if at < 0 {
		return
	}
	for i := 0; i < n; i++ {
		b.Cov[at*n+i], b.Cov[i*n+at] = 0, 0
	}
	b.Cov[at*n+at] = sigmaK * sigmaK
}
