package mimic

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

const onsetK = 327.15 // the demo vessel's resin

// Each scene does to the demo vessel what it says.
func TestScenesDoWhatTheySay(t *testing.T) {
	p := vessel.Invented()
	must.Need(t, p.Resin.Onset == onsetK, "onset of the demo vessel is %v", p.Resin.Onset)
	for _, sc := range Scenes() {
		t.Run(sc.Name, func(t *testing.T) {
			rows := run(t, p, sc, Options{Seed: 1})
			hottest, crossed, fillFrom, most := 0.0, math.Inf(1), math.Inf(1), 0.0
			for _, r := range rows {
				most = max(most, r.PressurePa)
				hottest = max(hottest, r.HottestK)
				if r.Valve.Action == Fill {
					fillFrom = min(fillFrom, r.TimeS)
				}
				if r.HottestK >= onsetK {
					crossed = min(crossed, r.TimeS)
				}
			}
			must.Near(t, "highest pressure, bar", most/bar, 40, 1)
			end := rows[len(rows)-1]
			must.Be(t, end.PressurePa <= 0.1*bar, "ends at %.1f bar", end.PressurePa/bar)
			checkScene(t, sc.Name, rows, hottest, crossed-fillFrom, fillFrom)
		})
	}
}

func checkScene(t *testing.T, name string, rows []Row, hottest, crossedAfter, fillFrom float64) {
	start := rows[0].HottestK
	switch name {
	case "calm", "dying-probe":
		must.Near(t, "start of the fill", fillFrom, 10, 0.5)
		must.Be(t, hottest <= onsetK-8, "the wall got to %.1f °C", hottest-273.15)
	case "rushed":
		must.Be(t, crossedAfter > 15 && crossedAfter < 60 && start <= onsetK-5,
			"starts at %.1f °C, reaches onset %.1f s after the start of the fill", start-273.15, crossedAfter)
	case "hot-day":
		must.Be(t, start >= onsetK-12 && start <= onsetK-5 && hottest >= onsetK-5,
			"starts at %.1f °C and gets to %.1f °C", start-273.15, hottest-273.15)
	case "leak":
		var held []Row
		for _, r := range rows {
			if r.Valve.Action == Shut {
				held = append(held, r)
			}
		}
		a, b := held[10], held[len(held)-1]
		rate := (a.GasKg - b.GasKg) * 60e3 / (b.TimeS - a.TimeS)
		must.Near(t, "leak by mass against leak by orifice, g/min", rate, (a.LeakKgS+b.LeakKgS)/2*60e3, 0.1)
		must.Be(t, rate >= 1.5 && rate <= 5, "leaks %.2f g/min", rate)
	}
}

// Whoever stops the rushed fill in time keeps the wall below onset.
func TestRushedFillCanBeSaved(t *testing.T) {
	p := vessel.Invented()
	var now Row
	adviser := func() advise.Advice {
		if now.HottestK > onsetK-5 {
			return advise.Advice{Verdict: advise.VerdictStop}
		}
		return advise.Advice{Verdict: advise.VerdictFill, RampPaS: float64(p.Limits.RampMost)}
	}
	hottest := 0.0
	must.Do(t, Record(p, rushed(), Options{Seed: 1, Follow: true, Adviser: adviser}, func([]byte) error { return nil },
		func(r Row) error { now = r; hottest = max(hottest, r.HottestK); return nil }))
	must.Be(t, hottest < onsetK && hottest > onsetK-5, "hottest %.2f °C", hottest-273.15)
}

// Vessels scatter about their profile, stay physical, and each fill differs.
func TestScatteredVesselsStayPhysical(t *testing.T) {
	p := vessel.Invented()
	seen := map[float64]bool{}
	for seed := range uint64(6) {
		truth := Scatter(p, seed)
		seen[truth.ThicknessM] = true
		r := truth.VolumeM3 / float64(p.Volume)
		must.Be(t, r >= 0.97 && r <= 1.03, "volume is off by %g", r)
		rows := run(t, p, Varied(p, seed, int(seed%3)), Options{Seed: seed, Truth: &truth, RowEveryS: 2})
		most := 0.0
		for _, r := range rows {
			must.Need(t, r.GasK > 200 && r.GasK < 420 && r.HottestK > 250 && r.HottestK < 400 && r.GasKg > 0 && r.BeadK > 200,
				"seed %d at %g s: %+v", seed, r.TimeS, r)
			most = max(most, r.PressurePa)
		}
		must.Be(t, most >= 0.5*float64(p.Fill.Target), "seed %d: the fill only reached %.1f bar", seed, most/bar)
	}
	must.Be(t, len(seen) == 6, "%d different walls of 6", len(seen))
	a, b := Varied(p, 1, 0).Plan[1], Varied(p, 1, 1).Plan[1]
	must.Be(t, a != b, "two fills of a vessel have the same ramp")
}

// The truth file has one header and one well-formed row a moment, units in
// the names, and empty cells for what is not known.
func TestTruthFile(t *testing.T) {
	p := vessel.Invented()
	var out bytes.Buffer
	f := must.Get(NewTruthFile(&out, p))(t)
	advice := func() advise.Advice { return advise.Advice{Verdict: advise.VerdictHold, RampPaS: math.NaN()} }
	must.Do(t, Record(p, calm(), Options{ForS: 5, Adviser: advice}, func([]byte) error { return nil }, f.Write))
	must.Do(t, f.Flush())
	all := must.Get(csv.NewReader(&out).ReadAll())(t)
	head := strings.Join(all[0], " ")
	for _, want := range []string{"time_s", "pressure_bar", "outer_sun_c", "inner_shade_c", "hottest_c", "leak_g_min"} {
		must.Be(t, strings.Contains(head, want), "no column %s in %s", want, head)
	}
	if len(all) != 12 || all[11][0] != "5.00" {
		t.Errorf("%d lines, last %v", len(all), all[len(all)-1])
	}
	last := all[11]
	if last[len(last)-2] != "hold" || last[len(last)-1] != "" {
		t.Errorf("advice in the truth file: %v", last[len(last)-2:])
	}
}

// What makes no sense is refused with words that say what and where.
func TestBadOptionsAreRefused(t *testing.T) {
	p := vessel.Invented()
	bad := NewTruth(p)
	bad.ThicknessM = math.NaN()
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{RateHz: 1e6}, "sample rate"}, {Options{Speed: -1}, "speed"},
		{Options{Follow: true}, "adviser"}, {Options{Truth: &bad}, "wall thickness"},
		{Options{Cable: Cable{Lost: 2}}, "lost frames"},
		{Options{Cable: Cable{RestartsS: []float64{5, 5}}}, "restart times"},
	} {
		must.Refuse(t, must.Err(NewDevice(p, calm(), c.o)), c.want)
	}
	must.Refuse(t, must.Err(FindScene("clam")), "hot-day")
	sc, err := FindScene("leak")
	must.Be(t, err == nil && sc.Name == "leak", "scene leak: %v %v", sc.Name, err)
}

// A plan's zeros are filled in from whatever vessel it meets.
func TestPlanTakesNumbersFromTheProfile(t *testing.T) {
	p := &vessel.Profile{Fill: vessel.Fill{Target: 12e5, Hold: 77}, Limits: vessel.Limits{RampMost: 5e4}}
	sc := Scene{Plan: []Segment{{Do: Fill}, {Do: Shut}, {Do: Vent}}}
	plan := sc.planFor(p)
	must.Be(t, plan[0].ToPa == 12e5 && plan[0].RampPaS == 5e4 && plan[1].ForS == 77 && plan[2].RampPaS == 5e4, "plan %+v", plan)
	must.Be(t, sc.Plan[0].ToPa == 0, "the scene itself was changed")
}
