package monitor

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/wire"
)

// hostedFill is a fill under a host that tells its time.
func hostedFill(t *testing.T, forS float64) *hosted {
	t.Helper()
	h := &hosted{stand: newStand(t, onsetFarC), r: rand.New(rand.NewPCG(1, 2))}
	h.hello()
	h.samples(60)
	h.rampPaS = 24 * barPerMin
	h.samples(int(forS * 10))
	must.Need(t, h.last.Phase == phase.Filling && h.last.Advice.Verdict.AsksForGas() && h.last.Link.AgeS <= 0.1,
		"no fill to begin with: %s, %s, age %v", h.last.Phase, h.last.Advice.Verdict, h.last.Link.AgeS)
	return h
}

// helloOf sends the stand's hello with a change.
func (h *hosted) helloOf(change func(*wire.Hello)) {
	hello := h.m.play.Hello
	change(&hello)
	h.step(wire.AppendHello(nil, 0, &hello))
}

// Session time under a host is the host's, and a device clock within two per
// cent changes neither phase nor ramp of a fill by more than that.
func TestFillUnderAHost(t *testing.T) {
	t.Parallel()
	h := hostedFill(t, 60)
	want := float64(h.hostMS)/1000 - 0.1
	must.Be(t, math.Abs(h.last.TimeS-want) <= 0.2, "session time %v, the host's is %v", h.last.TimeS, want)
	ramp := h.last.RampPaS / barPerMin
	must.Be(t, math.Abs(ramp-24) <= 0.3, "ramp %.2f bar/min, want 24", ramp)
}

// Another channel table from the same start of the same board is another
// logger: said, alarmed, judged from the start; under pressure no advice asks
// for gas and the fill is blind until somebody accepts it.
func TestChangedTableIsAnotherLogger(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*wire.Hello){
		"scale":   func(h *wire.Hello) { h.Channels[0].Scale = 8190 },
		"kind":    func(h *wire.Hello) { h.Channels[3] = wire.Channel{Index: 3, Kind: wire.KindCounts}; h.N = 4 },
		"label":   func(h *wire.Hello) { h.Channels[1].Label = wire.MakeLabel("elsewhere") },
		"board":   func(h *wire.Hello) { h.Board = 8 },
		"restart": func(h *wire.Hello) { h.Boot, h.Channels[0].Scale = 9, 8190 },
	} {
		h := hostedFill(t, 20)
		h.helloOf(change)
		at := h.last.TimeS
		n := h.m.play.Hello.N
		told := eventsOf(&h.last, EventRestart)
		if !slices.ContainsFunc(told, func(e string) bool { return strings.Contains(e, "the logger has changed") }) || !present(&h.last, alarm.LoggerChanged) {
			t.Errorf("%s: events %q, alarms %v", name, told, h.last.Alarms)
		}
		must.Be(t, math.IsNaN(h.last.PressurePa) && math.IsNaN(h.last.HottestK),
			"%s: pressure %v and wall %v of the logger before are still shown", name, h.last.PressurePa, h.last.HottestK)
		blind := math.NaN()
		h.see = func(s Snapshot) {
			must.Need(t, !s.Advice.Verdict.AsksForGas(), "%s: %s %.2f s after the change: %s", name, s.Advice.Verdict, s.TimeS-at, s.Advice.Reason)
			if present(&s, alarm.Blind) && math.IsNaN(blind) {
				blind = s.TimeS - at
			}
		}
		for range 80 {
			h.tell(h.periodMS)
			h.sampleWith(n)
			h.pad(h.rampPaS)
		}
		must.Be(t, blind <= 3.3, "%s: blind after %.2f s", name, blind)
		h.see = nil
		h.entry(wire.Entry{Kind: wire.EntryAcknowledge})
		for range 60 {
			h.tell(h.periodMS)
			h.sampleWith(n)
			h.pad(h.rampPaS)
		}
		must.Be(t, h.last.Advice.Verdict != advise.VerdictUnknown && !present(&h.last, alarm.Blind) && h.last.Link.AgeS <= 0.2,
			"%s, accepted: %s, %s, age %.2f s", name, h.last.Advice.Verdict, h.last.Advice.Reason, h.last.Link.AgeS)
	}
}

// An empty vessel needs nobody to accept another logger: it is said, and
// judged from the start.
func TestChangedTableOnAnEmptyVessel(t *testing.T) {
	t.Parallel()
	h := &hosted{stand: newStand(t, onsetFarC), r: rand.New(rand.NewPCG(1, 2))}
	h.hello()
	h.samples(60)
	h.helloOf(func(hello *wire.Hello) { hello.Board = 8 })
	must.Be(t, find(&h.last, alarm.LoggerChanged) != nil, "not said")
	h.samples(60)
	must.Be(t, h.last.Link.AgeS <= 0.2 && !math.IsNaN(h.last.HottestK) && h.m.trusted(), "age %.2f s, wall %v", h.last.Link.AgeS, h.last.HottestK)
}

// The age is that of the oldest reading that an order rests on, and a sample
// whose time is not later than the last one's, or of another count, moves none.
func TestAgeOfWhatAnOrderRestsOn(t *testing.T) {
	t.Parallel()
	for name, send := range map[string]func(h *hosted){
		"the same time":     func(h *hosted) { h.sampleOf() },
		"an earlier time":   func(h *hosted) { h.ms -= 10; h.sampleOf() },
		"a channel fewer":   func(h *hosted) { h.ms += 100; h.sampleWith(2) },
		"a channel more":    func(h *hosted) { h.ms += 100; h.sampleWith(4) },
		"no channel":        func(h *hosted) { h.ms += 100; h.sampleWith(0) },
		"nothing in it":     func(h *hosted) { h.ms += 100; h.dead = [5]bool{true, true, true, true, true}; h.sampleOf() },
		"fault and hello":   func(h *hosted) { h.step(wire.AppendFault(nil, 0, wire.Fault{Channel: 9})); h.hello() },
		"silence that lies": func(h *hosted) { h.step(wire.AppendSilence(nil, 0, wire.Silence{AgeMS: 0})) },
	} {
		h := hostedFill(t, 20)
		h.sampleOf()
		bar := h.last.PressurePa
		for range 20 {
			h.tell(100)
			send(h)
		}
		age := h.last.Link.AgeS
		must.Be(t, math.Abs(age-2) <= 0.15, "%s: age %.2f s after 2 s", name, age)
		p := h.last.PressurePa
		must.Be(t, math.IsNaN(p) || p == bar, "%s: pressure went from %v to %v", name, bar, p)
		must.Be(t, !h.last.Advice.Verdict.AsksForGas(), "%s: %s", name, h.last.Advice.Verdict)
	}
}

// A gas probe that is lost alone makes no reading of the pressure old; its
// loss is told as its own.
func TestLostProbeIsNoOldReading(t *testing.T) {
	t.Parallel()
	h := hostedFill(t, 20)
	h.dead[atGas] = true
	h.samples(50)
	must.Be(t, h.last.Link.AgeS <= 0.2 && !present(&h.last, alarm.DataStale) && present(&h.last, alarm.SensorIll) && present(&h.last, alarm.Blind),
		"age %.2f s, alarms %v", h.last.Link.AgeS, h.last.Alarms)
}

// Lost frames are counted as they are lost, and told at most every half
// minute; a restart and a cable that comes back are no loss.
func TestLostFramesAreTold(t *testing.T) {
	t.Parallel()
	h := hostedFill(t, 5)
	seq := uint8(250)
	send := func(gap uint8) {
		seq += gap
		h.tell(h.periodMS)
		v := wire.Sample{TimeMS: h.ms, N: 3}
		h.step(wire.AppendSample(nil, seq, &v))
		h.ms += h.periodMS
	}
	h.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkUp}))
	send(1)
	send(1)
	must.Need(t, h.last.Link.Lost == 0, "%d lost", h.last.Link.Lost)
	send(4)
	send(9)
	must.Be(t, h.last.Link.Lost == 11, "%d lost, want 3 and 8", h.last.Link.Lost)
	told := func() (n int) {
		for _, e := range eventsOf(&h.last, EventLink) {
			if strings.Contains(e, "frames were lost") {
				n++
			}
		}
		return n
	}
	if told() != 1 {
		t.Errorf("told %d times: %q", told(), eventsOf(&h.last, EventLink))
	}
	for range 310 {
		send(1)
	}
	if told() != 2 {
		t.Errorf("told %d times after half a minute: %q", told(), eventsOf(&h.last, EventLink))
	}
	h.step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkUp}))
	send(100)
	must.Be(t, h.last.Link.Lost == 11, "%d lost over a gap of the cable", h.last.Link.Lost)
}

// A jump of the device clock is told and makes no vent of it.
func TestJumpIsToldAndVentsNothing(t *testing.T) {
	t.Parallel()
	for _, byMS := range []uint32{20_000, 600_000} {
		h := hostedFill(t, 20)
		h.phases = nil
		h.ms += byMS
		h.samples(30)
		if !present(&h.last, alarm.LoggerIll) || !strings.Contains(strings.Join(eventsOf(&h.last, EventLink), ";"), "jumped ahead") {
			t.Errorf("jump of %d ms: alarms %v, events %q", byMS, h.last.Alarms, eventsOf(&h.last, EventLink))
		}
		must.Be(t, !slices.Contains(h.phases, "venting") && !slices.Contains(h.phases, "vented"), "jump of %d ms: phases %v", byMS, h.phases)
	}
}
