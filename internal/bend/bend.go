// Package bend tells what a warm side does to a vessel, as built and laid up
// otherwise: how far it bows, which way, and what is left of its stiffness. The
// sums are those of package laminate; here are the sides, the layups to compare
// and the words.
package bend

import (
	"math"

	"fillwright/internal/laminate"
	"fillwright/internal/vessel"
)

// Place is the wall at a place or on a side as estimated or read, K; unknown is NaN.
type Place struct {
	Name           string
	InnerK, OuterK float64
	BandK          float64 // two sigma
}

func (p Place) side() laminate.Side { return laminate.Side{InnerK: p.InnerK, OuterK: p.OuterK} }

// Moment is what a vessel stands under at one time.
type Moment struct {
	TimeS      float64 // session time, NaN: no time belongs to it
	PressurePa float64 // gauge
	Warm, Cool Place
}

// State is the moment for a tube.
func (m Moment) State() laminate.State {
	return laminate.State{PressurePa: m.PressurePa, Sun: m.Warm.side(), Shade: m.Cool.side(), SunBandK: m.Warm.BandK}
}

// Sides finds the warmest and the coolest place by the wall's mean. ok is false
// for fewer than two places: one side alone says nothing. Where a place is not
// known, both sides are unknown, since the warmest may be that one.
func Sides(places []Place) (warm, cool Place, ok bool) {
	if len(places) < 2 {
		return warm, cool, false
	}
	warm, cool = places[0], places[0]
	for _, p := range places {
		mean := p.side().MeanK()
		if math.IsNaN(mean) {
			return p, p, true
		}
		if mean > warm.side().MeanK() {
			warm = p
		}
		if mean <= cool.side().MeanK() { // of alike ones the last, so that two places stay two
			cool = p
		}
	}
	return warm, cool, true
}

// Worst keeps the moment of a fill in which the warm side was weakest against
// the cool one. Make one with NewWorst.
type Worst struct {
	tube   *laminate.Tube
	ratio  float64
	moment Moment
	found  bool
}

// NewWorst looks at a fill of a tube.
func NewWorst(tube *laminate.Tube) *Worst { return &Worst{tube: tube} }

// Add takes one moment of the fill into account.
func (w *Worst) Add(timeS, pressurePa float64, places []Place) {
	warm, cool, ok := Sides(places)
	if !ok || !(pressurePa > vessel.UnderPressurePa) {
		return
	}
	m := Moment{timeS, pressurePa, warm, cool}
	if r := w.tube.SidesRatio(m.State()); !math.IsNaN(r) && (!w.found || r < w.ratio) {
		w.ratio, w.moment, w.found = r, m, true
	}
}

// Moment gives it; false if there was none under pressure with both sides known.
func (w *Worst) Moment() (Moment, bool) { return w.moment, w.found }
