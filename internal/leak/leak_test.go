package leak

import (
	"testing"

	"fillwright/internal/must"
)

// hold adds a point a second, from fromS on, of an inventory that loses lossKgS,
// and gives how a second look ended.
func hold(l *Leak, fromS float64, n int, massKg, lossKgS float64) (how Outcome) {
	for i := range n {
		at := float64(i)
		if end, _ := l.Add(Point{TimeS: fromS + at, MassKg: massKg - lossKgS*at, GasK: 300, SettledPa: 2e6, SettledKg: massKg}); end != None {
			how = end
		}
	}
	return how
}

// A leak that was called stands in the phases after it, until a second look
// rules it out or the gas has gone; a look that another phase cuts short says so.
func TestCalled(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		then   func(l *Leak) Outcome
		want   Outcome
		called bool
	}{
		"another phase":   {func(l *Leak) Outcome { l.Begin(300); return None }, None, true},
		"vented":          {func(l *Leak) Outcome { l.Begin(300); l.Vented(); return None }, None, false},
		"seen again":      {func(l *Leak) Outcome { l.Begin(300); l.Look(300, 300); return hold(l, 330, 80, 0.4, 1e-4) }, Stands, true},
		"ruled out":       {func(l *Leak) Outcome { l.Begin(300); l.Look(300, 300); return hold(l, 330, 80, 0.4, 0) }, TakenBack, false},
		"too short":       {func(l *Leak) Outcome { l.Begin(300); l.Look(300, 300); return hold(l, 330, 40, 0.4, 0) }, None, true},
		"looked for anew": {func(l *Leak) Outcome { l.Look(300, 100); return hold(l, 300, 80, 0.4, 0) }, TakenBack, false},
	} {
		l := &Leak{Found: Unknown()}
		l.Begin(0)
		hold(l, 30, 100, 0.5, 1e-4)
		if l.Call(); !l.Called || !l.Verdict().Significant {
			t.Fatalf("%s: a loss of 1e-4 kg/s is not called: %+v", name, l.Found)
		}
		if got := c.then(l); got != c.want || l.Called != c.called || l.Verdict().Significant != c.called {
			t.Errorf("%s: look ended as %d, called %v, verdict %+v; want %d, %v", name, got, l.Called, l.Verdict(), c.want, c.called)
		}
	}
	l := &Leak{}
	l.Look(0, 0)
	must.Be(t, l.Begin(10) && !l.Begin(20), "a look that was cut short is to be told once")
}
