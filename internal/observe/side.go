package observe

// Side is the present estimate of the wall's faces on a side, thermal.SideSun
// or SideShade.
func (o *Observer) Side(side int) (innerK, outerK float64) {
	b := &o.belief
	at := b.Model.SideAt(&b.State, &b.Params, side, o.flow.DensityKgM3, o.flow.InflowKgS)
	return at.InnerK, at.OuterK
}
