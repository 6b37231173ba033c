package canvas

import "math"

// scaleSteps are the steps a row may have, in the shown unit.
var scaleSteps = [...]float64{1, 2, 3, 4, 5, 6, 8, 9, 10, 15, 20, 50, 100, 200, 500}

// Scale fits every curve into a frame whose rows lie whole steps from the
// onset: the line that must not be reached is drawn where it is, and the scale
// seldom changes. So is the limit, if that does not make the steps more than
// twice as wide.
func (f *Plot) Scale(curves []Curve, onset, limit float64) {
	least, most := onset, onset
	for _, c := range curves {
		for _, y := range c.Y {
			if math.Abs(y) < 1000 { // neither unknown nor absurd
				least, most = math.Min(least, y), math.Max(most, y)
			}
		}
	}
	finest := math.Inf(1)
	for _, step := range scaleSteps {
		under := int(max(math.Ceil((onset-least)/step-0.5), math.Ceil((onset-limit)/step-1e-6)))
		over := int(math.Ceil((most-onset)/step - 0.5))
		spare := f.Rows - 1 - under - over
		if spare < 0 {
			continue
		}
		rows := (onset - limit) / step
		exact := math.Abs(rows-math.Round(rows)) < 0.01 && rows > 0.5
		if finest = math.Min(finest, step); exact && step <= 2*finest || step == finest {
			f.step, f.anchor = step, under+spare/2
		}
		if exact || step > 2*finest {
			break
		}
	}
	f.low = onset - float64(f.anchor)*f.step
	f.bar = barred{limit, int(math.Floor((limit-f.low)/f.step + 1e-6))}
}
