package estimate

// Side is the present estimate of the wall's faces on a side, thermal.SideSun
// or SideShade.
func (o *Filter) Side(side int) (innerK, outerK float64) {
	b := &o.estimate
	at := b.Model.SideAt(&b.State, &b.Params, side, o.flow.DensityKgM3, o.flow.InflowKgS)
	return at.InnerK, at.OuterK
}
