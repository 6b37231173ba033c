package estimate

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// Tracker leads a filter through a session. It averages samples in blocks, drives
// the gas balance by a line through the last pressures, carries on where the
// pressure is lost, and can take hand-held readings back. See NewTracker.
type Tracker struct {
	*Filter
	ambientPa float64 // absolute
	block     block
	pressure  slope
	bead      slope // for its noise
	mass      slope // of the gas inventory: apart from what heats and cools it tells what flows
	ramp      Line
	supply    supplied
	last      lastDrive
	undo      undo
}

// NewTracker makes a tracker that knows nothing yet; ambientPa is absolute.
func NewTracker(cfg Config, ambientPa float64) *Tracker {
	return &Tracker{Filter: New(cfg), ambientPa: ambientPa}
}

// Configure starts the filter anew with what is known of sensors and model by
// now; what was read stays.
func (t *Tracker) Configure(cfg Config) { t.Filter = New(cfg) }

const (
	stepMostS     = 2.0    // a longer gap is taken in steps of this
	stepsMost     = 40     // of one gap
	ambientBlindK = 293.15 // ambient of a vessel without any thermometer
	stepLeastS    = 0.01   // shorter blocks are not worth a step
	gapS          = 3.0    // longer than this and than the readings' rhythm is a gap
	gapShare      = 0.2    // of the absolute pressure: more than standing does to it
)

// lastDrive is where the filter stands.
type lastDrive struct {
	everyS               float64 // between the last two blocks
	beadK                float64 // with which the pressure went, 0: not known
	pPa, timeS, ambientK float64 // absolute Pa, session s, K (0: not known yet)
}

// Add takes a sample in and tells whether a block is complete with it. Blocks are
// short while gas flows, and for a while after.
func (t *Tracker) Add(timeS float64, s *Sample, short bool) (complete bool) {
	t.supply.add(s)
	lengthS := blockStandS
	if short {
		lengthS = blockFlowS
	}
	if !t.block.add(timeS, lengthS, s) {
		return false
	}
	if out := &t.block.out; !math.IsNaN(out.BeadK) {
		t.bead.add(out.TimeS, out.BeadK)
	}
	return true
}

// Outcome is what a block did to the estimate.
type Outcome uint8

// The outcomes.
const (
	Waits   Outcome = iota // nothing: there is no pressure
	Carried                // it went on without pressure
	Goes                   // it went on, or will once a thermometer is there
	Anew                   // it began anew: during a gap the pressure went elsewhere
)

// Advance takes the filter on by the block that is complete. shut tells that the
// vessel stands shut.
func (t *Tracker) Advance(shut bool) Outcome {
	r, how := &t.block.out, Goes
	supply := t.supply.end(r.TimeS, t.ambientPa)
	if math.IsNaN(r.PressurePa) {
		return t.withoutPressure(shut)
	}
	t.pressure.add(r.TimeS, r.PressurePa)
	t.ramp = t.pressure.line(RampS)
	if t.Started() {
		how = t.withPressure(supply)
	} else {
		t.Feed(supply)
		t.start()
	}
	if t.Started() {
		t.mass.add(r.TimeS, t.Flow().MassKg)
	}
	return how
}

func (t *Tracker) withPressure(supply thermal.Supply) Outcome {
	d := t.drive(t.AbsolutePa(t.pressure.line(driveS).EndPa))
	d.supply = supply
	switch {
	case d.dtS < stepLeastS:
	case t.strange(&d):
		t.undo.forget()
		t.start()
		return Anew
	default:
		t.last.everyS = d.dtS
		t.run(&d)
	}
	return Goes
}

// start sets the filter up once pressure and a temperature are known.
func (t *Tracker) start() {
	r := &t.block.out
	gasK := r.BeadK
	for _, k := range []float64{r.SecondK, r.AmbientK} {
		if math.IsNaN(gasK) {
			gasK = k
		}
	}
	if math.IsNaN(gasK) {
		return
	}
	abs := t.AbsolutePa(r.PressurePa)
	t.Start(gasK, t.ambient(), abs, r.PressurePa > vessel.UnderPressurePa)
	t.last.pPa, t.last.timeS = abs, r.TimeS
	// What sensors on the wall read is known from the first block on: without them a
	// vessel under pressure may be at any temperature, and be vented for it.
	for i, k := range r.SkinK {
		t.CorrectSkin(i, k, blockFlowS)
	}
}

// ambient is the best that is known of the air around: its sensor, or the
// bead while the vessel stood vented.
func (t *Tracker) ambient() float64 {
	switch r := &t.block.out; {
	case !math.IsNaN(r.AmbientK):
		t.last.ambientK = r.AmbientK
	case t.last.ambientK == 0 && !math.IsNaN(r.BeadK):
		t.last.ambientK = r.BeadK
	case t.last.ambientK == 0:
		t.last.ambientK = ambientBlindK
	}
	return t.last.ambientK
}

// withoutPressure carries the estimate on while a vessel stands shut and its
// pressure sensor is lost: the gas in a shut vessel keeps its mass, so its
// pressure follows the bead's temperature (ideal gas, p/T constant). While gas
// flows nothing can be carried on: then what was estimated is soon not known any
// more, see AgeS.
func (t *Tracker) withoutPressure(shut bool) Outcome {
	if !t.Started() || !shut || math.IsNaN(t.block.out.BeadK) || !(t.last.beadK > 0) {
		return Waits
	}
	d := t.drive(t.last.pPa * t.block.out.BeadK / t.last.beadK)
	if d.dtS < stepLeastS {
		return Waits
	}
	t.run(&d)
	return Carried
}

// drive is one block as the filter takes it.
type drive struct {
	p1Pa, p2Pa, ambientK, dtS float64
	beadK, secondK            float64
	skinK                     [thermal.PlacesMost]float64
	supply                    thermal.Supply
}

// drive is the block that is complete, at whose end the absolute pressure is p2Pa.
func (t *Tracker) drive(p2Pa float64) drive {
	r := &t.block.out
	return drive{p1Pa: t.last.pPa, p2Pa: p2Pa, ambientK: t.ambient(), dtS: r.TimeS - t.last.timeS, beadK: r.BeadK, secondK: r.SecondK, skinK: r.SkinK}
}

// strange tells whether the pressure went elsewhere during a gap: how gas
// flowed then is not known, and perhaps it is another vessel.
func (t *Tracker) strange(d *drive) bool {
	return d.dtS > gapS && d.dtS > 3*t.last.everyS && math.Abs(d.p2Pa-d.p1Pa) > gapShare*d.p1Pa
}

// run predicts over a block and corrects with what its sensors said.
func (t *Tracker) run(d *drive) {
	t.undo.keep(d)
	t.last.pPa, t.last.timeS = d.p2Pa, t.block.out.TimeS
	if !math.IsNaN(d.beadK) {
		t.last.beadK = d.beadK
	}
	d.apply(t.Filter)
}

func (d *drive) apply(o *Filter) {
	o.Feed(d.supply)
	n := min(max(1, int(math.Ceil(d.dtS/stepMostS))), stepsMost)
	dt, dp := d.dtS/float64(n), (d.p2Pa-d.p1Pa)/float64(n)
	for i := 0; i < n; i++ {
		p := d.p1Pa + float64(i)*dp
		o.Predict(p, p+dp, d.ambientK, dt)
	}
	if !math.IsNaN(d.beadK) {
		o.CorrectGas(d.beadK, d.dtS)
	}
	if !math.IsNaN(d.secondK) {
		o.CorrectSecond(d.secondK, d.dtS)
	}
	for i, k := range d.skinK {
		if !math.IsNaN(k) {
			o.CorrectSkin(i, k, d.dtS)
		}
	}
}
