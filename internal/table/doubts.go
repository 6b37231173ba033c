package table

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
)

// What a table of a fill can't hold. Air temperatures are the records of the
// World Meteorological Organization's archive: 56.7 °C (Furnace Creek 1913) and
// −89.2 °C (Vostok 1983), from memory. A vessel that is filled from vacuum
// without any loss of heat comes to k = 1.4 times the absolute temperature of
// the gas that flows in (ideal gas, first law; real gas stays below).
const (
	airHotC, airColdC = 56.7, -89.2
	adiabatic         = 1.4
	inflowHotC        = 60.0 // a hose in the sun; common practice, no source
	sunRiseK          = 70.0 // a black wall in full sun over the air; common practice, no source
	limitTimes        = 2.0  // so many times its limit no vessel bears; our own choice
	vacuumPa          = -1.05e5
	psiInBar          = 14.5038
)

// What merely looks wrong. All are our own choice.
const (
	rampFastPaS  = 300e5 / 60 // faster than people fill by hand
	rampSlowPaS  = 0.5e5 / 60
	ventedPa     = 0.5e5
	highPa       = 350e5
	absoluteNear = 0.12e5
)

// doubter collects doubts about a table.
type doubter struct {
	c   *Reader
	p   *vessel.Profile
	out []Doubt
}

func doubtsOf(c *Reader, p *vessel.Profile) []Doubt {
	d := &doubter{c: c, p: p}
	d.pressure()
	d.times()
	d.ambient()
	d.gas()
	d.walls()
	return d.out
}

func (d *doubter) say(col *column, forbidden bool, do, format string, a ...any) {
	d.out = append(d.out, Doubt{Column: col.name, What: fmt.Sprintf(format, a...), Do: do, Forbidden: forbidden})
}

// column finds the first column of a use that has readings.
func (d *doubter) column(use columnUse) (*column, *trace) {
	for i := range d.c.cols {
		if d.c.cols[i].use == use && d.c.traces[i].n > 0 {
			return &d.c.cols[i], &d.c.traces[i]
		}
	}
	return nil, nil
}

func (d *doubter) pressure() {
	col, t := d.column(usePressure)
	if col == nil {
		return
	}
	if t.least < vacuumPa {
		d.say(col, true, "check the sensor's zero and the unit", "%s is less than nothing: no gauge pressure is below vacuum", col.text(t.least))
	}
	gasCol, gas := d.column(useGas)
	if gas != nil && t.least > 5e5 && gas.least > -5000 && gas.first < 3000 && gas.most > 10000 {
		d.say(col, true, "are the columns pressure and "+gasCol.name+" swapped? Rename them in the header",
			"it never falls below %s, while %s begins at %s as a vented vessel's pressure does", col.text(t.least), gasCol.name, gasCol.text(gas.first))
		return
	}
	if math.Abs(t.first-101325) < absoluteNear && t.least > 0.8e5 {
		d.say(col, false, "is it absolute? Take 1.013 bar off: gauge pressures are wanted", "it begins at %s and never falls to zero", col.text(t.first))
	}
	if d.p == nil {
		if t.most > highPa && col.unit.name == "bar" {
			d.say(col, false, "was it psi? Name the column pressure_psi; --vessel lets its limit be held against it",
				"%s is more than light vessels are made for; as psi it would be %.1f bar", col.text(t.most), t.most/1e5/psiInBar)
		}
		return
	}
	limit, target := float64(d.p.Limits.Pressure), float64(d.p.Fill.Target)
	switch {
	case t.most > limitTimes*limit && col.unit.name == "bar" && t.most/psiInBar < limit:
		d.say(col, true, "was it psi? Name the column pressure_psi", "%s is %.1f times what this vessel bears; as psi it would be %.1f bar", col.text(t.most), t.most/limit, t.most/1e5/psiInBar)
	case t.most > limitTimes*limit:
		d.say(col, true, "check the unit in the column's name, and the profile", "%s is %.1f times what this vessel bears", col.text(t.most), t.most/limit)
	case t.most < target/8 && col.unit.name == "psi":
		d.say(col, false, "was it bar? Name the column pressure_bar", "%s at most, and the target is %.0f bar", col.text(t.most), target/1e5)
	}
}

// times looks at the ramps: a wrong unit of time makes them impossible.
func (d *doubter) times() {
	col, t := d.column(usePressure)
	clock, _ := d.timeColumn()
	if col == nil || clock == nil || t.most-t.least < 5e5 {
		return
	}
	rise := t.fastest(200, true)
	fast := rampFastPaS
	if d.p != nil {
		fast = math.Max(fast, 3*float64(d.p.Limits.RampMost))
	}
	span := float64(d.c.last) / 1000
	switch {
	case rise > fast:
		d.say(clock, false, "are they minutes? Name the column time_min", "the pressure would rise by %.0f bar a minute, and all would be over in %.1f s", rise*60/1e5, span)
	case rise < rampSlowPaS && clock.unit.name == "min":
		d.say(clock, false, "are they seconds? Name the column time_s", "the pressure would rise by %.2g bar a minute at the fastest, in %.0f min", rise*60/1e5, span/60)
	case rise < rampSlowPaS:
		d.say(clock, false, "are they milliseconds? Name the column time_ms", "the pressure would rise by %.2g bar a minute at the fastest, in %.0f min", rise*60/1e5, span/60)
	}
}

func (d *doubter) timeColumn() (*column, bool) {
	for i := range d.c.cols {
		if d.c.cols[i].use == useTime {
			return &d.c.cols[i], true
		}
	}
	return nil, false
}

func (d *doubter) ambient() {
	col, t := d.column(useAmbient)
	if col == nil {
		return
	}
	if t.most > airHotC*1000 {
		do := "check the column"
		if col.unit.name == "c" && t.most < 120e3 {
			do = fmt.Sprintf("was it °F? Name the column ambient_f; it would be %.0f °C", (t.most/1000-32)/1.8)
		}
		d.say(col, true, do, "%s is hotter than air has ever been measured", col.text(t.most))
	}
	if t.least < airColdC*1000 {
		d.say(col, true, "check the column", "%s is colder than air has ever been measured", col.text(t.least))
	}
}

func (d *doubter) gas() {
	for _, use := range []columnUse{useGas, useGasFar, useGasSecond} {
		d.gasProbe(use)
	}
}

func (d *doubter) gasProbe(use columnUse) {
	col, t := d.column(use)
	_, p := d.column(usePressure)
	if col == nil || p == nil {
		return
	}
	from := inflowHotC
	if _, line := d.column(useSupplyLine); line != nil {
		from = math.Max(from, line.most/1000)
	}
	if most := adiabatic*(from+273.15) - 273.15; t.most > most*1000 {
		d.say(col, true, "check the unit and the sensor", "%s is hotter than gas gets by filling without any loss of heat, %.0f °C", col.text(t.most), most)
	}
	_, air := d.column(useAmbient)
	if air != nil && math.Abs(p.first) < ventedPa && math.Abs(t.first-air.first) > 35e3 {
		d.say(col, false, "was it °F? Or are two columns swapped?", "in the vented vessel it begins at %s, and the air is at %.1f °C", col.text(t.first), air.first/1000)
	}
}

// walls holds the wall's sensors against gas and sun, the only things that heat it.
func (d *doubter) walls() {
	gasCol, gas := d.column(useGas)
	_, air := d.column(useAmbient)
	for i := range d.c.cols {
		col, t := &d.c.cols[i], &d.c.traces[i]
		if (col.use != useWall && col.use != useSurface) || t.n == 0 {
			continue
		}
		hot := math.Max(airHotC*1000, t.first) + sunRiseK*1000
		if air != nil {
			hot = math.Max(air.most+sunRiseK*1000, t.first)
		}
		if gas != nil {
			hot = math.Max(hot, gas.most)
		}
		if t.most > hot+5000 {
			d.say(col, true, "check the unit, and whether two columns are swapped", "%s is hotter than gas and sun can make the wall", col.text(t.most))
		}
		if col.use != useWall || gas == nil || t.n < 40 || gas.n < 40 {
			continue
		}
		if wall, of := t.fastest(40, false), gas.fastest(40, false); wall > 1.5*of && t.most-t.least > gas.most-gas.least {
			d.say(col, false, "are the two swapped? Rename them in the header", "it changes faster and further than %s, which heats it", gasCol.name)
		}
	}
}
