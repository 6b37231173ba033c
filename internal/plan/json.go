package plan

import (
	"encoding/json"
	"math"
	"strings"

	"fillwright/internal/quantity"
)

// known6 is a number of six digits, null in JSON when it is not known, or when
// there is no limit.
type known6 = quantity.JSON6

func barOf(pa float64) known6   { return known6(pa / 1e5) }
func cOf(k float64) known6      { return known6(k - 273.15) }
func barMin(paS float64) known6 { return known6(paS * 60 / 1e5) }

type bandJSON struct {
	C     known6 `json:"c"`
	BandC known6 `json:"band_c"`
}

func bandOf(e Estimate) bandJSON { return bandJSON{cOf(e.K), known6(e.BandK)} }

type legJSON struct {
	Ramp    known6 `json:"ramp_bar_min"` // 0: a wait
	FromBar known6 `json:"from_bar"`
	ToBar   known6 `json:"to_bar"`
	FromS   known6 `json:"from_s"`
	ToS     known6 `json:"to_s"`
}

type effectJSON struct {
	Keys    []string `json:"remedies"`
	Name    string   `json:"name"`
	Cost    string   `json:"cost"`
	GainC   known6   `json:"margin_gained_c"`
	Peak    bandJSON `json:"peak"`
	Ramp    known6   `json:"ramp_bar_min"`
	TargetS known6   `json:"target_in_s"`
	LastsS  known6   `json:"lasts_s"`
	Use     string   `json:"use"`
	Needs   string   `json:"needs,omitempty"`
}

type supplyJSON struct {
	Enough     bool   `json:"enough"`
	EndBar     known6 `json:"end_bar"`
	EndWarmBar known6 `json:"end_warm_bar"`
	GasC       known6 `json:"gas_c"`
	ComesC     known6 `json:"comes_c"`
}

type testedJSON struct {
	Bar     known6 `json:"bar"`
	WallC   known6 `json:"wall_c"`
	MarginC known6 `json:"margin_c"`
	DayC    known6 `json:"this_day_c"`
}

type narrowJSON struct {
	Do    string `json:"do"`
	FromC known6 `json:"from_band_c"`
	BandC known6 `json:"band_c"`
}

type planJSON struct {
	Vessel        string            `json:"vessel"`
	Day           map[string]string `json:"day"`
	Verdict       string            `json:"verdict"`
	OnlyIf        string            `json:"only_if,omitempty"`
	Why           string            `json:"why"`
	WallSun       bandJSON          `json:"wall_sun"`
	WallShade     bandJSON          `json:"wall_shade"`
	OnsetC        known6            `json:"onset_c"`
	LimitC        known6            `json:"limit_c"`
	Ramp          known6            `json:"ramp_bar_min"`
	Peak          bandJSON          `json:"peak"`
	PeakInS       known6            `json:"peak_in_s"`
	MarginC       known6            `json:"margin_c"`
	RoomC         known6            `json:"room_c"`
	TargetBar     known6            `json:"target_bar"`
	TargetInS     known6            `json:"target_in_s"`
	GasC          known6            `json:"gas_c"`
	SettleBar     known6            `json:"settle_bar"`
	TopUps        int               `json:"top_ups"`
	TopUpBar      known6            `json:"top_up_bar"`
	StandS        known6            `json:"stand_s"`
	VentC         known6            `json:"vent_c"`
	VentRamp      known6            `json:"vent_bar_min"`
	EnergyBoundC  known6            `json:"energy_bound_c"`
	Course        []legJSON         `json:"course"`
	CourseInS     known6            `json:"course_in_s"`
	CourseSaves   known6            `json:"course_saves"`
	CourseAdvised bool              `json:"course_advised"`
	Supply        *supplyJSON       `json:"supply"`
	Tested        *testedJSON       `json:"cold_test"`
	Sides         string            `json:"warm_side,omitempty"`
	Narrow        []narrowJSON      `json:"narrows"`
	RemediesAt    known6            `json:"remedies_at_bar_min"`
	Remedies      []effectJSON      `json:"remedies"`
	BestTwo       *effectJSON       `json:"best_two"`
}

// JSON is the plan as one object: temperatures °C, pressures bar gauge. A time
// that has no limit is null, as is what is not known.
func JSON(p *Plan) ([]byte, error) {
	a := &p.Answer
	out := planJSON{
		Vessel: p.Setup.Vessel.Name, Day: map[string]string{}, Verdict: a.Verdict.String(), OnlyIf: strings.Join(a.OnlyIf(), ", and "), Why: a.Whys(),
		WallSun: bandOf(a.Sun), WallShade: bandOf(a.Shade), OnsetC: cOf(a.OnsetK), LimitC: cOf(a.GoalK),
		Ramp: barMin(a.LeavePaS()), Peak: bandOf(a.Peak), PeakInS: known6(a.PeakInS), MarginC: known6(a.MarginK), RoomC: known6(a.RoomK),
		TargetBar: barOf(a.TargetPa), TargetInS: known6(a.TargetInS), GasC: cOf(a.GasMostK), SettleBar: barOf(a.SettlePa),
		TopUps: a.TopUps, TopUpBar: barOf(a.TopUpPa), StandS: known6(a.StandS), VentC: cOf(a.VentK), VentRamp: barMin(a.VentPaS),
		EnergyBoundC: known6(a.EnergyBoundK), Course: []legJSON{}, CourseInS: known6(a.CourseInS), CourseSaves: known6(a.CourseSaves),
		CourseAdvised: a.CourseAdvised(), Sides: p.Sides, Narrow: []narrowJSON{}, RemediesAt: barMin(p.Comparison.AtPaS), Remedies: []effectJSON{},
	}
	for _, f := range Fields() {
		if t := f.Text(&p.Setup.Day, quantity.SystemBarC); t != "" {
			out.Day[strings.ReplaceAll(f.Key, "-", "_")] = t
		}
	}
	if nan := known6(math.NaN()); a.Verdict == NoGo { // nothing that a reader could carry out
		out.TargetInS, out.CourseInS, out.CourseSaves = nan, nan, nan
	} else {
		for _, l := range a.Course {
			out.Course = append(out.Course, legJSON{barMin(l.RampPaS), barOf(l.FromPa), barOf(l.ToPa), known6(l.FromS), known6(l.ToS)})
		}
	}
	if u := &a.Supply; u.Known {
		out.Supply = &supplyJSON{u.Enough, barOf(u.EndPa), barOf(u.EndWarmPa), cOf(u.GasK), cOf(u.ThrottledK)}
	}
	if t := &a.Tested; t.Known {
		out.Tested = &testedJSON{barOf(t.Pa), cOf(t.K), known6(t.MarginK), cOf(t.WallK)}
	}
	for _, n := range a.Narrow {
		out.Narrow = append(out.Narrow, narrowJSON{n.Do, known6(n.FromK), known6(n.BandK)})
	}
	for i := range p.Comparison.Alone {
		out.Remedies = append(out.Remedies, p.Setup.effectOf(&p.Comparison.Alone[i]))
	}
	if len(p.Comparison.Both.Keys) > 0 {
		both := p.Setup.effectOf(&p.Comparison.Both)
		out.BestTwo = &both
	}
	return json.Marshal(out)
}

func (s *Setup) effectOf(e *Effect) effectJSON {
	return effectJSON{e.Keys, s.Told(e.Name, quantity.SystemBarC), e.Cost, known6(e.GainK), bandOf(e.Peak), barMin(e.RampPaS), known6(e.FillS), known6(e.LastsS), e.Use().String(), e.Needs}
}
