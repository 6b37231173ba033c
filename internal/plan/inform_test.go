package plan

import (
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/wallmodel"
)

// TestInformed proves that what a plan tells a watch is the sun of the day: warm
// where the day is sunny, nothing in the shade, never surer than a day can be told;
// that it can be kept as a model file and read back; and that the model is the
// vessel's otherwise.
func TestInformed(t *testing.T) {
	v := plover(t)
	hot := NewSetup(v, nil, say(t, "air", "30 °C", "sun", "950 W/m²", "wind", "1 m/s", "absorptance", "0.8"))
	cool := NewSetup(v, nil, say(t, "air", "30 °C", "sun", "shade", "wind", "1 m/s"))
	h, c := hot.Informed(), cool.Informed()
	// Sol-air: 0.8 × 850 W/m² over 11 to 18 W/m²K.
	if g := h.Gains; !(g.Lit.MeanK > 30 && g.Lit.MeanK < 60 && g.Lit.SigmaK >= litSigmaShare*g.Lit.MeanK && g.Lit.SigmaK < 15) {
		t.Errorf("in the sun: %+v", g)
	}
	if g := c.Gains; !(math.Abs(g.Lit.MeanK) < 1 && g.Lit.SigmaK >= litSigmaLeastK && math.Abs(g.Shade.MeanK) < 4) {
		t.Errorf("in the shade: %+v", g)
	}
	text := must.Get(h.Format())(t)
	back := must.Get(wallmodel.ParseLearned("plan", text))(t)
	err := back.CheckOn("plan", v, gas.Table(v.Gas))
	must.Be(t, err == nil, "%v", err)
	must.Be(t, back.IsHandbook() && math.Abs(back.Gains.Lit.MeanK-h.Gains.Lit.MeanK) <= 1e-6 && back.DiscrepancyK == hot.Model.DiscrepancyK,
		"read back as %+v", back)
}
