package review

import (
	"cmp"
	"math"
	"slices"

	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// sensorBook follows the channels.
type sensorBook struct {
	lastS float64
	begun bool
	books []sensorTally
}

type sensorTally struct {
	goodS         float64
	ill           map[Ill]*Ill // by health and doubt alone
	last          float64      // value at the last sample, NaN: not good
	steps         float64      // squares of the steps from sample to sample
	n             float64
	before, after mean
	held          [2]mean // newest first: may be of a fill that has begun unseen
	heldS         float64
	least, most   float64
}

// add looks at the sensors after a sample.
func (b *sensorBook) add(s *monitor.Snapshot) {
	dt := s.TimeS - b.lastS
	if !b.begun || dt < 0 || dt > gapS {
		dt = 0 // nobody read them meanwhile
	}
	b.begun, b.lastS = true, s.TimeS
	for len(b.books) < len(s.Sensors) {
		b.books = append(b.books, sensorTally{ill: map[Ill]*Ill{}, last: math.NaN(), least: math.NaN(), most: math.NaN()})
	}
	quiet := s.Phase == phase.Vented || s.Phase == phase.Holding
	for i := range s.Sensors {
		b.books[i].add(&s.Sensors[i], s, dt, quiet)
	}
}

func (t *sensorTally) add(r *probe.Reading, s *monitor.Snapshot, dt float64, quiet bool) {
	if r.Health != probe.HealthGood {
		t.last = math.NaN()
		if r.Health != probe.HealthUnknown {
			t.note(Ill{Health: r.Health}, dt, s.TimeS)
		}
		return
	}
	t.goodS += dt
	if r.Doubt != probe.HealthUnknown {
		t.note(Ill{Health: r.Doubt, Doubt: true}, dt, s.TimeS)
	}
	t.least, t.most = quantity.LeastKnown(t.least, r.Value), quantity.MostKnown(t.most, r.Value)
	if step := r.Value - t.last; quiet && !math.IsNaN(step) {
		t.steps, t.n = t.steps+step*step, t.n+1
	}
	t.last = r.Value
	switch {
	case s.Phase != phase.Vented:
	case s.Summary.Begun:
		t.after.add(r.Value, dt)
	default:
		t.hold(r.Value, dt)
	}
}

// hold adds to the mean before the fill, seconds late: see beforeS.
func (t *sensorTally) hold(value, dt float64) {
	if t.heldS += dt; t.heldS >= beforeS {
		t.before.sum, t.before.weight = t.before.sum+t.held[1].sum, t.before.weight+t.held[1].weight
		t.held[1], t.held[0], t.heldS = t.held[0], mean{}, 0
	}
	t.held[0].add(value, dt)
}

func (t *sensorTally) note(key Ill, dt, timeS float64) {
	one := t.ill[key]
	if one == nil {
		one = &Ill{Health: key.Health, Doubt: key.Doubt, FirstS: timeS}
		t.ill[key] = one
	}
	one.S += dt
}

// done draws the sensors up.
func (b *sensorBook) done(last []probe.Reading, offsets *int) []Sensor {
	var out []Sensor
	for i := range min(len(last), len(b.books)) {
		r, t := &last[i], &b.books[i]
		s := Sensor{Channel: r.Channel, Role: r.Role, Kind: r.Kind, Station: r.Station, Offset: r.Offset,
			Pressure: r.Kind.Pressure(), GoodS: t.goodS, Least: t.least, Most: t.most, Before: t.before.value(), After: t.after.value(),
			// The steps between samples have twice the variance of the noise (von
			// Neumann 1941, from memory); a slow change adds next to nothing.
			Noise: math.Sqrt(t.steps / t.n / 2)}
		for _, ill := range t.ill {
			s.Ill = append(s.Ill, *ill)
		}
		slices.SortFunc(s.Ill, func(a, b Ill) int {
			return cmp.Or(cmp.Compare(b.S, a.S), cmp.Compare(a.FirstS, b.FirstS), cmp.Compare(a.Health, b.Health))
		})
		if r.Offset != 0 {
			*offsets++
		}
		out = append(out, s)
	}
	return out
}

// Title names a sensor: "wall sun, channel 3".
func (s *Sensor) Title() string {
	name := string(s.Role)
	if s.Role == vessel.RoleColdJunction {
		name = "cold junction"
	}
	if s.Station != "" {
		name += " " + s.Station
	}
	return name
}

// dataBook counts samples and silences.
type dataBook struct {
	d            Data
	firstS, last float64
}

// gapS is how long no sample must come to count as a gap: what the screen
// calls old.
const gapS = 1.0

func (b *dataBook) sample(timeS float64) {
	b.d.Samples++
	if math.IsNaN(b.firstS) {
		b.firstS = timeS
	}
	if gap := timeS - b.last; gap > gapS {
		b.d.Gaps++
		b.d.GapsS += gap
		if gap > b.d.GapMostS {
			b.d.GapMostS, b.d.GapMostT = gap, b.last
		}
	}
	if !(timeS < b.last) {
		b.last = timeS
	}
}

func (b *dataBook) done() Data {
	d := b.d
	d.SpanS = b.last - b.firstS
	if d.RateHz = math.NaN(); d.Samples > 1 && d.SpanS-d.GapsS > 0 {
		d.RateHz = float64(d.Samples-1-uint64(d.Gaps)) / (d.SpanS - d.GapsS)
	}
	return d
}
