package mimic

import (
	"fmt"
	"math"
	"sync"
)

// HandSteps is how many steps a pretended valve has from shut to fully open.
const HandSteps = 16

// Hand is a person's hand on the pretended valves, in place of a plan: it turns
// supply and vent in steps. One of them has to be shut before the other opens.
// It begins with the vent fully open. Safe for use by several goroutines; use
// NewHand.
type Hand struct {
	mu     sync.Mutex
	supply int // steps open
	vent   int
	nowS   float64 // of the vessel
	firstS float64 // when the supply was opened first, NaN: never
}

// NewHand is a hand on valves of which the vent is open.
func NewHand() *Hand { return &Hand{vent: HandSteps, firstS: math.NaN()} }

// Open opens the supply by a step. The words of this and the others say why
// nothing was turned; they are empty when something was.
func (h *Hand) Open() (refused string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.vent > 0:
		return "The vent is open: shut it first."
	case h.supply == HandSteps:
		return "The supply is fully open."
	}
	h.supply++
	if math.IsNaN(h.firstS) {
		h.firstS = h.nowS
	}
	return ""
}

// Close closes by a step what is open.
func (h *Hand) Close() (refused string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.supply > 0:
		h.supply--
	case h.vent > 0:
		h.vent--
	default:
		return "Supply and vent are shut."
	}
	return ""
}

// Shut shuts both.
func (h *Hand) Shut() (refused string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.supply, h.vent = 0, 0
	return ""
}

// Vent opens the vent by a step.
func (h *Hand) Vent() (refused string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.supply > 0:
		return "The supply is open: shut it first."
	case h.vent == HandSteps:
		return "The vent is fully open."
	}
	h.vent++
	return ""
}

// Standing says how the valves stand.
func (h *Hand) Standing() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.supply > 0:
		return fmt.Sprintf("supply %d/%d", h.supply, HandSteps)
	case h.vent > 0:
		return fmt.Sprintf("vent %d/%d", h.vent, HandSteps)
	}
	return "both shut"
}

// Command implements Operator.
func (h *Hand) Command(v View) Valve {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.nowS = v.TimeS
	switch {
	case h.supply > 0:
		return Valve{Action: Fill, Opening: opening(h.supply)}
	case h.vent == HandSteps:
		return Valve{Action: Open, Opening: 1}
	case h.vent > 0:
		return Valve{Action: Vent, Opening: opening(h.vent)}
	}
	return Valve{Action: Shut}
}

// begunS is when the supply was opened first, NaN: never.
func (h *Hand) begunS() float64 {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.firstS
}

// opening is the share of the full bore. A needle valve opens little at first;
// a square comes near enough to be practised with (common practice, no source).
func opening(steps int) float64 {
	x := float64(steps) / HandSteps
	return x * x
}

// planBeginS is when the plans of the scenes open the supply; what goes wrong
// in a scene counts from there when a person has the valve.
const planBeginS = 10

// late puts the failures of a scene off until the hand has opened the supply.
func (d *Device) late(sc []Failure) {
	if d.hand == nil || d.handBegan {
		return
	}
	begunS := d.hand.begunS()
	d.handBegan = !math.IsNaN(begunS)
	fresh := append([]Failure(nil), sc...)
	for i := range fresh {
		fresh[i].AtS = math.Inf(1)
		if d.handBegan {
			fresh[i].AtS = sc[i].AtS - planBeginS + begunS
		}
	}
	d.inst.failures = fresh
}
