package mimic

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// held is a device with a hand on its valves.
func held(t *testing.T, scene string) (*Device, *Hand) {
	t.Helper()
	sc := must.Get(FindScene(scene))(t)
	hand := NewHand()
	d := must.Get(NewDevice(vessel.Invented(), sc, Options{Seed: 1, Operator: hand}))(t)
	return d, hand
}

func times(n int, turn func() string) (refused string) {
	for range n {
		refused = turn()
	}
	return refused
}

// TestHandFills proves that the vessel waits for the hand, that more steps fill
// faster, that shut stops it, and that the vent lets the gas out again.
func TestHandFills(t *testing.T) {
	d, hand := held(t, "calm")
	none := func([]byte) {}
	d.Advance(120, none)
	r := d.State()
	must.Need(t, math.Abs(r.PressurePa) <= ventedPa && r.InflowKgS <= 1e-6, "nobody has turned anything, and it stands at %g Pa", r.PressurePa)
	hand.Shut()
	ramp := func(steps int) float64 {
		times(steps, hand.Open)
		d.Advance(d.TimeS()+2, none)
		from := d.State().PressurePa
		d.Advance(d.TimeS()+3, none)
		return (d.State().PressurePa - from) / 3
	}
	slow := ramp(3)
	fast := ramp(2)
	must.Be(t, slow > 2*barPerMin && slow < 40*barPerMin && fast > 1.8*slow,
		"3 steps fill with %.1f bar/min, 5 steps with %.1f", slow/barPerMin, fast/barPerMin)
	hand.Close()
	d.Advance(d.TimeS()+20, none)
	hand.Shut()
	d.Advance(d.TimeS()+2, none)
	stands := d.State()
	d.Advance(d.TimeS()+10, none)
	r = d.State()
	must.Be(t, r.InflowKgS <= 1e-6 && r.VentKgS <= 0 && r.PressurePa <= stands.PressurePa, "shut, and it still flows: %+v", r)
	times(6, hand.Vent)
	d.Advance(d.TimeS()+5, none)
	r = d.State()
	must.Be(t, r.VentKgS > 0 && r.PressurePa < stands.PressurePa, "the vent lets nothing out: %+v", r)
	times(HandSteps-6, hand.Vent)
	d.Advance(d.TimeS()+60, none)
	r = d.State()
	must.Be(t, math.Abs(r.PressurePa) <= ventedPa, "a minute after the vent was opened fully: %.2f bar", r.PressurePa/bar)
}

// TestHandRefuses: supply and vent are never open together, and each refusal
// says what to do.
func TestHandRefuses(t *testing.T) {
	h := NewHand()
	got := h.Open()
	must.Be(t, strings.Contains(got, "shut it first") && h.Standing() == "vent 16/16", "%q, %s", got, h.Standing())
	h.Shut()
	got = h.Close()
	must.Be(t, got != "" && h.Standing() == "both shut", "%q, %s", got, h.Standing())
	got = times(HandSteps+1, h.Open)
	must.Be(t, got != "" && h.Standing() == "supply 16/16", "%q, %s", got, h.Standing())
	if got := h.Vent(); !strings.Contains(got, "shut it first") {
		t.Errorf("%q, %s", got, h.Standing())
	}
	if h.Close(); h.Standing() != "supply 15/16" {
		t.Error(h.Standing())
	}
	h.Shut()
	h.Vent()
	must.Be(t, h.Standing() == "vent 1/16" && h.Command(View{}) == (Valve{Action: Vent, Opening: 1.0 / 256}), "%s, %+v", h.Standing(), h.Command(View{}))
}

// TestHandPutsFailuresOff: a probe that dies in a scene dies after the operator
// has begun, however long he took.
func TestHandPutsFailuresOff(t *testing.T) {
	d, hand := held(t, "dying-probe")
	none := func([]byte) {}
	d.Advance(200, none)
	dead := func() bool { return d.TimeS() >= d.inst.failures[0].AtS }
	must.Need(t, !dead(), "the probe died before the fill")
	hand.Shut()
	hand.Open()
	d.Advance(200+44, none)
	must.Be(t, !dead(), "the probe died too soon")
	d.Advance(200+46, none) // the scene's 55 s, of which its plan waits 10
	must.Be(t, dead(), "the probe did not die")
}
