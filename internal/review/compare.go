package review

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"fillwright/internal/learn"
	"fillwright/internal/quantity"
)

// Compared is several fills held against each other, in the order of their
// days, or as given where a day is not known.
type Compared struct {
	Vessels []string // their names; more than one: they are not one vessel's fills
	Rows    []Compare
	Cycles  Cycles
	Why     string // why nothing was fitted, "": it was
}

// Compare is one fill in the comparison. Unknown numbers are NaN.
type Compare struct {
	Name    string // file, and the fill's number where it holds several
	SHA256  string // of the file
	When    string // "": not known
	unixMS  int64
	Part    *Part
	Fill    *Fill
	StartK  float64 // hottest wall at the first gas
	RampPaS float64 // mean of the first time that gas came in
	ErrorK  float64 // how much hotter it came than forecast, of the forecasts that can be held against it; the worst
	Inside  string  // how many of them lay in their band: "2 of 2"
	WallRMS float64 // wall sensors less the estimate, that of the worst
	// Of a fit of the wall model to all of the recordings, by recording:
	Film      float64 // inside film over that of the others
	LeftOutK  float64 // wall RMS when the others predict it; NaN: nobody read its wall
	LeftWorst float64 // and the greatest deviation
}

// Cycles counts how often the vessel was brought under pressure in these
// recordings. What was not recorded is not in it.
type Cycles struct {
	All     int
	Half    int // above half of the limit
	Near    int // above nine tenths of it
	MostPa  float64
	LimitPa float64
}

// comparedMost is the most fills that are compared.
const comparedMost = 200

// CompareAll holds fills against each other. Fit is the fit of the wall model to
// the recordings, one fill each and in their order; nil: there is none, because
// of why.
func CompareAll(records []*Record, fit *learn.Result, why string) *Compared {
	c := &Compared{Why: why}
	for i, r := range records {
		n := len(r.Fills())
		k := 0
		for _, p := range r.Parts {
			if !slices.Contains(c.Vessels, p.Vessel.Name) {
				c.Vessels = append(c.Vessels, p.Vessel.Name)
			}
			for _, f := range p.Fills {
				if k++; len(c.Rows) >= comparedMost {
					continue
				}
				row := compareOf(p, f)
				row.Name, row.When, row.SHA256 = r.File.Name, p.When(), r.File.SHA256
				if n > 1 {
					row.Name += " fill " + strconv.Itoa(k)
				}
				if fit != nil && n == 1 {
					row.fitted(fit, i)
				}
				c.Rows = append(c.Rows, row)
				c.Cycles.add(p, f)
			}
		}
	}
	slices.SortStableFunc(c.Rows, func(a, b Compare) int {
		if a.unixMS == 0 || b.unixMS == 0 {
			return 0
		}
		return cmp.Compare(a.unixMS, b.unixMS)
	})
	return c
}

func compareOf(p *Part, f *Fill) Compare {
	nan := math.NaN()
	row := Compare{unixMS: p.UnixMS, Part: p, Fill: f, StartK: nan, RampPaS: nan, ErrorK: nan, WallRMS: nan, Film: nan, LeftOutK: nan, LeftWorst: nan}
	for i := range f.Course.Rows {
		if r := &f.Course.Rows[i]; r.S <= f.BeginS {
			row.StartK = float64(r.High[HottestK])
		}
	}
	if len(f.Ramps) > 0 {
		row.RampPaS = f.Ramps[0].MeanPaS
	}
	inside, can := 0, 0
	for i := range f.Forecasts {
		o := &f.Forecasts[i]
		if o.Apart != "" {
			continue
		}
		if can++; o.Inside() {
			inside++
		}
		if !(math.Abs(o.OffK()) <= math.Abs(row.ErrorK)) {
			row.ErrorK = o.OffK()
		}
	}
	row.Inside = strconv.Itoa(inside) + " of " + strconv.Itoa(can)
	for i := range f.Residuals {
		if r := &f.Residuals[i]; r.Station != "" {
			row.WallRMS = quantity.MostKnown(row.WallRMS, r.RMSK)
		}
	}
	return row
}

// fitted takes over what a fit found of recording i.
func (c *Compare) fitted(fit *learn.Result, i int) {
	best := fit.Best()
	if i < len(best.Outcome.Fills) {
		c.Film = math.Exp(best.Outcome.Fills[i].FilmLn)
	}
	if i < len(best.LeftOut) {
		c.LeftOutK = best.LeftOut[i].WallRMSK
		if c.LeftWorst = best.LeftOut[i].WallWorstK; math.IsNaN(c.LeftOutK) {
			c.LeftWorst = math.NaN()
		}
	}
}

func (c *Cycles) add(p *Part, f *Fill) {
	limit, pa := p.Vessel.LimitPa, f.Account.PressureMostPa
	c.All++
	if pa > limit/2 {
		c.Half++
	}
	if pa > 0.9*limit {
		c.Near++
	}
	c.MostPa, c.LimitPa = math.Max(c.MostPa, pa), limit
}

// Teaching is the fills in the order in which a learned model would gain by
// them: first those that the others predict worst. Those whose wall nobody read
// come last.
func (c *Compared) Teaching() []*Compare {
	var out []*Compare
	for i := range c.Rows {
		out = append(out, &c.Rows[i])
	}
	key := func(x *Compare) float64 {
		if math.IsNaN(x.LeftOutK) {
			return -1
		}
		return x.LeftOutK
	}
	slices.SortStableFunc(out, func(a, b *Compare) int { return cmp.Compare(key(b), key(a)) })
	return out
}
