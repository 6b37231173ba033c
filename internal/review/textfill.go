package review

import (
	"fmt"
	"math"

	"fillwright/internal/alarm"
	"fillwright/internal/quantity"
)

func (w *writer) fill(p *Part, f *Fill, k, of int) {
	title := "FILL"
	if of > 1 {
		title = fmt.Sprintf("FILL %d OF %d", k+1, of)
	}
	w.head(title)
	for _, row := range f.Rows(w.u, &p.Vessel) {
		w.line("  %-22s %s", row[0], row[1])
	}
	w.head("Forecast and what came")
	if len(f.Forecasts) == 0 {
		w.line("  nothing was forecast")
	} else {
		w.table(f.ForecastRows(w.u))
	}
	w.head("Readings less the estimate")
	w.table(f.ResidualRows(p, f.BeginS, f.EndS, w.u))
	w.head("The list before the fill, as it stood at first gas")
	if len(f.Ready) == 0 {
		w.line("  it was not recorded: the recording begins in the fill")
		return
	}
	w.table(f.ReadyRows())
}

// ReadyRows is the list before the fill: how an item stood, what it is, what was found.
func (f *Fill) ReadyRows() [][]string {
	var rows [][]string
	for _, item := range f.Ready {
		rows = append(rows, []string{readyWord(item.State), item.Title, item.Why.String()})
	}
	return rows
}

// ForecastRows is the table of what was forecast and what came, its head first.
func (f *Fill) ForecastRows(u quantity.System) [][]string {
	rows := [][]string{{"at", "event", "forecast", "peak", "came", "off", "verdict"}}
	for i := range f.Forecasts {
		o := &f.Forecasts[i]
		c := o.Cells(u)
		rows = append(rows, append([]string{quantity.Clock(o.AtS), o.Event}, c[:]...))
	}
	return rows
}

// Rows are the account of a fill: what, and how it was.
func (f *Fill) Rows(u quantity.System, v *Vessel) [][2]string {
	a := &f.Account
	end := "the recording ends before it was vented"
	if f.Done {
		end = "vented at " + quantity.Clock(f.EndS)
	}
	rows := [][2]string{
		{"first gas", fmt.Sprintf("at %s, air %s; %s", quantity.Clock(f.BeginS), u.Temperature(f.AmbientK), end)},
		{"filled, stood", fmt.Sprintf("%s, %s; %s at most, target %s", quantity.Clock(a.FillS), quantity.Clock(a.HoldS), u.Pressure(a.PressureMostPa), u.Pressure(f.TargetPa))},
		{"hottest wall", fmt.Sprintf("%s ± %s%s at %s; onset %s", u.Temperature(f.Hottest.K), u.Difference(f.Hottest.BandK), of(f.Hottest.Station), quantity.Clock(f.Hottest.S), u.Temperature(v.OnsetK))},
		{"least margin", fmt.Sprintf("%s at %s", u.Difference(f.MarginK), quantity.Clock(f.MarginS))},
	}
	for _, s := range f.Stations {
		text := fmt.Sprintf("%s ± %s at %s", u.Temperature(s.K), u.Difference(s.BandK), quantity.Clock(s.S))
		if !math.IsNaN(s.ReadK) {
			text += "; a sensor there read " + u.Temperature(s.ReadK) + " at most"
		}
		rows = append(rows, [2]string{"wall at " + s.Station, text})
	}
	for i := range f.Ramps {
		rows = append(rows, f.Ramps[i].row(u))
	}
	for i := range f.Holds {
		rows = append(rows, f.Holds[i].row(u))
	}
	rows = append(rows,
		[2]string{"leak", f.LeakText()},
		[2]string{"gas that came in", u.Mass(f.GasUsedKg)},
		[2]string{"gas", fmt.Sprintf("%s at most; coldest while vented %s", u.Temperature(a.GasMostK), u.Temperature(f.VentColdK))},
		[2]string{"alarms", fmt.Sprintf("%d aborts, %d cautions, %d notes", f.Raised[alarm.LevelAbort], f.Raised[alarm.LevelCaution], f.Raised[alarm.LevelAdvisory])})
	return rows
}

func of(station string) string {
	if station == "" {
		return ""
	}
	return " at " + station
}

func (r *Ramp) row(u quantity.System) [2]string {
	name := "ramp"
	if r.TopUp {
		name = "top-up"
	}
	return [2]string{name, fmt.Sprintf("%s to %s, %s to %s: %s on the mean, %s at most; advised %s on the mean; %s faster than advised", quantity.Clock(r.FromS),
		quantity.Clock(r.ToS), u.Pressure(r.FromPa), u.Pressure(r.ToPa), u.Ramp(r.MeanPaS), u.Ramp(r.MostPaS), u.Ramp(r.AdvisedPaS), Span(r.AboveS))}
}

func (h *Hold) row(u quantity.System) [2]string {
	return [2]string{"stood", fmt.Sprintf("%s to %s, %s to %s: sagged %s; forecast to settle at %s", quantity.Clock(h.FromS), quantity.Clock(h.ToS),
		u.Pressure(h.FromPa), u.Pressure(h.ToPa), u.Pressure(h.SagPa), u.Pressure(h.SettlePa))}
}

// LeakText is the leak verdict for people.
func (f *Fill) LeakText() string {
	l := &f.Account.Leak
	rate := fmt.Sprintf("%.2f ± %.2f g/min", l.RateKgS*6e4, l.BandKgS*6e4)
	switch {
	case f.Account.LeakSeen && !math.IsNaN(l.RateKgS):
		return "A LEAK WAS SEEN: " + rate
	case f.Account.LeakSeen:
		return "A LEAK WAS SEEN"
	case math.IsNaN(l.RateKgS):
		return "not known: it stood too short a time"
	}
	return "none seen: " + rate
}

// Cells are a forecast for people: what it was for, peak, what came, by how
// much it was off, verdict.
func (f *Forecast) Cells(u quantity.System) [5]string {
	what := "at " + u.Ramp(f.RampPaS)
	if f.IfShut {
		what = "if shut then"
	}
	verdict := f.Apart
	switch {
	case verdict != "":
	case f.Inside():
		verdict = "inside the band"
	case f.OffK() > 0:
		verdict = "HOTTER than the band"
	default:
		verdict = "colder than the band"
	}
	return [5]string{what, fmt.Sprintf("%s ± %s in %s", u.Temperature(f.PeakK), u.Difference(f.BandK), Span(f.PeakInS)),
		fmt.Sprintf("%s in %s", u.Temperature(f.CameK), Span(f.CameInS)), Signed(u, f.OffK()), verdict}
}

// Signed is a difference with its sign.
func Signed(u quantity.System, k float64) string {
	if text := u.Difference(k); !(k > 0) {
		return text
	}
	return "+" + u.Difference(k)
}

// ResidualRows is the table of readings less the estimate, its head first; by hand
// those from one time to another.
func (f *Fill) ResidualRows(p *Part, fromS, toS float64, u quantity.System) [][]string {
	rows := [][]string{{"sensor", "seconds", "mean", "RMS", "worst", "at"}}
	for i := range f.Residuals {
		r := &f.Residuals[i]
		rows = append(rows, []string{r.Title(), fmt.Sprint(r.N), Signed(u, r.MeanK), u.Difference(r.RMSK), Signed(u, r.WorstK), quantity.Clock(r.WorstS)})
	}
	for i := range p.Hand {
		if h := &p.Hand[i]; h.S >= fromS && h.S <= toS {
			name := "by hand, " + h.Station
			if h.TakenBack {
				name += " (taken back)"
			}
			rows = append(rows, []string{name, "", Signed(u, h.K-h.EstimateK), "", "", quantity.Clock(h.S)})
		}
	}
	return rows
}
