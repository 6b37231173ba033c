package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
)

// Remedy is something that may be done about a wall that gets too warm, with what
// it costs. Its change is made to a copy of the setup.
type Remedy struct {
	Key   string // stable, kebab-case
	Digit rune   // of the key that puts it in place; it never changes
	Name  string
	Cost  string
	Later bool   // not today: another vessel, or days of work
	Needs string // what to say first, so that it can be compared; "": nothing
	// LastsS is how long it helps once it is in place; +Inf: as long as wanted.
	LastsS float64
	change func(s *Setup, c *Course)
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

// slowerKey is of the remedy that is no change of the day: it halves the ramp that
// was found.
const slowerKey = "slower"

// tenK is how much better a resin or a supply is taken to be.
const tenK = 10.0

// Marks in the names of remedies, for which Told puts quantities.
const (
	tenKMark  = "{10 K}"
	stageMark = "{stage}"
)

// Told is a remedy's name in the operator's units.
func (s *Setup) Told(name string, u quantity.System) string {
	whole := func(text string) string { return strings.Replace(text, ".0 ", " ", 1) }
	return strings.NewReplacer(tenKMark, whole(u.Difference(tenK)), stageMark, whole(u.Pressure(s.stagePa()))).Replace(name)
}

// Remedies are those that make sense for a setup, by their digits.
func (s *Setup) Remedies() []Remedy {
	d, forever := &s.Day, math.Inf(1)
	stagePa := s.stagePa() + float64(s.Vessel.AmbientPressure)
	list := []Remedy{
		{Key: slowerKey, Digit: '1', Name: "half the ramp", Cost: "twice the time", LastsS: forever, change: func(*Setup, *Course) {}},
		{Key: "two-stages", Digit: '2', Name: fmt.Sprintf("shut %.0f min at %s", stageWaitS/60, stageMark), Cost: fmt.Sprintf("two stages, %.0f min more", stageWaitS/60), LastsS: forever,
			change: func(_ *Setup, c *Course) { c.stages(stagePa) }},
		{Key: "lower-target", Digit: '3', Name: fmt.Sprintf("%.0f %% of the target", 100*lowerTimes), Cost: "less pressure", LastsS: forever,
			change: func(s *Setup, _ *Course) { s.Day.TargetPa *= lowerTimes }},
		{Key: "colder-supply", Digit: '6', Name: "gas " + tenKMark + " colder", Cost: "cylinder and hose kept cool", LastsS: forever,
			change: func(s *Setup, _ *Course) { s.Day.ColderK += supplyColderK }},
		{Key: "other-resin", Digit: '0', Name: "onset " + tenKMark + " higher", Cost: "resin or its cure", Later: true, LastsS: forever,
			change: func(s *Setup, _ *Course) { s.OnsetK += onsetMoreK }},
	}
	if d.Light != LightShade {
		list = append(list, Remedy{Key: "shade", Digit: '4', Name: fmt.Sprintf("shade %.0f min, kept", shadeS/60), Cost: fmt.Sprintf("an awning, %.0f min before", shadeS/60), LastsS: forever, change: shaded})
		if d.Absorptance.Value > whitePaint+whiteSigma {
			list = append(list, Remedy{Key: "white-finish", Digit: '9', Name: "white finish", Cost: "paint; it ages", Later: true, LastsS: forever,
				change: func(s *Setup, _ *Course) {
					s.Day.Absorptance = Figure{whitePaint, whiteSigma, true}
					s.unread()
				}})
		}
	}
	if d.WrapKgM2 == 0 {
		lasts := s.wrapLastsS()
		list = append(list, Remedy{Key: "wet-wrap", Digit: '5', Name: fmt.Sprintf("wrap, dry in %.0f min", lasts/60), Cost: "wet paper, just before gas", LastsS: lasts,
			change: func(s *Setup, _ *Course) { s.Day.WrapKgM2 = wrapKgM2; s.unread() }})
	}
	if room := waterShare * float64(s.Vessel.Volume); d.WaterM3 < room {
		list = append(list, Remedy{Key: "water", Digit: '8', Name: fmt.Sprintf("%.0f %% water inside", 100*waterShare), Cost: "weight; the dry wall counts", LastsS: forever,
			change: func(s *Setup, _ *Course) { s.Day.WaterM3 = room }})
	}
	list = append(list, s.otherHour()...)
	slices.SortFunc(list, func(a, b Remedy) int { return cmp.Compare(order(a.Digit), order(b.Digit)) })
	return list
}

// order puts the digits as they lie on a keyboard: 1 to 9, 0.
func order(digit rune) int { return (int(digit-'0') + 9) % 10 }

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
	left := math.Exp(-shadeS * s.start(&s.Day).gains.OutsideWM2K / s.Vessel.WallAreaHeatJM2K())
	s.Day.LeftK = math.Max(0, left*(warm-st.airK))
	s.Day.SayStand(shadeS)
}

// wrapLastsS is how long a wet wrap helps on this day: half of the time in which it
// dries in the sun.
func (s *Setup) wrapLastsS() float64 {
	pad := s.pad(&s.Day)
	w := pad.Wrapped(s.Day.Humidity.Value)
	return wrapWorth * w.DryInS(wrapKgM2)
}

// otherHour is the hour of the day whose warmest wall before the gas is the coolest,
// if there is one; or what is to be said before one can be looked for.
func (s *Setup) otherHour() []Remedy {
	d := &s.Day
	r := Remedy{Key: "other-hour", Digit: '7', Name: "another hour", Cost: "the crew, earlier or later", LastsS: math.Inf(1)}
	switch dated := d.PlaceSaid && d.Date.Year != 0; {
	case d.Light == LightMeasured && !dated:
		r.Needs = "place, date and time"
		return []Remedy{r}
	case math.IsNaN(d.Hour):
		r.Needs = "the time of day"
		return []Remedy{r}
	}
	best, at := s.start(d).outSunK, d.Hour
	for h := hourLeast; h <= hourMost; h++ {
		other := s.dayAt(h)
		if k := s.start(&other).outSunK; k < best-0.5 {
			best, at = k, h
		}
	}
	if at == d.Hour {
		return nil
	}
	r.Name = "at " + HourText(at) + " instead"
	r.change = func(s *Setup, _ *Course) { s.Day = s.dayAt(at); s.unread() }
	return []Remedy{r}
}

// dayAt is the day at another hour. What was measured of the sun says nothing of
// that: a clear sky's sun stands in for it, as square on as the measured one.
func (s *Setup) dayAt(hour float64) Day {
	d := s.Day.at(hour)
	if d.Light == LightMeasured {
		sky := d.Sun().Clear(float64(s.Vessel.AmbientPressure))
		d.SaySun(sky.BeamWM2 + sky.DiffuseWM2)
		d.SunWM2.Sigma = math.Max(d.SunWM2.Sigma, clearSun*d.SunWM2.Value)
	}
	return d
}

// HourText prints an hour of the day: "7:00".
func HourText(h float64) string {
	minutes := int(math.Round(h * 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// stagePa is where the first of two stages ends, gauge: the name of the remedy says it.
func (s *Setup) stagePa() float64 { return stageShare * s.Day.TargetPa }

// stages puts a wait at a pressure, absolute, into a course's last leg.
func (c *Course) stages(atPa float64) {
	last := (*c)[len(*c)-1]
	first := last
	first.ToPa = atPa
	*c = append((*c)[:len(*c)-1], first, thermal.Leg{ForS: stageWaitS}, last)
}
