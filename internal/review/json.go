package review

import (
	"encoding/json"
	"math"
	"time"

	"fillwright/internal/alarm"
	"fillwright/internal/quantity"
)

// number is null in JSON when it is not known or has no end.
type number = quantity.JSON

// round keeps as many decimals as a sensor can mean; no minus before a zero.
func round(x float64, decimals int) number {
	p := math.Pow10(decimals)
	if r := math.Round(x*p) / p; r != 0 {
		return number(r)
	}
	return 0
}

const zeroC = 273.15 // K

func celsius(k float64) number { return round(k-zeroC, 2) }
func kelvin(k float64) number  { return round(k, 2) }
func bar(pa float64) number    { return round(pa/1e5, 3) }
func barMin(p float64) number  { return round(p*60/1e5, 2) }
func seconds(s float64) number { return round(s, 2) }

type object = map[string]any

// CourseMost is how many rows of a course JSON holds.
const CourseMost = 240

// JSON is the record as one JSON object without a line end. Keys carry their
// units; pressures are gauge bar, temperatures °C, differences and bands K,
// times seconds from the first sample of the part.
func (r *Record) JSON() ([]byte, error) { return json.Marshal(r.object()) }

func (r *Record) object() object {
	c := r.File.Counts
	parts := make([]object, 0, len(r.Parts))
	for _, p := range r.Parts {
		parts = append(parts, p.object())
	}
	return object{
		"file": object{"name": r.File.Name, "kind": r.File.Kind, "bytes": r.File.Bytes, "sha256": r.File.SHA256,
			"frames": c.Good, "damaged": c.Damaged + c.Oversize, "lost": c.Lost, "repeated": c.Repeated, "warnings": list(r.File.Warnings)},
		"reviewed_by": r.File.Program,
		"parts":       parts,
	}
}

// list is never null.
func list[T any](x []T) []T {
	if x == nil {
		return []T{}
	}
	return x
}

func each[T any](from []T, make func(*T) object) []object {
	out := []object{}
	for i := range from {
		out = append(out, make(&from[i]))
	}
	return out
}

// When is the host's time at the start, RFC 3339 in UTC; "" when not known.
func (p *Part) When() string {
	if p.UnixMS == 0 {
		return ""
	}
	return time.UnixMilli(p.UnixMS).UTC().Format(time.RFC3339)
}

func (p *Part) object() object {
	v := &p.Vessel
	var begun any
	if when := p.When(); when != "" {
		begun = when
	}
	fills := make([]object, 0, len(p.Fills))
	for _, f := range p.Fills {
		fills = append(fills, f.object(p))
	}
	return object{
		"begun": begun, "recorded_by": p.App, "log_version": p.Version, "end_s": seconds(p.EndS),
		"vessel": object{"name": v.Name, "onset_c": celsius(v.OnsetK), "reserve_k": kelvin(v.ReserveK), "limit_bar": bar(v.LimitPa),
			"target_bar": bar(v.TargetPa), "stations": list(v.Stations), "ply_sections": v.Plies, "invented": v.Invented},
		"model":             object{"name": p.Model.Name, "variant": p.Model.Variant, "fills": p.Model.Fills, "widened": p.Model.Widened.String()},
		"offsets_taken_off": p.Offsets,
		"phases": each(p.Phases, func(x *Phase) object {
			return object{"phase": x.Phase.String(), "from_s": seconds(x.FromS), "to_s": seconds(x.ToS), "from_bar": bar(x.FromPa), "to_bar": bar(x.ToPa)}
		}),
		"fills": fills,
		"alarms": each(p.Alarms, func(x *Alarm) object {
			return object{"name": x.Name, "level": x.Level.String(), "cause": x.Cause, "raised_s": seconds(x.RaisedS), "seen_s": seconds(x.SeenS),
				"gone_s": seconds(x.GoneS), "stood_s": seconds(x.StoodS(p.EndS)), "seen_after_s": seconds(x.SeenS - x.RaisedS),
				"shut_after_s": seconds(x.ShutAfterS), "respond_within_s": seconds(x.RespondS)}
		}),
		"entries": each(p.Entries, (*Entry).object),
		"readings": each(p.Hand, func(x *Reading) object {
			return object{"t_s": seconds(x.S), "station": x.Station, "read_c": celsius(x.K), "estimate_c": celsius(x.EstimateK),
				"off_k": kelvin(x.K - x.EstimateK), "taken_back": x.TakenBack}
		}),
		"notes":   each(p.Notes, func(x *Note) object { return object{"t_s": seconds(x.S), "text": x.Text} }),
		"sensors": each(p.Sensors, (*Sensor).object),
		"data": object{"samples": p.Data.Samples, "span_s": seconds(p.Data.SpanS), "rate_hz": round(p.Data.RateHz, 2), "gaps": p.Data.Gaps,
			"longest_gap_s": seconds(p.Data.GapMostS), "longest_gap_at_s": seconds(p.Data.GapMostT), "gaps_s": seconds(p.Data.GapsS), "restarts": p.Data.Restarts},
		"left_out": object{"phases": p.Left.Phases, "fills": p.Left.Fills, "alarms": p.Left.Alarms, "entries": p.Left.Entries,
			"notes": p.Left.Notes, "forecasts": p.Left.Forecasts},
	}
}

func (e *Entry) object() object {
	out := object{"t_s": seconds(e.S), "what": EntryWord(e.Kind), "text": e.Text}
	if e.Station != "" {
		out["station"], out["read_c"] = e.Station, celsius(e.Value)
	}
	return out
}

func (s *Sensor) object() object {
	value, diff, unit := celsius, kelvin, "_c"
	if s.Pressure {
		value, diff, unit = bar, bar, "_bar"
	}
	small := "_k"
	if s.Pressure {
		small = unit
	}
	return object{
		"channel": s.Channel, "role": s.Role, "kind": s.Kind, "station": s.Station, "good_s": seconds(s.GoodS), "offset" + small: diff(s.Offset),
		"noise" + small: round(float64(diff(1))*s.Noise, 4), "vented_before" + unit: value(s.Before), "vented_after" + unit: value(s.After),
		"drift" + small: diff(s.Drift()), "least" + unit: value(s.Least), "most" + unit: value(s.Most),
		"ill": each(s.Ill, func(x *Ill) object {
			return object{"health": x.Health.String(), "doubt_only": x.Doubt, "for_s": seconds(x.S), "first_s": seconds(x.FirstS)}
		}),
	}
}

func (f *Fill) object(p *Part) object {
	a := &f.Account
	return object{
		"begin_s": seconds(f.BeginS), "end_s": seconds(f.EndS), "vented": f.Done, "fill_s": seconds(a.FillS), "hold_s": seconds(a.HoldS),
		"target_bar": bar(f.TargetPa), "most_bar": bar(a.PressureMostPa), "ambient_c": celsius(f.AmbientK),
		"hottest": f.Hottest.object(), "stations": each(f.Stations, (*Peak).object),
		"margin_least_k": kelvin(f.MarginK), "margin_least_at_s": seconds(f.MarginS),
		"gas_most_c": celsius(a.GasMostK), "gas_least_c": celsius(a.GasLeastK), "vent_coldest_c": celsius(f.VentColdK), "gas_used_g": round(f.GasUsedKg*1e3, 1),
		"advisories": f.Raised[alarm.LevelAdvisory], "cautions": f.Raised[alarm.LevelCaution], "aborts": f.Raised[alarm.LevelAbort], "first_abort": f.AbortFirst,
		"leak": object{"g_min": round(a.Leak.RateKgS*6e4, 2), "band_g_min": round(a.Leak.BandKgS*6e4, 2), "seen": a.LeakSeen},
		"ramps": each(f.Ramps, func(x *Ramp) object {
			return object{"from_s": seconds(x.FromS), "to_s": seconds(x.ToS), "from_bar": bar(x.FromPa), "to_bar": bar(x.ToPa), "mean_bar_min": barMin(x.MeanPaS),
				"most_bar_min": barMin(x.MostPaS), "advised_bar_min": barMin(x.AdvisedPaS), "above_advised_s": seconds(x.AboveS), "top_up": x.TopUp}
		}),
		"holds": each(f.Holds, func(x *Hold) object {
			return object{"from_s": seconds(x.FromS), "to_s": seconds(x.ToS), "from_bar": bar(x.FromPa), "to_bar": bar(x.ToPa), "sag_bar": bar(x.SagPa),
				"settle_forecast_bar": bar(x.SettlePa)}
		}),
		"ready": readyObjects(f), "forecasts": each(f.Forecasts, (*Forecast).object),
		"residuals": each(f.Residuals, func(x *Residual) object {
			return object{"sensor": x.Title(), "n": x.N, "mean_k": kelvin(x.MeanK), "rms_k": kelvin(x.RMSK), "worst_k": kelvin(x.WorstK), "worst_at_s": seconds(x.WorstS)}
		}),
		"course": courseObjects(f.Course.Reduced(CourseMost), p.Vessel.Stations),
	}
}

func (p *Peak) object() object {
	return object{"station": p.Station, "peak_c": celsius(p.K), "band_k": kelvin(p.BandK), "at_s": seconds(p.S), "read_most_c": celsius(p.ReadK)}
}

func (f *Forecast) object() object {
	var inside any
	if f.Apart == "" {
		inside = f.Inside()
	}
	return object{"at_s": seconds(f.AtS), "event": f.Event, "if_shut": f.IfShut, "ramp_bar_min": barMin(f.RampPaS), "peak_c": celsius(f.PeakK), "band_k": kelvin(f.BandK),
		"peak_in_s": seconds(f.PeakInS), "settle_bar": bar(f.SettlePa), "came_c": celsius(f.CameK), "came_band_k": kelvin(f.CameBandK), "came_in_s": seconds(f.CameInS),
		"came_bar": bar(f.CamePa), "came_ramp_bar_min": barMin(f.CameRamp), "off_k": kelvin(f.OffK()), "inside_band": inside, "not_comparable": f.Apart}
}

// objects are the rows of a course: of each stretch the greatest value, of the
// margin the least.
func courseObjects(s *Course, stations []string) []object {
	out := []object{}
	for i := range s.Rows {
		r := &s.Rows[i]
		high := func(c Column) float64 { return float64(r.High[c]) }
		walls := []object{}
		for k, name := range stations {
			walls = append(walls, object{"name": name, "outer_c": celsius(high(Of(k, Outer))), "read_c": celsius(high(Of(k, Sensed)))})
		}
		out = append(out, object{"t_s": seconds(r.S), "pressure_bar": bar(high(Pressure)), "ramp_bar_min": barMin(high(RampNow)),
			"advised_bar_min": barMin(high(RampAdvised)), "gas_c": celsius(high(Gas)), "hottest_c": celsius(high(HottestK)),
			"hottest_low_c": celsius(float64(r.Low[HottestLow])), "hottest_high_c": celsius(high(HottestHigh)), "margin_k": kelvin(float64(r.Low[Margin])),
			"stations": walls})
	}
	return out
}
