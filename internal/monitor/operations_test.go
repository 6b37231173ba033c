package monitor

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/recording"
	"fillwright/internal/wire"
)

// hosted is a stand under a host that tells its time, with a logger that can
// be made to do anything.
type hosted struct {
	*stand
	hostMS  uint32
	toldMS  uint32
	rampPaS float64
	r       *rand.Rand
}

// tell lets the host's time pass.
func (h *hosted) tell(ms uint32) {
	h.hostMS += ms
	if h.hostMS-h.toldMS >= wire.ArrivalEveryMS {
		h.toldMS = h.hostMS
		h.step(wire.AppendArrival(nil, 0, wire.Arrival{HostMS: h.hostMS}))
	}
}

// go on fills, holds or vents for n samples.
func (h *hosted) samples(n int) {
	for range n {
		h.tell(h.periodMS)
		h.sampleOf()
		h.pad(h.rampPaS)
		if h.rampPaS > 0 && h.gaugePa() > 45*testBar {
			h.rampPaS = 0
		}
		if h.gaugePa() <= 0 && h.rampPaS < 0 {
			h.rampPaS = 0
		}
	}
}

// quiet lets ms pass in which no sample comes, and perhaps something else.
func (h *hosted) quiet(ms int) {
	for range ms / 250 {
		h.tell(250)
		if h.r.IntN(2) == 0 {
			h.stepFrame(garbled(h.r, h.stand))
		}
	}
	h.ms += uint32(ms)
}

func (h *hosted) stepFrame(f wire.Frame) {
	h.frames = append(h.frames, f)
	h.last = h.m.Step(f)
	if h.see != nil {
		h.see(h.last)
	}
}

// operate does something that can happen on a pad.
func (h *hosted) operate() {
	switch h.r.IntN(18) {
	case 0, 1, 2:
		h.rampPaS = (5 + 80*h.r.Float64()) * barPerMin
	case 3, 4:
		h.rampPaS = 0
	case 5:
		h.rampPaS = -30 * barPerMin
	case 6:
		h.dead[h.r.IntN(5)] = true
	case 7, 8:
		h.dead = [5]bool{}
	case 9:
		h.quiet(250 * (1 + h.r.IntN(20)))
	case 10:
		h.boot++
		h.ms = 0
		h.hello()
	case 11:
		h.ms += uint32(h.r.IntN(8000)) // a jump, or a stall of the host's
	case 12:
		h.ms -= uint32(h.r.IntN(3000))
	case 13:
		h.sigmaPa, h.sigmaK = 20_000*h.r.Float64(), h.r.Float64()
	case 14:
		h.entry(wire.Entry{Kind: wire.EntryAcknowledge})
	case 15:
		h.surface(uint8(h.r.IntN(2)), 285+40*h.r.Float64())
	case 16:
		h.entry(wire.Entry{Kind: wire.EntryTarget, Value: int32(h.r.IntN(60e5))})
	case 17:
		for range h.r.IntN(6) {
			h.stepFrame(garbled(h.r, h.stand))
		}
		h.hello()
	}
	h.samples(h.r.IntN(60))
}

// orderly checks what must hold of any Snapshot, whatever happened.
type orderly struct {
	onsetK, reserveK float64
	rampMostPaS      float64
	beforeS          float64
	over             bool // the wall may have reached onset under pressure in this fill
}

func (o *orderly) see(s *Snapshot) error {
	if err := believable(s); err != nil {
		return err
	}
	if s.TimeS < o.beforeS {
		return fmt.Errorf("session time fell from %v to %v", o.beforeS, s.TimeS)
	}
	o.beforeS = s.TimeS
	if present(s, alarm.WallOver) && s.PressurePa > underPa {
		o.over = true
	}
	if s.Phase == phase.Vented {
		o.over = false
	}
	if !s.Advice.Verdict.AsksForGas() {
		return nil
	}
	a := &s.Advice
	for name, x := range map[string]float64{
		"pressure": s.PressurePa, "hottest": s.HottestK, "band": s.BandK, "margin": s.MarginK,
		"advised ramp": a.RampPaS, "peak": a.PeakK, "peak's band": a.PeakBandK,
	} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%s asks for gas while the %s is %v", a.Verdict, name, x)
		}
	}
	switch {
	case s.Link.AgeS > recording.StaleMostS:
		return fmt.Errorf("%s asks for gas with readings %.2f s old", a.Verdict, s.Link.AgeS)
	case a.PeakK+a.PeakBandK > o.onsetK-o.reserveK+0.05:
		return fmt.Errorf("%s asks for gas with a peak of %.2f ± %.2f K over the limit of %.2f K", a.Verdict, a.PeakK, a.PeakBandK, o.onsetK-o.reserveK)
	case !(a.RampPaS > 0 && a.RampPaS <= o.rampMostPaS*(1+1e-9)):
		return fmt.Errorf("%s advises %v Pa/s", a.Verdict, a.RampPaS)
	case o.over:
		return fmt.Errorf("%s asks for gas after the wall was at onset under pressure", a.Verdict)
	}
	for i := range s.Alarms {
		if al := &s.Alarms[i]; al.Level == alarm.LevelAbort && (al.State == alarm.StateUnacknowledged || al.State == alarm.StateAcknowledged) {
			return fmt.Errorf("%s asks for gas while %s stands", a.Verdict, al.Name)
		}
	}
	return nil
}

// Random sequences of what can happen on a pad and on its cable, with every
// invariant checked at every input. MONITOR_SEQUENCES asks for more of them.
func TestOperations(t *testing.T) {
	t.Parallel()
	sequences := 16
	if n, err := strconv.Atoi(os.Getenv("MONITOR_SEQUENCES")); err == nil {
		sequences = n
	}
	asked := 0
	for seed := range uint64(sequences) {
		p := testProfile(t, 54, skinChannels)
		h := &hosted{stand: standOn(t, p), r: rand.New(rand.NewPCG(seed, 21))}
		o := orderly{onsetK: float64(p.Resin.Onset), reserveK: float64(p.Limits.Reserve), rampMostPaS: float64(p.Limits.RampMost)}
		n, failed := 0, false
		h.see = func(s Snapshot) {
			n++
			if s.Advice.Verdict.AsksForGas() {
				asked++
			}
			if err := o.see(&s); err != nil && !failed {
				failed = true
				t.Errorf("seed %d, input %d at %.2f s: %v", seed, n, s.TimeS, err)
			}
		}
		h.hello()
		h.samples(40)
		for range 14 {
			h.operate()
		}
	}
	must.Be(t, asked >= sequences*20, "gas was asked for at only %d inputs: the sequences prove nothing", asked)
}
