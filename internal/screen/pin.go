package screen

import (
	"math"

	"fillwright/internal/advise"
	"fillwright/internal/monitor"
	"fillwright/internal/screen/canvas"
)

// pinned is the forecast of one moment, kept to be held against what came.
type pinned struct {
	atS   float64 // session time
	path  []advise.Point
	coast bool // of the fill shut at that moment
}

// pinOf is the forecast of a Snapshot; nil where there is none.
func pinOf(s *monitor.Snapshot) *pinned {
	p := &pinned{atS: s.TimeS, path: s.Outlook.Path}
	if coasts(s) {
		p.path, p.coast = s.Outlook.Coast, true
	}
	if len(p.path) < 2 || math.IsNaN(s.TimeS) {
		return nil
	}
	return p
}

// at is the pinned forecast of the hottest wall at a session time, K; NaN
// outside of it.
func (p *pinned) at(timeS float64) float64 { return pathMost(p.path, timeS-p.atS, timeS-p.atS) }

// curve is the pinned forecast in the chart's columns.
func (p *pinned) curve(v *view, past, ahead int, eachS float64) []float64 {
	y := canvas.Unknown(past + ahead)
	for i := range y {
		from := v.shown.TimeS + float64(i-past)*eachS - p.atS
		y[i] = v.Units.TemperatureValue(pathMost(p.path, from, from+eachS))
	}
	return y
}

// verdict says how far the estimate is now from what was forecast then.
func (p *pinned) verdict(v *view) string {
	text := "pinned at " + clock(math.Max(p.atS, 0))
	if p.coast {
		text += " (if shut)"
	}
	off := v.shown.HottestK - p.at(v.shown.TimeS)
	if math.IsNaN(off) {
		return text
	}
	sign := "+"
	if off < 0 {
		sign, off = "-", -off
	}
	return text + ", now " + sign + v.Units.DifferenceNumber(off) + " from it"
}
