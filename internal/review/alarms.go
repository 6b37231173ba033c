package review

import (
	"cmp"
	"math"
	"slices"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/wire"
)

// alarmBook follows the alarms from Snapshot to Snapshot.
type alarmBook struct {
	list     []Alarm
	open     []int // in list: they stand, or wait to be seen
	left     int
	respondS map[string]float64
}

func newAlarmBook() alarmBook {
	b := alarmBook{respondS: map[string]float64{}}
	for _, d := range alarm.Definitions() {
		b.respondS[d.Name] = d.RespondS
	}
	return b
}

// look takes up what was raised, and what is gone. It returns the alarms that
// are new.
func (b *alarmBook) look(s *monitor.Snapshot) (raised []*Alarm) {
	for i := range s.Alarms {
		if a := &s.Alarms[i]; !b.stands(a) && !b.again(a) {
			if n := b.raise(a, s); n != nil {
				raised = append(raised, n)
			}
		}
	}
	keep := b.open[:0]
	for _, n := range b.open {
		if b.follow(&b.list[n], s) {
			keep = append(keep, n)
		}
	}
	b.open = keep
	return raised
}

func (a *Alarm) is(of *alarm.Active) bool { return a.Name == of.Name && a.RaisedS == of.SinceS }

func (b *alarmBook) stands(a *alarm.Active) bool {
	for _, n := range b.open {
		if b.list[n].is(a) {
			return true
		}
	}
	return false
}

// again takes an alarm up again that another one had hidden for a while.
func (b *alarmBook) again(a *alarm.Active) bool {
	for n := len(b.list) - 1; n >= 0; n-- {
		if b.list[n].is(a) {
			b.list[n].GoneS = math.NaN()
			b.open = append(b.open, n)
			return true
		}
	}
	return false
}

func (b *alarmBook) raise(a *alarm.Active, s *monitor.Snapshot) *Alarm {
	if len(b.list) >= alarmsMost {
		if a.SinceS == s.TimeS {
			b.left++
		}
		return nil
	}
	b.open = append(b.open, len(b.list))
	b.list = append(b.list, Alarm{Name: a.Name, Level: a.Level, Cause: a.Cause.String(), RaisedS: a.SinceS, SeenS: math.NaN(), GoneS: math.NaN(),
		RespondS: b.respondS[a.Name], ShutAfterS: math.NaN()})
	return &b.list[len(b.list)-1]
}

// follow brings an alarm up to date and says whether it is still on the list.
func (b *alarmBook) follow(to *Alarm, s *monitor.Snapshot) bool {
	for i := range s.Alarms {
		if a := &s.Alarms[i]; to.is(a) {
			to.GoneS = a.EndS
			return true
		}
	}
	if math.IsNaN(to.GoneS) {
		to.GoneS = s.TimeS // one that tells the same story louder took its place
	}
	return false
}

// seen notes an acknowledgement, of one alarm or of all.
func (b *alarmBook) seen(e *wire.Entry, timeS float64) {
	for _, n := range b.open {
		if a := &b.list[n]; math.IsNaN(a.SeenS) && (e.Text == "" || e.Text == a.Name) {
			a.SeenS = timeS
		}
	}
}

// done is the list in the order in which they were raised.
func (b *alarmBook) done() []Alarm {
	slices.SortStableFunc(b.list, func(x, y Alarm) int {
		return cmp.Or(cmp.Compare(x.RaisedS, y.RaisedS), cmp.Compare(y.Level, x.Level))
	})
	return b.list
}

// count counts what was raised in a fill, and notes when the supply was shut.
func (f *Fill) count(all []Alarm) {
	for i := range all {
		a := &all[i]
		if a.RaisedS < f.BeginS || a.RaisedS > f.EndS {
			continue
		}
		f.Raised[a.Level]++
		for k := range f.Ramps {
			if r := &f.Ramps[k]; a.RaisedS >= r.FromS && a.RaisedS <= r.ShutS {
				a.ShutAfterS = r.ShutS - a.RaisedS // whoever meant it as the answer
			}
		}
		if a.Level == alarm.LevelAbort && f.AbortFirst == "" {
			f.AbortFirst = a.Name
		}
	}
}
