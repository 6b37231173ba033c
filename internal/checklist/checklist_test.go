package checklist

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

const bar = 1e5

var today = time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)

func date(days int) string { return today.AddDate(0, 0, days).Format("2006-01-02") }

// allSeen is a pad on which nothing is left to do.
func allSeen(t *testing.T) *Facts {
	t.Helper()
	text := must.Get(os.ReadFile("../../testdata/plover.toml"))(t)
	v := must.Get(vessel.Parse("plover.toml", text))(t)
	f := &Facts{
		Profile: v, TimeS: 1000, UnixMS: today.UnixMilli(), Started: true,
		PressurePa: 0.02 * bar, BeadK: 297, AmbientK: 295, Board: 7, BoardKnown: true, Offsets: &probe.Offsets{},
		Walls: []Wall{{Name: "sun", SensorK: 300, ReadS: math.NaN()}, {Name: "shade", SensorK: math.NaN(), ReadS: 700}},
		Fills: 3, LearnedFrom: v.Name, Log: wire.LinkLogRoom, LogText: "so it is",
		TargetPa: 40.1 * bar, TargetSaidPa: 40 * bar, NearPa: 48 * bar, WallCool: Yes, Confirmed: map[string]bool{},
	}
	for _, c := range v.Channels {
		value := 296.0
		if c.Kind.Pressure() {
			value = f.PressurePa
		}
		f.Sensors = append(f.Sensors, probe.Reading{Channel: c.Index, Role: c.Role, Value: value, Health: probe.HealthGood})
		f.Offsets.List = append(f.Offsets.List, probe.Offset{Board: 7, Channel: c.Index, Date: date(-1)})
	}
	for _, h := range hands {
		f.Confirmed[h.Name] = true
	}
	return f
}

// Every item can be ready, and each is not once its own fact is missing, not
// known or wrong; no other item changes with it.
func TestEachItem(t *testing.T) {
	t.Parallel()
	open := Open(List(allSeen(t)))
	must.Need(t, open == nil, "with all seen there is still to do: %q", open)
	nan := math.NaN()
	for _, c := range []struct {
		item  string
		spoil func(f *Facts)
		state State
		why   string
	}{
		{"sensors", func(f *Facts) { f.Started = false }, Unknown, "no reading"},
		{"sensors", func(f *Facts) { f.Old = true }, No, "cable"},
		{"sensors", func(f *Facts) { f.Ill = wording.Words("channel 1 is broken") }, No, "channel 1"},
		{"sensors", func(f *Facts) { f.Sensors[0].Health = probe.HealthUnknown }, Unknown, "not been read"},
		{"sensors", func(f *Facts) { f.Sensors[1].Value = airMostK + 1 }, No, "check it"},
		{"sensors", func(f *Facts) { f.Sensors[1].Value = nan }, No, "check it"},
		{"sensors", func(f *Facts) { f.BeadK = f.AmbientK + gasOffMostK + 1 }, No, "check both"},
		{"offsets", func(f *Facts) { f.Offsets = nil }, No, "no offsets file"},
		{"offsets", func(f *Facts) { f.BoardKnown = false }, Unknown, ""},
		{"offsets", func(f *Facts) { f.Board = 8 }, No, "channel 0"},
		{"offsets", func(f *Facts) { f.UnixMS = 0 }, Unknown, ""},
		{"zero", func(f *Facts) { f.PressurePa = nan }, Unknown, "no pressure"},
		{"zero", func(f *Facts) { f.PressurePa = 0.28 * bar }, No, "0.3 bar"},
		{"zero", func(f *Facts) { f.PressurePa = -0.28 * bar }, No, "new zero"},
		{"surface", func(f *Facts) { f.Walls[0].SensorK = nan }, No, "by hand: sun"},
		{"surface", func(f *Facts) { f.Walls[1].ReadS = f.TimeS - surfaceOldS - 1 }, No, "by hand: shade"},
		{"model", func(f *Facts) { f.Fills = 0 }, No, "handbook"},
		{"model", func(f *Facts) { f.LearnedFrom = "Whimbrel" }, No, "Whimbrel"},
		{"model", func(f *Facts) { f.Widened = wording.NoAir }, No, wording.NoAir.String()},
		{"model", func(f *Facts) { f.FarUnread = true }, Yes, "no fill read the far end"},
		{"log", func(f *Facts) { f.Log = 0; f.LogText = "" }, Unknown, "not known"},
		{"log", func(f *Facts) { f.Log = wire.LinkLogTight }, No, "so it is"},
		{"log", func(f *Facts) { f.Log = wire.LinkLogNone }, No, "so it is"},
		{"log", func(f *Facts) { f.LogFailed = true }, No, ""},
		{"target", func(f *Facts) { f.TargetPa = f.NearPa }, No, "40.0 bar"},
		{"target", func(f *Facts) { f.TargetPa = nan }, No, ""},
		{"wall", func(f *Facts) { f.WallCool = Unknown }, Unknown, "no estimate"},
		{"wall", func(f *Facts) { f.WallCool = No }, No, ""},
		{PeopleClear, func(f *Facts) { f.Confirmed[PeopleClear] = false }, Unknown, "confirm"},
	} {
		f := allSeen(t)
		c.spoil(f)
		for _, item := range List(f) {
			switch {
			case item.Name != c.item:
				must.Be(t, item.State == Yes, "%s spoiled: %s is %d, %q", c.item, item.Name, item.State, item.Why)
			case item.State != c.state || !strings.Contains(item.Why.String(), c.why):
				t.Errorf("%s is %d, %q; want %d, %q", item.Name, item.State, item.Why, c.state, c.why)
			}
		}
	}
}

// Offsets: none for this logger or channel, old, undated, from the future, and fresh.
func TestOffsets(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		dates []string
		state State
		why   string
	}{
		{[]string{date(0), date(-1)}, Yes, "1 days old"},
		{[]string{date(0), date(-8)}, No, "8 days old"},
		{[]string{date(0), ""}, Unknown, "no date"},
		{[]string{date(0), date(3)}, Yes, "0 days"},
		{[]string{date(3), date(3)}, No, "future"},
		{[]string{date(0)}, No, "channel 1"},
	} {
		f := allSeen(t)
		f.Profile.Channels = slices.Clone(f.Profile.Channels[:2])
		f.Profile.Channels[0].Kind, f.Profile.Channels[1].Kind = vessel.KindLoop, vessel.KindK
		f.Offsets.List = nil
		for i, d := range c.dates {
			f.Offsets.List = append(f.Offsets.List, probe.Offset{Board: 7, Channel: f.Profile.Channels[i].Index, Date: d})
		}
		got := f.offsets()
		must.Be(t, got.State == c.state && strings.Contains(got.Why.String(), c.why), "dates %v: %d, %q; want %d, %q", c.dates, got.State, got.Why, c.state, c.why)
	}
}
