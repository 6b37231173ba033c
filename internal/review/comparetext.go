package review

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/quantity"
)

// Differed is the table of what differed, its head first, with the spread in
// the last row.
func (c *Compared) Differed(u quantity.System) [][]string {
	rows := [][]string{{"fill", "day", "air", "wall at start", "ramp", "most pressure", "hottest wall", "least margin", "leak, g/min", "aborts", "forecast off", "inside"}}
	for i := range c.Rows {
		x := &c.Rows[i]
		f := x.Fill
		rows = append(rows, []string{x.Name, dayOf(x.When), u.Temperature(f.AmbientK), u.Temperature(x.StartK), u.Ramp(x.RampPaS), u.Pressure(f.Account.PressureMostPa),
			u.Temperature(f.Hottest.K) + " ± " + u.Difference(f.Hottest.BandK), u.Difference(f.MarginK), x.leak(), fmt.Sprint(f.Raised[alarm.LevelAbort]), Signed(u, x.ErrorK), x.Inside})
	}
	spread := func(of func(*Compare) float64) float64 {
		low, high := math.NaN(), math.NaN()
		for i := range c.Rows {
			low, high = quantity.LeastKnown(low, of(&c.Rows[i])), quantity.MostKnown(high, of(&c.Rows[i]))
		}
		return high - low
	}
	return append(rows, []string{"spread", "", u.Difference(spread(func(x *Compare) float64 { return x.Fill.AmbientK })), u.Difference(spread(func(x *Compare) float64 { return x.StartK })),
		u.Ramp(spread(func(x *Compare) float64 { return x.RampPaS })), u.Pressure(spread(func(x *Compare) float64 { return x.Fill.Account.PressureMostPa })),
		u.Difference(spread(func(x *Compare) float64 { return x.Fill.Hottest.K })), u.Difference(spread(func(x *Compare) float64 { return x.Fill.MarginK })),
		decimals(spread(func(x *Compare) float64 { return x.Fill.Account.Leak.RateKgS * 6e4 }), 2), "", "", ""})
}

func dayOf(when string) string {
	if day, _, ok := strings.Cut(when, "T"); ok {
		return day
	}
	return quantity.Unknown
}

func (x *Compare) leak() string {
	l := &x.Fill.Account.Leak
	text := decimals(l.RateKgS*6e4, 2) + " ± " + decimals(l.BandKgS*6e4, 2)
	if math.IsNaN(l.RateKgS) {
		text = quantity.Unknown
	}
	if x.Fill.Account.LeakSeen {
		text += " LEAK SEEN"
	}
	return text
}

// Taught is the table of what the fills would teach a model, its head first.
func (c *Compared) Taught(u quantity.System) [][]string {
	rows := [][]string{{"fill", "left out, RMS", "worst", "film over the others", "wall less estimate, RMS", "would teach"}}
	for i, x := range c.Teaching() {
		what := "less than those above"
		switch {
		case c.Why != "":
			what = "not known"
		case math.IsNaN(x.LeftOutK):
			what = "next to nothing: nobody read its wall, or its recording holds several fills"
		case i == 0:
			what = "most: the others predict it worst"
		}
		rows = append(rows, []string{x.Name, u.Difference(x.LeftOutK), u.Difference(x.LeftWorst), decimals(x.Film, 2), u.Difference(x.WallRMS), what})
	}
	return rows
}

// String says in a line how often the vessel was brought under pressure.
func (c *Cycles) String(u quantity.System) string {
	return fmt.Sprintf("%d cycles in these recordings, %d above half of the limit of %s and %d above nine tenths of it, %s at most. Cycles that were not recorded are not counted, and they age a composite too.",
		c.All, c.Half, u.Pressure(c.LimitPa), c.Near, u.Pressure(c.MostPa))
}

// Remarks say how far the comparison carries.
func (c *Compared) Remarks(u quantity.System) []string {
	var out []string
	if len(c.Vessels) > 1 {
		out = append(out, "THESE ARE NOT ONE VESSEL'S FILLS: "+strings.Join(c.Vessels, ", ")+".")
	}
	out = append(out, c.Cycles.String(u))
	if c.Why != "" {
		out = append(out, "Nothing was fitted: "+c.Why+".")
	} else {
		out = append(out, "Film and left-out errors are of a fit of the wall model to these recordings, as learn makes it, and of fits that left one out.")
	}
	return out
}

// Text is the comparison for a terminal.
func (c *Compared) Text(u quantity.System) string {
	w := &writer{u: u}
	w.line("%d fills compared, by their days where known", len(c.Rows))
	w.head("What differed")
	w.table(c.Differed(u))
	w.head("Over the vessel's life, and what would teach a model most")
	w.table(c.Taught(u))
	w.cautions(c.Remarks(u)...)
	return w.b.String()
}

// JSON is the comparison as one JSON object without a line end.
func (c *Compared) JSON() ([]byte, error) {
	rows := each(c.Rows, func(x *Compare) object {
		f := x.Fill
		var when any
		if x.When != "" {
			when = x.When
		}
		return object{"fill": x.Name, "begun": when, "ambient_c": celsius(f.AmbientK), "wall_start_c": celsius(x.StartK), "ramp_bar_min": barMin(x.RampPaS),
			"most_bar": bar(f.Account.PressureMostPa), "peak_c": celsius(f.Hottest.K), "peak_band_k": kelvin(f.Hottest.BandK), "margin_least_k": kelvin(f.MarginK),
			"leak_g_min": round(f.Account.Leak.RateKgS*6e4, 2), "leak_band_g_min": round(f.Account.Leak.BandKgS*6e4, 2), "leak_seen": f.Account.LeakSeen,
			"aborts": f.Raised[alarm.LevelAbort], "forecast_off_k": kelvin(x.ErrorK), "forecasts_inside": x.Inside, "wall_rms_k": kelvin(x.WallRMS),
			"film_over_others": round(x.Film, 3), "left_out_rms_k": kelvin(x.LeftOutK), "left_out_worst_k": kelvin(x.LeftWorst)}
	})
	teach := []string{}
	for _, x := range c.Teaching() {
		if !math.IsNaN(x.LeftOutK) {
			teach = append(teach, x.Name)
		}
	}
	y := &c.Cycles
	return json.Marshal(object{"compared": rows, "vessels": list(c.Vessels), "not_fitted": c.Why, "would_teach": teach,
		"cycles": object{"all": y.All, "above_half": y.Half, "above_nine_tenths": y.Near, "most_bar": bar(y.MostPa), "limit_bar": bar(y.LimitPa)}})
}
