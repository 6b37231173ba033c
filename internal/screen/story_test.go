package screen

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/mimic"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// story is a whole invented fill: a scene of the mimic, which shares no physics
// with the estimate, and what happens to cable and operator meanwhile.
type story struct {
	name    string
	scene   mimic.Scene
	follow  bool
	lostS   [2]float64 // the cable is out from, to
	entries map[int]wire.Entry
	see     func(t *testing.T, w *walk) // at each second, beside what holds of every story
	each    func(t *testing.T, w *walk) // at each Snapshot
	end     func(t *testing.T, w *walk)
}

// walk is where a story stands.
type walk struct {
	story   *story
	profile *vessel.Profile
	truth   mimic.Row        // of half a second ago at the most
	now     monitor.Snapshot // newest
	before  monitor.Snapshot // a second earlier
	shown   string           // the picture at 80x24
	reached bool             // wall-over was raised, and it is not vented yet
	goneS   float64          // for how long gas has gone out, by the truth
	seen    map[string]bool  // each alarm that was present
	words   map[string]bool  // each large word
	nextS   float64
	model   Model
}

const (
	vlBar     = 1e5
	vlBarPerM = 1e5 / 60
)

// scenes of the stories that do not come with the program.
func sceneOf(t *testing.T, name string, change func(s *mimic.Scene)) mimic.Scene {
	t.Helper()
	s := must.Get(mimic.FindScene(name))(t)
	if change != nil {
		change(&s)
	}
	return s
}

// brief tells a scene with another hold and a faster vent.
func brief(holdS, ventPerM float64) func(s *mimic.Scene) {
	return func(s *mimic.Scene) {
		fillS := 110.0
		if ramp := s.Plan[1].RampPaS; ramp > 0 {
			fillS = 20 + 40*vlBar/ramp
		}
		s.Plan[2].ForS, s.Plan[3].RampPaS = holdS, ventPerM*vlBarPerM
		s.ForS = fillS + holdS + 40/ventPerM*60 + 60
	}
}

func said(text string) wire.Entry { return wire.Entry{Kind: wire.EntryConfirm, Text: text} }

// tell walks a story, second by second.
func (s *story) tell(t *testing.T) *walk {
	t.Helper()
	file := filepath.Join("..", "..", "testdata", "plover.toml")
	text := must.Get(os.ReadFile(file))(t)
	p := must.Get(vessel.Parse(file, text))(t)
	w := &walk{story: s, profile: p, seen: map[string]bool{}, words: map[string]bool{}}
	w.model = NewModel(testContext, newFakeFeed(), Options{Profile: p, Depth: canvas.DepthNone})
	w.model.w, w.model.h, w.model.clock, w.model.seenAt = 80, 24, hostTime, hostTime
	m := monitor.New(monitor.Config{Profile: p})
	out, silentMS := false, uint32(0)
	var d wire.Decoder
	step := func(b []byte) {
		d.Decode(b, func(f wire.Frame) { w.step(t, m.Step(f)) })
	}
	o := mimic.Options{Seed: 4, RateHz: 5, Board: 7, RowEveryS: wire.SilenceEveryMS / 1000.0,
		Follow: s.follow, Adviser: func() advise.Advice { return w.now.Advice }}
	entered := map[int]bool{}
	must.Do(t, mimic.Record(p, s.scene, o, func(b []byte) error {
		if !out {
			step(b)
		}
		return nil
	}, func(r mimic.Row) error {
		w.truth = r
		w.goneS += o.RowEveryS
		if !(r.VentKgS > 0) || r.PressurePa < vlBar {
			w.goneS = 0
		}
		switch lost := s.lostS[1] > 0 && r.TimeS >= s.lostS[0] && r.TimeS < s.lostS[1]; {
		case lost && !out:
			out, silentMS = true, 0
			step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkDown, Text: "the cable was pulled"}))
		case !lost && out:
			out = false
			step(wire.AppendLink(nil, 0, wire.Link{State: wire.LinkUp, Text: "the cable is back"}))
		case lost:
			silentMS += wire.SilenceEveryMS
			step(wire.AppendSilence(nil, 0, wire.Silence{AgeMS: silentMS}))
		}
		if e, ok := s.entries[int(r.TimeS)]; ok && !entered[int(r.TimeS)] {
			entered[int(r.TimeS)] = true
			w.reached = w.reached && e.Kind != wire.EntryUndo // what a wrong reading had the wall reach
			step(wire.AppendEntry(nil, 0, e))
		}
		return nil
	}))
	return w
}

// step takes a Snapshot in; what holds of it is checked at once, and at each
// whole second also the picture.
func (w *walk) step(t *testing.T, s monitor.Snapshot) {
	w.now = s
	w.checkSnapshot(t)
	if w.story.each != nil {
		w.story.each(t, w)
	}
	if s.TimeS < w.nextS {
		return
	}
	w.nextS = s.TimeS + 1
	w.checkPicture(t)
	if w.story.see != nil {
		w.story.see(t, w)
	}
	w.before = s
}

// view is what the operator sees.
func (w *walk) view() *view {
	w.model.live = w.now
	return w.model.picture()
}

// TestStories walks every scene, followed and not, and leak, loss of the cable,
// onset and vent, second by second: what holds of every Snapshot and picture is
// in story_check_test.go, what a story is told for stands with it.
func TestStories(t *testing.T) {
	var all []story
	holdS, ventPerM := 120.0, 30.0
	if os.Getenv("SCREEN_STORIES") == "long" {
		holdS, ventPerM = 400, 15
	}
	for _, scene := range mimic.Scenes() {
		hold := holdS
		if scene.Name == "leak" {
			hold = 300 // it takes so long to be called
		}
		brief(min(scene.Plan[2].ForS, hold), ventPerM)(&scene)
		all = append(all, story{name: scene.Name, scene: scene}, story{name: scene.Name + ", followed", scene: scene, follow: true})
	}
	all = append(all, told(t)...)
	for i := range all {
		t.Run(all[i].name, func(t *testing.T) {
			t.Parallel()
			w := all[i].tell(t)
			must.Need(t, w.now.TimeS >= 100, "the story ends at %.0f s", w.now.TimeS)
			must.Be(t, !all[i].follow || !w.seen[alarm.RampHigh], "who follows the advice is told that he fills too fast")
			if all[i].end != nil {
				all[i].end(t, w)
			}
		})
	}
}

// told are the stories that were seen to go wrong.
func told(t *testing.T) []story {
	words := func(yes, no []string) func(t *testing.T, w *walk) {
		return func(t *testing.T, w *walk) {
			for _, word := range yes {
				must.Be(t, w.words[word], "%q never stood in large letters: %v", word, w.words)
			}
			for _, word := range no {
				must.Be(t, !w.words[word], "%q stood in large letters: %v", word, w.words)
			}
		}
	}
	slow := func(s *mimic.Scene) { // a vent that gets slow before it is over
		s.Plan = []mimic.Segment{{Do: mimic.Open, ForS: 10}, {Do: mimic.Fill, RampPaS: 20 * vlBarPerM, ToPa: 12 * vlBar},
			{Do: mimic.Shut, ForS: 60}, {Do: mimic.Vent, RampPaS: 6 * vlBarPerM, ToPa: 1.5 * vlBar},
			{Do: mimic.Vent, RampPaS: 1.2 * vlBarPerM}, {Do: mimic.Open, ForS: 30}}
		s.ForS = 330
	}
	all := []story{
		{name: "a vent that was said", scene: sceneOf(t, "calm", brief(90, 12)), entries: map[int]wire.Entry{190: said(monitor.VentSaid)},
			end: words([]string{"EMPTYING", "ENDED"}, []string{"VENT"})},
		{name: "a slow end of a vent", scene: sceneOf(t, "calm", slow), entries: map[int]wire.Entry{100: said(monitor.VentSaid)},
			see: func(t *testing.T, w *walk) {
				word := w.view().Word().Big
				must.Be(t, w.now.TimeS <= 130 || word != "MAY TOP UP", "%.0f s: %s at %.2f bar", w.now.TimeS, word, w.now.PressurePa/vlBar)
				if w.goneS > 5 && w.now.Phase != phase.Venting && w.now.Phase != phase.Vented {
					t.Errorf("%.0f s: %s at %.2f bar, %.1f bar/min", w.now.TimeS, w.now.Phase, w.now.PressurePa/vlBar, w.now.RampPaS/vlBarPerM)
				}
			},
			end: words([]string{"EMPTYING", "ENDED"}, []string{"VENT"})},
		{name: "gas that leaves very fast", scene: sceneOf(t, "calm", brief(90, 60)),
			end: words([]string{"VENT", "ENDED"}, nil)},
		{name: "the cable is lost in a fill, and back", scene: sceneOf(t, "calm", brief(60, 12)), lostS: [2]float64{60, 90},
			end: words([]string{"NO DATA", "SHUT", "ENDED"}, nil)},
		{name: "the cable is lost in a fill, and back when it is vented", scene: sceneOf(t, "calm", brief(30, 12)), lostS: [2]float64{60, 350},
			see: func(t *testing.T, w *walk) {
				must.Be(t, w.now.TimeS <= 300 || w.view().Word().Big != "FILL", "%.0f s: FILL at %.1f bar", w.now.TimeS, w.now.PressurePa/vlBar)
			}},
		{name: "the cable is lost on a hold", scene: sceneOf(t, "leak", brief(300, 20)), lostS: [2]float64{250, 280}},
		{name: "the cable is lost after onset", scene: sceneOf(t, "rushed", brief(200, 20)), lostS: [2]float64{120, 200},
			end: words([]string{"VENT", "ENDED"}, []string{"MAY TOP UP", "FILL"})},
		{name: "alarms are seen at once", scene: sceneOf(t, "rushed", brief(200, 20)), entries: map[int]wire.Entry{
			30: {Kind: wire.EntryAcknowledge}, 60: {Kind: wire.EntryAcknowledge}, 200: {Kind: wire.EntryAcknowledge}},
			end: words([]string{"VENT", "ENDED"}, []string{"MAY TOP UP", "FILL"})},
		{name: "a leak that is doubted", scene: sceneOf(t, "leak", brief(280, 20)), entries: map[int]wire.Entry{
			300: {Kind: wire.EntryWithdraw, Text: monitor.SecondLook}},
			end: func(t *testing.T, w *walk) {
				words([]string{"VENT", "ENDED"}, nil)(t, w)
				must.Be(t, hasEvent(&w.now, "the leak stands"), "the second look at a leak that is there: %+v", w.now.Events)
			}},
	}
	return append(all, outlived(t)...)
}

// outlived are the stories in which an order outlived its cause, or came without
// one.
func outlived(t *testing.T) []story {
	fill := func(rampBarM, holdS, thenBar float64, then ...mimic.Segment) func(s *mimic.Scene) {
		return func(s *mimic.Scene) {
			s.Plan = append([]mimic.Segment{{Do: mimic.Open, ForS: 10}, {Do: mimic.Fill, RampPaS: rampBarM * vlBarPerM},
				{Do: mimic.Shut, ForS: holdS}, {Do: mimic.Vent, RampPaS: 30 * vlBarPerM, ToPa: thenBar * vlBar}}, then...)
			s.ForS = 10 + 40/rampBarM*60 + holdS + 130
		}
	}
	not := func(fromS, toS float64, words ...string) func(t *testing.T, w *walk) {
		return func(t *testing.T, w *walk) {
			if at := w.now.TimeS; at > fromS && at < toS && slices.Contains(words, w.view().Word().Big) {
				t.Errorf("%.0f s: %s (%s)\n%s", at, w.view().Word(), w.now.Advice.Reason, w.shown)
			}
		}
	}
	surface := func(degC int32) wire.Entry {
		return wire.Entry{Kind: wire.EntrySurface, Value: degC * 1000} // of the first station, the sunny one
	}
	ended := func(t *testing.T, w *walk) { must.Be(t, w.words["ENDED"], "it never ended: %v", w.words) }
	return []story{
		// The estimate begins anew after so long a gap; the sensors on the wall are there
		// from its first block on.
		{name: "a gap of 40 s in a fill", scene: sceneOf(t, "calm", fill(24, 30, 0)), lostS: [2]float64{60, 100},
			entries: map[int]wire.Entry{135: said(monitor.VentSaid)}, see: not(0, 1e9, "VENT"), end: ended},
		// 52 was typed for 32.
		{name: "a reading that is taken back", scene: sceneOf(t, "calm", fill(24, 30, 0)),
			entries: map[int]wire.Entry{60: surface(52), 75: {Kind: wire.EntryUndo}, 135: said(monitor.VentSaid)}, see: not(76, 1e9, "VENT"),
			end: func(t *testing.T, w *walk) { must.Be(t, w.words["VENT"] && w.words["ENDED"], "%v", w.words) }},
		// The wall is hot with it and without it.
		{name: "a reading that is taken back after onset", scene: sceneOf(t, "rushed", brief(60, 20)),
			entries: map[int]wire.Entry{16: surface(52), 45: {Kind: wire.EntryUndo}}, see: not(46, 100, "FILL", "KEEP SHUT", "MAY TOP UP", "SHUT")},
		{name: "a vent from the target", scene: sceneOf(t, "calm", fill(24, 60, 0)),
			see: func(t *testing.T, w *walk) {
				must.Be(t, !(w.goneS > 0) || !w.now.Advice.Verdict.AsksForGas(), "%.0f s: %s in a vent", w.now.TimeS, w.now.Advice.Verdict)
			}, end: ended},
		{name: "the cable is lost where a top-up is offered", scene: sceneOf(t, "calm", func(s *mimic.Scene) {
			fill(24, 80, 0)(s)
			s.Plan[1].ToPa = 30 * vlBar
		}), lostS: [2]float64{140, 144}, end: func(t *testing.T, w *walk) {
			must.Be(t, w.words["MAY TOP UP"] && w.words["KEEP SHUT"], "%v", w.words)
		}},
		{name: "a vent in parts", scene: sceneOf(t, "calm", fill(24, 30, 25, mimic.Segment{Do: mimic.Shut, ForS: 30}, mimic.Segment{Do: mimic.Vent, RampPaS: 30 * vlBarPerM}, mimic.Segment{Do: mimic.Open, ForS: 40})),
			entries: map[int]wire.Entry{135: said(monitor.VentSaid)}, see: not(136, 1e9, "MAY TOP UP", "VENT"), end: ended},
		{name: "the pressure is lost in a vent", scene: sceneOf(t, "calm", func(s *mimic.Scene) {
			fill(24, 30, 0)(s)
			s.Failures = []mimic.Failure{{Role: vessel.RolePressure, AtS: 150}}
		}), entries: map[int]wire.Entry{135: said(monitor.VentSaid)}, see: not(165, 1e9, "EMPTYING", "ENDED")},
		// A contact that makes and breaks: nobody can follow an order that lasts 0.2 s.
		{name: "the pressure comes and goes in a fill", scene: sceneOf(t, "calm", func(s *mimic.Scene) {
			fill(24, 30, 0)(s)
			s.Failures = []mimic.Failure{{Role: vessel.RolePressure, AtS: 60}}
		}), each: func() func(t *testing.T, w *walk) {
			big, since := "", 0.0
			return func(t *testing.T, w *walk) {
				now := w.view().Word().Big
				must.Be(t, now == big || big != "SHUT" || w.now.TimeS-since > 1.9, "%.1f s: SHUT stood %.1f s, now %s", w.now.TimeS, w.now.TimeS-since, now)
				if now != big {
					big, since = now, w.now.TimeS
				}
			}
		}()},
		{name: "a wall that cools after a fast fill", scene: sceneOf(t, "calm", func(s *mimic.Scene) {
			fill(50, 50, 0)(s)
			s.Plan[1].ToPa = 25 * vlBar
			s.Set = func(truth *mimic.Truth) { truth.Weather.AmbientK, truth.Weather.SunWM2 = 303, 600 }
		}), see: func(t *testing.T, w *walk) {
			must.Be(t, !(w.now.Advice.WaitS > 0) || !present(&w.now, alarm.HoldLimit), "%.0f s: to be vented or used, and to go on in %.0f s", w.now.TimeS, w.now.Advice.WaitS)
		}},
		{name: "a target that is moved", scene: sceneOf(t, "calm", fill(24, 30, 0)), entries: map[int]wire.Entry{
			60: {Kind: wire.EntryTarget, Value: 25e5}, 78: {Kind: wire.EntryTarget, Value: 45e5}, 135: said(monitor.VentSaid)}, end: ended},
	}
}
