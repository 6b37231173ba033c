// Package checklist draws up the list that is gone through before a fill: a
// pure function of what is known. The list informs; it forbids nothing.
package checklist

import (
	"math"
	"slices"

	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// State is what is known of an item.
type State uint8

// The states. Only Yes counts as ready.
const (
	Unknown State = iota // not looked at, or not known yet
	Yes
	No // looked at, and not as it should be
)

// Item is a line of the list.
type Item struct {
	Name  string // stable: the text of EntryConfirm and EntryWithdraw
	Title string
	State State
	Why   wording.Text // what was found, or what to do; short
	Hand  bool         // only a person can tell: confirmed by an entry
}

// PeopleClear is the item that a hand-held reading takes back.
const PeopleClear = "people-clear"

// hands are confirmed by hand, for one fill each.
var hands = [...]Item{
	{Name: PeopleClear, Title: "people clear", Why: wording.LookThenConfirm, Hand: true},
	{Name: "relief-valve", Title: "relief valve fitted", Why: wording.LookThenConfirm, Hand: true},
	{Name: "vent-line", Title: "vent line tested", Why: wording.TestThenConfirm, Hand: true},
}

// ByHand tells whether a name is of an item that is confirmed by hand.
func ByHand(name string) bool {
	return slices.ContainsFunc(hands[:], func(i Item) bool { return i.Name == name })
}

// Facts are what the list is drawn up from. Pressures are gauge; what is not
// known is NaN.
type Facts struct {
	Profile *vessel.Profile
	TimeS   float64 // session time
	UnixMS  int64   // 0: not known

	Started, Old                bool         // readings came; they are too old to go by
	Ill                         wording.Text // what is wrong with a sensor, empty: nothing
	Sensors                     []probe.Reading
	PressurePa, BeadK, AmbientK float64
	Walls                       []Wall

	Offsets    *probe.Offsets // nil: no file
	Board      uint64
	BoardKnown bool

	Fills       int    // behind the wall model, 0: handbook values
	LearnedFrom string // the vessel of the model, empty: not said
	Widened     wording.Text
	FarUnread   bool // no fill behind it has a reading of a long vessel's far end, nor has this one

	LogFailed bool
	Log       wire.LinkState // what was last told of the run log
	LogText   string

	TargetPa     float64 // with what is not known of the pressure's zero
	TargetSaidPa float64
	NearPa       float64 // from here on a pressure is near the vessel's limit

	WallCool  State // whether the wall is cool enough to start
	Confirmed map[string]bool
}

// Wall is how a station's wall was read.
type Wall struct {
	Name    string
	SensorK float64 // by an attached sensor
	ReadS   float64 // session time of the last hand-held reading
}

// Limits of the list. Common practice, no source.
const (
	surfaceOldS = 600.0  // a hand-held reading says little after that
	zeroLeastPa = 0.1e5  // what a sound sensor may read vented, at the least
	zeroShare   = 0.005  // of the vessel's limit
	airLeastK   = 233.15 // no pad is colder than -40 °C
	airMostK    = 358.15 // or anything on it hotter than 85 °C, vented
	gasOffMostK = 30.0   // gas from ambient, vented, in full sun
)

// List draws the list up.
func List(f *Facts) []Item {
	list := []Item{f.sensors(), f.offsets(), f.zero(), f.surface(), f.model(), f.log(), f.target(), f.wall()}
	for _, hand := range hands {
		if f.Confirmed[hand.Name] {
			hand.State, hand.Why = Yes, wording.IsConfirmed
		}
		list = append(list, hand)
	}
	return list
}

// Open names what is not ready.
func Open(list []Item) []string {
	var out []string
	for i := range list {
		if list[i].State != Yes {
			out = append(out, list[i].Title)
		}
	}
	return out
}

// sensors: every sensor lives, and what they say can be.
func (f *Facts) sensors() Item {
	item := Item{Name: "sensors", Title: "sensors alive and plausible", State: No}
	switch {
	case !f.Started:
		item.State, item.Why = Unknown, wording.NoReadingYet
		return item
	case f.Old:
		item.Why = wording.NoNewReadings
		return item
	}
	if !f.Ill.Empty() {
		item.Why = f.Ill
		return item
	}
	for i := range f.Sensors {
		r := &f.Sensors[i]
		if r.Health == probe.HealthUnknown {
			item.State, item.Why = Unknown, wording.NotRead(r.Channel)
			return item
		}
		if r.Role != vessel.RolePressure && r.Role != vessel.RoleSupply && !(r.Value >= airLeastK && r.Value <= airMostK) {
			item.Why = wording.CheckChannel(r.Channel, r.Value)
			return item
		}
	}
	if off := f.BeadK - f.AmbientK; math.Abs(off) > gasOffMostK {
		item.Why = wording.CheckBoth(f.BeadK, f.AmbientK)
		return item
	}
	item.State, item.Why = Yes, wording.AllOf(len(f.Sensors))
	return item
}

// zero: an open vessel reads nothing.
func (f *Facts) zero() Item {
	item := Item{Name: "zero", Title: "pressure reads zero vented", State: No}
	p := f.PressurePa
	most := math.Max(zeroLeastPa, zeroShare*float64(f.Profile.Limits.Pressure))
	switch {
	case math.IsNaN(p):
		item.State, item.Why = Unknown, wording.NoPressureYet
	case math.Abs(p) <= most:
		// A tenth of a bar is what may change without a new list each second.
		item.State, item.Why = Yes, wording.Within(most)
	default:
		item.Why = wording.ZeroOff(p)
	}
	return item
}

// surface: each station has a sensor that lives, or a fresh reading by hand.
func (f *Facts) surface() Item {
	item := Item{Name: "surface", Title: "wall read at each station", State: Yes}
	var open, sensor, hand []string
	for i := range f.Walls {
		st := &f.Walls[i]
		switch {
		case !math.IsNaN(st.SensorK):
			sensor = append(sensor, st.Name)
		case f.TimeS-st.ReadS <= surfaceOldS:
			hand = append(hand, st.Name)
		default:
			open = append(open, st.Name)
		}
	}
	if len(open) > 0 {
		item.State, item.Why = No, wording.ReadByHand(open)
		return item
	}
	item.Why = wording.WallReadBy(sensor, hand)
	return item
}

// model: the wall model was learned from this vessel.
func (f *Facts) model() Item {
	item := Item{Name: "model", Title: "model fits the vessel", State: No}
	switch {
	case f.Fills == 0:
		item.Why = wording.HandbookValues
	case f.LearnedFrom != "" && f.LearnedFrom != f.Profile.Name:
		item.Why = wording.LearnedFromOther(f.LearnedFrom)
	case !f.Widened.Empty():
		item.Why = f.Widened
	default:
		item.State, item.Why = Yes, wording.LearnedFrom(f.Fills)
		if f.FarUnread { // it fills all the same, at the cost of the band
			item.Why = wording.FarNeverRead
		}
	}
	return item
}

// log: what happens is recorded, and the disk has room.
func (f *Facts) log() Item {
	item := Item{Name: "log", Title: "log writable, with space", Why: wording.Words(f.LogText)}
	switch {
	case f.LogFailed:
		item.State, item.Why = No, wording.LogLost
	case f.Log == wire.LinkLogRoom:
		item.State = Yes
	case f.Log == wire.LinkLogTight, f.Log == wire.LinkLogNone:
		item.State = No
	default:
		item.Why = wording.Unknown
	}
	return item
}

// target: the target keeps off the vessel's limit.
func (f *Facts) target() Item {
	limit := float64(f.Profile.Limits.Pressure)
	item := Item{Name: "target", Title: "target under the vessel's limit", State: Yes,
		Why: wording.TargetAndLimit(f.TargetSaidPa, limit)}
	if !(f.TargetPa < f.NearPa) {
		item.State = No
	}
	return item
}

// wall: the wall is cool enough to start.
func (f *Facts) wall() Item {
	why := [...]wording.Text{Unknown: wording.NoWallYet, Yes: wording.CoolEnough, No: wording.ShadeOrCool}
	return Item{Name: "wall", Title: "wall cool enough to start", State: f.WallCool, Why: why[f.WallCool]}
}
