package alarm

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fillwright/internal/wording"
)

// causeEveryS is how often the words of a standing alarm are renewed, so that
// a number in them can be read and does not make a new list at every sample.
const causeEveryS = 1

// Table holds the state of every alarm. It has no clock: conditions are Set,
// and Advance brings the table to the session time of the input that they
// belong to.
type Table struct {
	timeS  float64
	rows   [len(definitions)]row
	index  map[string]int
	asked  *row     // last, by name
	active []Active // never changed after it was handed out
	stale  bool     // active must be made anew
}

// row is one alarm under way.
type row struct {
	def    *Definition
	raw    bool    // the condition as last Set
	seen   bool    // the condition at the last Advance
	edgeS  float64 // when seen last changed
	stands bool    // the condition after the delays
	ends   bool    // its condition is gone for good: no delay
	state  condition
	sinceS float64      // when it was raised
	endS   float64      // when it was gone, NaN while it stands
	cause  wording.Text // as shown
	causeS float64      // when it was last renewed
	told   wording.Text // as last Set
	then   *row         // asked for after it, the last time
}

// NewTable returns a table with every alarm normal, at session time 0.
func NewTable() *Table {
	t := &Table{index: make(map[string]int, len(definitions))}
	t.asked = &t.rows[0]
	for i := range definitions {
		t.rows[i].def = &definitions[i]
		t.index[definitions[i].Name] = i
	}
	return t
}

// row finds an alarm by one of the names above. Another name is a fault in
// the program, not in its input. Conditions are set in the same order with every
// input, so the one that came next the last time is looked at first.
func (t *Table) row(name string) *row {
	r := t.asked.then
	if r == nil || r.def.Name != name {
		i, ok := t.index[name]
		if !ok {
			panic(fmt.Sprintf("alarm: no alarm has the name %q", name))
		}
		r = &t.rows[i]
		t.asked.then = r
	}
	t.asked = r
	return r
}

// Set says whether an alarm's condition is present, and in which words; an
// empty cause stands for the table's own words. It takes effect at Advance.
func (t *Table) Set(name string, present bool, cause wording.Text) { t.row(name).set(present, &cause) }

func (r *row) set(present bool, cause *wording.Text) {
	r.raw = present
	if present {
		r.told, r.ends = *cause, false
	}
}

// End says that an alarm's condition is gone for good, since what its order is
// about is over: the valve is shut, the vessel vented. The delay that keeps a
// condition from flickering would only go on giving that order. It takes effect
// at Advance.
func (t *Table) End(name string) {
	r := t.row(name)
	r.raw, r.ends = false, true
}

// setLevel sets a condition by a value: present from on on, gone from off on.
// With on above off it watches for high values, else for low ones; between
// the two the condition stays as it was, and so it does for a NaN: not
// knowing raises other alarms and never clears one.
func (r *row) setLevel(value, on, off float64, cause *wording.Text) {
	present := r.raw
	switch {
	case math.IsNaN(value):
	case on >= off && value >= on, on < off && value <= on:
		present = true
	case on >= off && value <= off, on < off && value >= off:
		present = false
	}
	r.set(present, cause)
}

// SetAbove sets a condition by a value: of high values with the table's dead-band.
func (t *Table) SetAbove(name string, value, on float64, cause wording.Text) {
	r := t.row(name)
	r.setLevel(value, on, on-r.def.DeadBand, &cause)
}

// SetBelow does so of low values with the table's dead-band.
func (t *Table) SetBelow(name string, value, on float64, cause wording.Text) {
	r := t.row(name)
	r.setLevel(value, on, on+r.def.DeadBand, &cause)
}

// Advance brings the table to session time timeS, in seconds. Time that goes
// back, or is not a number, stands still.
func (t *Table) Advance(timeS float64) {
	if timeS > t.timeS {
		t.timeS = timeS
	}
	for i := range t.rows {
		if t.rows[i].advance(t.timeS) {
			t.stale = true
		}
	}
}

// advance reports whether anything that Active shows has changed.
func (r *row) advance(timeS float64) bool {
	if !r.raw && !r.seen && !r.stands { // as most are, most of the time
		return false
	}
	if r.raw != r.seen {
		r.seen, r.edgeS = r.raw, timeS
	}
	before := r.state
	delay := r.def.OffDelayS
	switch {
	case r.raw:
		delay = r.def.OnDelayS
	case r.ends:
		delay = 0
	}
	if r.raw != r.stands && timeS-r.edgeS >= delay {
		r.stands = r.raw
		if r.stands {
			r.fire(appears)
			r.sinceS, r.endS = timeS, math.NaN()
		} else {
			r.fire(clears)
			r.endS = timeS
		}
	}
	return r.reword(timeS, r.state != before) || r.state != before
}

// reword renews the words of a standing alarm, now or when they are old.
func (r *row) reword(timeS float64, now bool) bool {
	if !r.stands || !now && timeS-r.causeS < causeEveryS {
		return false
	}
	words := r.told
	if words.Empty() {
		words = wording.Words(r.def.Cause)
	}
	if words.String() == r.cause.String() {
		return false
	}
	r.cause, r.causeS = words, timeS
	return true
}

// fire takes an event; a latched alarm that was accepted and whose condition
// is gone is reset at once: accepting it after it has gone is the reset.
func (r *row) fire(e event) {
	r.state = next(next(r.state, e, r.def.Latching), reset, r.def.Latching)
}

// Acknowledge accepts an alarm, or all for an empty name. It reports whether
// there was anything to accept; names come from run logs, so an unknown one
// is no fault.
func (t *Table) Acknowledge(name string) bool {
	found := false
	for i := range t.rows {
		r := &t.rows[i]
		if name != "" && r.def.Name != name || name == "" && t.hidden(r) {
			continue
		}
		before := r.state
		r.fire(accept)
		found = found || r.state != before
	}
	t.stale = t.stale || found
	return found
}

// hidden says whether an alarm is suppressed by design: another that is
// present tells the same story. Aborts are never hidden.
func (t *Table) hidden(r *row) bool {
	for _, name := range r.def.HiddenBy {
		if t.row(name).stands {
			return true
		}
	}
	return false
}

// Active lists the alarms that are not normal and not suppressed, worst level
// first, within a level those that want accepting first, then the oldest. The
// slice is a new one only when something changed, and never changes itself.
func (t *Table) Active() []Active {
	if t.stale {
		t.stale = false
		t.active = t.list()
	}
	return t.active
}

func (t *Table) list() []Active {
	var out []Active
	first := make(map[string]int) // group to row: the first raised
	var shown []int
	for i := range t.rows {
		r := &t.rows[i]
		if r.state == normal || t.hidden(r) {
			continue
		}
		shown = append(shown, i)
		if f, ok := first[r.def.Group]; !ok || r.sinceS < t.rows[f].sinceS {
			first[r.def.Group] = i
		}
	}
	slices.SortStableFunc(shown, func(a, b int) int { return t.rows[a].compare(&t.rows[b]) })
	for _, i := range shown {
		r := &t.rows[i]
		out = append(out, Active{
			Name: r.def.Name, Level: r.def.Level, State: states[r.state], SinceS: r.sinceS, EndS: r.endS,
			First: first[r.def.Group] == i, Cause: r.cause, Do: r.def.Do,
		})
		if a := &out[len(out)-1]; !a.Present() && r.def.Was != "" {
			a.Cause, a.Do = wording.Words(r.def.Was), ""
		}
	}
	return out
}

// compare orders alarms for Active: the worse first, and of one level what is
// the case now before what was, what nobody has accepted before what somebody
// has. Equal ones stay in the table's order.
func (r *row) compare(o *row) int {
	rank := func(r *row) int {
		switch r.state {
		case unaccepted:
			return 0
		case accepted:
			return 1
		}
		return 2
	}
	return cmp.Or(cmp.Compare(o.def.Level, r.def.Level), cmp.Compare(rank(r), rank(o)), cmp.Compare(r.sinceS, o.sinceS))
}

// Worst is the worst level of the active alarms, LevelNone without any.
func (t *Table) Worst() Level {
	if a := t.Active(); len(a) > 0 {
		return a[0].Level
	}
	return LevelNone
}
