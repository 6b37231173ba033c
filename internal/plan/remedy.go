package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
	"fillwright/internal/weather"
)

// Remedy is something that may be done about a wall that gets too warm, with what
// it costs. Its change is made to a copy of the setup.
type Remedy struct {
	Key  string // stable, kebab-case
	Name string
	Cost string
	// LastsS is how long it helps once it is in place; +Inf: as long as wanted.
	LastsS float64
	change func(s *Setup, c *Course)
}

// Effect is what a remedy, or two of them, come to.
type Effect struct {
	Keys    []string
	Name    string
	Cost    string
	LastsS  float64
	GainK   float64 // margin gained at the ramp compared at
	Peak    Estimate
	RampPaS float64 // fastest with it; 0: none
	FillS   float64 // to the target at that
	Expires bool    // it is worthless before the target is reached
}

// Comparison is the remedies side by side, sorted by margin gained.
type Comparison struct {
	AtPaS  float64 // the ramp that they are compared at
	Alone  []Effect
	Both   Effect // the best two together
	Before Effect // with none
}

// The sizes of the remedies. Common practice, no source; the finish's absorptance
// is a white paint's between new and aged (0.17, 0.25, 0.34: US EPA AP-42, from
// memory).
const (
	shadeS        = 20 * 60.0
	slowerTimes   = 0.5
	stageShare    = 0.5
	stageWaitS    = 300.0
	whitePaint    = 0.25
	whiteSigma    = 0.08
	wrapKgM2      = 0.4 // a cotton towel, wrung out
	wrapWorth     = 0.5 // of the time until it is dry
	waterShare    = 0.1 // of the vessel's volume
	onsetMoreK    = tenK
	supplyColderK = tenK
	lowerTimes    = 0.8
	hourLeast     = 5.0
	hourMost      = 22.0
)

const slowerKey = "slower"

// tenK is how much better a resin or a supply is taken to be, with its text in the
// names of remedies.
const (
	tenK     = 10.0
	tenKText = "10 °C"
)

// Told is a remedy's name in the operator's units.
func Told(name string, u quantity.System) string {
	return strings.ReplaceAll(name, tenKText, strings.Replace(u.Difference(tenK), ".0 ", " ", 1))
}

// Remedies are those that make sense for a setup.
func (s *Setup) Remedies() []Remedy {
	d, forever := &s.Day, math.Inf(1)
	list := []Remedy{
		{slowerKey, "half the ramp", "twice the time", forever, func(s *Setup, c *Course) { c.slower(float64(s.Vessel.Limits.RampLeast)) }},
		{"two-stages", fmt.Sprintf("two stages, %.0f min", stageWaitS/60), fmt.Sprintf("%.0f min more, shut between", stageWaitS/60), forever,
			func(_ *Setup, c *Course) { c.stages() }},
		{"lower-target", fmt.Sprintf("%.0f %% of the target", 100*lowerTimes), "less pressure", forever, func(s *Setup, _ *Course) { s.Day.TargetPa *= lowerTimes }},
		{"colder-supply", "gas " + tenKText + " colder", "the cylinder and hose kept cool", forever, func(s *Setup, _ *Course) {
			s.Day.ColderK += supplyColderK
		}},
		{"other-resin", "onset " + tenKText + " higher", "another resin, or a warmer cure", forever, func(s *Setup, _ *Course) { s.OnsetK += onsetMoreK }},
	}
	if d.Light != LightShade {
		list = append(list, Remedy{"shade", fmt.Sprintf("shade %.0f min, kept", shadeS/60), fmt.Sprintf("an awning, %.0f min before", shadeS/60), forever, shaded})
		if d.Absorptance.Value > whitePaint+whiteSigma {
			list = append(list, Remedy{"white-finish", "white finish", "paint; it ages", forever, func(s *Setup, _ *Course) {
				s.Day.Absorptance = Figure{whitePaint, whiteSigma, true}
				s.unread()
			}})
		}
	}
	if d.WrapKgM2 == 0 {
		list = append(list, s.wrap())
	}
	if room := waterShare * float64(s.Vessel.Volume); d.WaterM3 < room {
		list = append(list, Remedy{"water", fmt.Sprintf("%.0f %% water inside", 100*waterShare), "weight; the dry wall counts", forever,
			func(s *Setup, _ *Course) { s.Day.WaterM3 = room }})
	}
	if h, ok := s.coolerHour(); ok {
		list = append(list, Remedy{"other-hour", fmt.Sprintf("at %s instead", HourText(h)), "another hour", forever, func(s *Setup, _ *Course) { s.Day = s.Day.at(h); s.unread() }})
	}
	return list
}

// unread forgets readings that were taken under other conditions; whoever read
// then reads again.
func (s *Setup) unread() {
	d := &s.Day
	d.Reread[thermal.SideSun] = d.Reread[thermal.SideSun] || !math.IsNaN(d.WallSunK)
	d.Reread[thermal.SideShade] = d.Reread[thermal.SideShade] || !math.IsNaN(d.WallShadeK)
	d.WallSunK, d.WallShadeK = math.NaN(), math.NaN()
}

// shaded puts the vessel into the shade for shadeS before the fill, and in it: a
// wall that was warm has come near the shade by then, as far as its lag allows.
func shaded(s *Setup, _ *Course) {
	st := s.start(&s.Day)
	warm := math.Max(st.wallSunK, s.Day.WallSunK)
	if math.IsNaN(warm) {
		warm = st.wallSunK
	}
	s.Day.SayShade()
	s.unread()
	left := math.Exp(-shadeS * s.start(&s.Day).outsideWM2K / s.Vessel.WallAreaHeatJM2K())
	s.Day.LeftK = math.Max(0, left*(warm-st.airK))
	s.Day.SayStand(shadeS)
}

// wrap is a wet wrap with how long it helps on this day: at most half of the time
// in which it dries in the sun.
func (s *Setup) wrap() Remedy {
	pad := s.pad(&s.Day)
	w := pad.Wrapped(s.Day.Humidity.Value)
	lasts := wrapWorth * w.DryInS(wrapKgM2)
	return Remedy{"wet-wrap", fmt.Sprintf("wet wrap, %.0f min", lasts/60), fmt.Sprintf("worthless once dry: wet it again every %.0f min", lasts/60), lasts,
		func(s *Setup, _ *Course) { s.Day.WrapKgM2 = wrapKgM2; s.unread() }}
}

// coolerHour is the hour of the day whose warmest wall before the gas is the
// coolest; not ok where the day's hour is not known or no other is cooler.
func (s *Setup) coolerHour() (float64, bool) {
	d := &s.Day
	if math.IsNaN(d.Hour) || d.Light == LightMeasured {
		return 0, false
	}
	best, at := s.start(d).outSunK, d.Hour
	for h := hourLeast; h <= hourMost; h++ {
		other := d.at(h)
		if k := s.start(&other).outSunK; k < best-0.5 {
			best, at = k, h
		}
	}
	return at, at != d.Hour
}

// HourText prints an hour of the day: "7:00".
func HourText(h float64) string {
	minutes := int(math.Round(h * 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// slower halves a course's ramps, as far as the valve can hold such a ramp.
func (c *Course) slower(leastPaS float64) {
	for i := range *c {
		if r := &(*c)[i].RampPaS; *r > leastPaS {
			*r = math.Max(slowerTimes**r, leastPaS)
		}
	}
}

// stages puts a wait into the middle of a course's last leg.
func (c *Course) stages() {
	last := (*c)[len(*c)-1]
	first := last
	first.ToPa = stagePa(last.ToPa)
	*c = append((*c)[:len(*c)-1], first, Leg{ForS: stageWaitS}, last)
}

// stagePa is where the first of two stages ends, absolute.
func stagePa(toPa float64) float64 { return stageShare*toPa + (1-stageShare)*weather.SeaLevelPa }

// Compare works the remedies out at the advised ramp, at one in the middle where
// there is none: each alone, and the best two together.
func Compare(s Setup, rampPaS float64) Comparison {
	least, most := float64(s.Vessel.Limits.RampLeast), float64(s.Vessel.Limits.RampMost)
	at := rampPaS
	if !(at > least) {
		at = math.Sqrt(least * most)
	}
	c := Comparison{AtPaS: at, Before: s.effect(nil, at, nil)}
	base := &c.Before
	list := s.Remedies()
	for i := range list {
		c.Alone = append(c.Alone, s.effect([]Remedy{list[i]}, at, base))
	}
	slices.SortStableFunc(c.Alone, func(a, b Effect) int { return -cmp.Compare(a.GainK, b.GainK) })
	c.Both = s.bestTwo(list, &c, at)
	return c
}

// pairsOf is how many of the best remedies are tried in pairs.
const pairsOf = 4

// bestTwo are the two of the best remedies that gain most together.
func (s *Setup) bestTwo(list []Remedy, c *Comparison, at float64) Effect {
	find := func(e *Effect) Remedy {
		return list[slices.IndexFunc(list, func(r Remedy) bool { return r.Key == e.Keys[0] })]
	}
	best, most := []Remedy(nil), math.Inf(-1)
	n := min(pairsOf, len(c.Alone))
	for i := range n {
		for j := i + 1; j < n; j++ {
			pair := []Remedy{find(&c.Alone[i]), find(&c.Alone[j])}
			if e, _ := s.margin(pair, at); e.GainK > most {
				best, most = pair, e.GainK
			}
		}
	}
	if best == nil {
		return Effect{}
	}
	return s.effect(best, at, &c.Before)
}

// With is the setup with remedies of the given keys, and what they make of a
// course; keys that make no sense for it change nothing.
func (s Setup) With(keys ...string) (Setup, func(*Course)) {
	var ways []func(*Setup, *Course)
	for _, r := range s.Remedies() {
		if slices.Contains(keys, r.Key) {
			ways = append(ways, r.change)
		}
	}
	out := s
	var none Course
	for _, w := range ways {
		c := append(none, Leg{})
		w(&out, &c)
	}
	return out, func(c *Course) {
		for _, w := range ways {
			scrap := s
			w(&scrap, c)
		}
	}
}

// effect is what remedies come to: the margin at the ramp compared at, and the
// fastest ramp with them.
func (s *Setup) effect(list []Remedy, atPaS float64, base *Effect) Effect {
	e, q := s.margin(list, atPaS)
	if base != nil {
		e.GainK -= base.GainK
	}
	found := q.single()
	if len(list) == 1 && list[0].Key == slowerKey && found > atPaS {
		found = atPaS // what is compared is half of that ramp, not half of a faster one
	}
	course := q.one(math.Max(found, q.leastPaS))
	if found > 0 {
		e.RampPaS = course[0].RampPaS
	}
	e.FillS = q.lengthS(course)
	e.Expires = e.LastsS < e.FillS
	return e
}

// margin is the margin at a ramp with remedies in place, in GainK, and the search
// that found it.
func (s *Setup) margin(list []Remedy, atPaS float64) (Effect, *search) {
	e := Effect{LastsS: math.Inf(1)}
	for i, r := range list {
		e.Keys = append(e.Keys, r.Key)
		if i > 0 {
			e.Name, e.Cost = e.Name+" + ", e.Cost+"; "
		}
		e.Name, e.Cost, e.LastsS = e.Name+r.Name, e.Cost+r.Cost, math.Min(e.LastsS, r.LastsS)
	}
	with, shape := s.With(e.Keys...)
	q := newSearch(&with, with.causes())
	q.shape = shape
	course := q.one(atPaS)
	o := q.aim(course)
	upper := q.upperK(course)
	e.Peak, e.GainK = Estimate{o.valueK, upper - o.valueK}, with.OnsetK-upper
	return e, q
}
