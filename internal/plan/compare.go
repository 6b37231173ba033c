package plan

import (
	"cmp"
	"math"
	"slices"
)

// Use is whether a remedy is any on the day, the most use first.
type Use uint8

// The uses.
const (
	UseNow     Use = iota // may be done today, and there is a ramp then
	UseShort              // may be done today, but there is no ramp with it alone
	UseLater              // not today: another vessel, or days of work
	UseDries              // dry before the target, when nobody may wet it
	UseUnknown            // not compared: something was not said, or can't be forecast
)

var useNames = [...]string{"now", "not-enough", "not-today", "dries", "unknown"}

// String is the name in JSON.
func (u Use) String() string { return useNames[u] }

// Effect is what a remedy, or two of them, come to.
type Effect struct {
	Keys    []string
	Name    string
	Cost    string
	Needs   string // what to say, so that it can be compared
	Later   bool   // not today
	LastsS  float64
	GainK   float64 // margin gained at the ramp compared at
	Peak    Estimate
	RampPaS float64 // fastest with it; 0: none
	FillS   float64 // to the target at that
}

// Use tells whether there is any use in it; what is not known is none.
func (e *Effect) Use() Use {
	switch {
	case e.Needs != "" || math.IsNaN(e.GainK):
		return UseUnknown
	case e.LastsS < e.FillS:
		return UseDries
	case e.Later:
		return UseLater
	case !(e.RampPaS > 0):
		return UseShort
	}
	return UseNow
}

// Comparison is the remedies side by side: what may be done now first, and of those
// what gains most.
type Comparison struct {
	AtPaS  float64 // the ramp that they are compared at
	Alone  []Effect
	Both   Effect // the best two together
	Before Effect // with none but those that are in place
}

// Compare works the remedies out at the advised ramp, at one in the middle where
// there is none: each by itself, and the best two together, all beside those of the
// keys that are in place. One that is in place gains what would be lost without it.
func Compare(s Setup, rampPaS float64, on ...string) Comparison {
	least, most := float64(s.Vessel.Limits.RampLeast), float64(s.Vessel.Limits.RampMost)
	at := rampPaS
	if !(at > least) {
		at = math.Sqrt(least * most)
	}
	if slices.Contains(on, slowerKey) { // the ramp is halved already, and each row halves it
		at = math.Min(at/slowerTimes, most)
	}
	list := s.Remedies()
	c := Comparison{AtPaS: at, Before: s.effect(on, at)}
	for i := range list {
		if list[i].Key == slowerKey && !(slowerTimes*rampPaS >= least) && !slices.Contains(on, slowerKey) {
			continue // the valve can't hold half of it
		}
		c.Alone = append(c.Alone, s.beside(&list[i], on, &c))
	}
	slices.SortStableFunc(c.Alone, func(a, b Effect) int {
		return cmp.Or(cmp.Compare(a.Use(), b.Use()), -cmp.Compare(a.GainK, b.GainK))
	})
	c.Both = s.bestTwo(&c, on)
	return c
}

// beside is a remedy beside those in place, or without which they are fewer.
func (s *Setup) beside(r *Remedy, on []string, c *Comparison) Effect {
	var e Effect
	switch {
	case r.Needs != "":
		e = Effect{GainK: math.NaN(), FillS: math.NaN()}
	case slices.Contains(on, r.Key):
		less, _ := s.margin(without(on, r.Key), c.AtPaS)
		e = c.Before
		e.GainK -= less.GainK
	default:
		e = s.effect(with(on, r.Key), c.AtPaS)
		e.GainK -= c.Before.GainK
	}
	e.Keys, e.Name, e.Cost, e.Needs, e.Later, e.LastsS = []string{r.Key}, r.Name, r.Cost, r.Needs, r.Later, r.LastsS
	return e
}

func with(on []string, key ...string) []string { return append(slices.Clone(on), key...) }

func without(on []string, key string) []string {
	return slices.DeleteFunc(slices.Clone(on), func(k string) bool { return k == key })
}

// pairsOf is how many of the best remedies are tried in pairs.
const pairsOf = 4

// bestTwo are the two of the best remedies for today that gain most together, at a
// ramp that they are to make faster.
func (s *Setup) bestTwo(c *Comparison, on []string) Effect {
	var best []*Effect
	for i := range c.Alone {
		if e := &c.Alone[i]; e.Use() <= UseShort && e.Keys[0] != slowerKey && !slices.Contains(on, e.Keys[0]) && len(best) < pairsOf {
			best = append(best, e)
		}
	}
	var pair [2]*Effect
	most := math.Inf(-1)
	for i, a := range best {
		for _, b := range best[i+1:] {
			if e, _ := s.margin(with(on, a.Keys[0], b.Keys[0]), c.AtPaS); e.GainK > most {
				pair, most = [2]*Effect{a, b}, e.GainK
			}
		}
	}
	a, b := pair[0], pair[1]
	if a == nil {
		return Effect{}
	}
	e := s.effect(with(on, a.Keys[0], b.Keys[0]), c.AtPaS)
	e.GainK -= c.Before.GainK
	e.Keys, e.Name, e.Cost = []string{a.Keys[0], b.Keys[0]}, a.Name+" + "+b.Name, a.Cost+"; "+b.Cost
	e.LastsS = math.Min(a.LastsS, b.LastsS)
	return e
}

// With is the setup with remedies of the given keys, and what they make of a
// course; keys that make no sense for it change nothing.
func (s Setup) With(keys ...string) (Setup, func(*Course)) {
	var ways []func(*Setup, *Course)
	for _, r := range s.Remedies() {
		if slices.Contains(keys, r.Key) && r.change != nil {
			ways = append(ways, r.change)
		}
	}
	out := s
	for _, w := range ways {
		w(&out, &Course{{}})
	}
	return out, func(c *Course) {
		for _, w := range ways {
			scrap := s
			w(&scrap, c)
		}
	}
}

// slowed is a ramp with the remedy of half of it, as far as the valve can hold one.
func slowed(keys []string, rampPaS, leastPaS float64) float64 {
	if rampPaS > leastPaS && slices.Contains(keys, slowerKey) {
		return math.Max(slowerTimes*rampPaS, leastPaS)
	}
	return rampPaS
}

// effect is what remedies come to: the margin at the ramp compared at, and the
// fastest ramp with them.
func (s *Setup) effect(keys []string, atPaS float64) Effect {
	e, q := s.margin(keys, atPaS)
	found := q.ramp()
	if slices.Contains(keys, slowerKey) { // half of the ramp compared at, not of a faster one
		found = slowed(keys, math.Min(found, atPaS), q.leastPaS)
	}
	course := q.one(math.Max(found, q.leastPaS))
	e.FillS = q.lengthS(course)
	if found > 0 && s.fed(keys, q, course) {
		e.RampPaS = course[0].RampPaS
	}
	return e
}

// fed says that the supply holds enough gas for a course, as far as that was said.
func (s *Setup) fed(keys []string, q *search, c Course) bool {
	with, _ := s.With(keys...)
	st, par := q.b.State, q.b.Params
	u := with.supplies(q.run(&st, &par, c, nil).MassKg)
	return !u.Known || u.Enough
}

// margin is the margin at a ramp with remedies in place, in GainK, and the search
// that found it.
func (s *Setup) margin(keys []string, atPaS float64) (Effect, *search) {
	with, shape := s.With(keys...)
	q := newSearch(&with, with.causes())
	q.shape = shape
	course := q.one(slowed(keys, atPaS, q.leastPaS))
	o := q.aim(course)
	upper := q.upperK(course)
	return Effect{Keys: keys, LastsS: math.Inf(1), Peak: Estimate{o.valueK, upper - o.valueK}, GainK: with.OnsetK - upper}, q
}
