package screen

// section is a part of the picture, from top to bottom.
type section uint8

const (
	secVerdict section = iota
	secReason          // why, and what then
	secAlarms          // worst first
	secNumbers         // margin, pressure, ramp
	secWall            // stations
	secGas             // gas, ambient, mass
	secAfter           // settle, hold limit, leak
	secChart           // past and forecast
	secTrust           // sensors, model
	secEvents          // what happened
	secStatus          // vessel, phase, times, age of the data
	secCaution         // what the program is not
	secKeys            // the keys
	sectionMost
)

// step gives a section more rows, in windows that are wide and high enough for
// it to be of use.
type step struct {
	section    section
	rows       int
	wide, high int // least window, cells
}

// wallRows stands for the row of titles and a row a station.
const wallRows = -1

// steps is the order of importance, after the operator's questions: what must
// I do and why, how close am I, where am I, what does the wall do, what is
// ahead, can I trust it, what happened. What stands late is dropped first.
var steps = [...]step{
	{secVerdict, 1, 0, 0}, {secNumbers, 2, 0, 0}, {secAlarms, 1, 0, 0}, {secReason, 1, 0, 0}, {secStatus, 1, 0, 0},
	{secVerdict, 3, 40, 0}, {secNumbers, 4, 52, 0}, {secReason, 2, 0, 0}, {secKeys, 1, 30, 0},
	{secNumbers, 6, 52, 0}, {secNumbers, 3, 0, 0}, {secNumbers, 4, 0, 0}, {secNumbers, 5, 0, 0},
	{secWall, wallRows, 24, 0}, {secAlarms, 2, 0, 0}, {secCaution, 1, 30, 0}, {secChart, 5, 40, 0},
	{secVerdict, 5, 80, 26}, {secTrust, 1, 0, 0}, {secChart, 7, 40, 0}, {secAfter, 1, 52, 0}, {secGas, 1, 52, 0},
	{secAlarms, 3, 0, 0}, {secChart, 9, 40, 0}, {secTrust, 2, 0, 0}, {secEvents, 2, 0, 0}, {secAfter, 2, 52, 0}, {secNumbers, 8, 132, 0},
	{secAlarms, 4, 0, 0}, {secEvents, 4, 0, 0}, {secChart, 14, 40, 0}, {secEvents, 8, 0, 0}, {secAlarms, 6, 0, 0},
	{secChart, 20, 40, 0}, {secEvents, 12, 0, 0},
}

// plan is how many rows each section has. It depends on the window and on the
// number of stations only, never on a value: nothing jumps.
type plan struct {
	w, h int
	rows [sectionMost]int
	side bool // the chart stands beside wall, gas, trust and events
	left int  // width of what stands beside the chart
}

const (
	sideWide = 124 // from this width on the chart stands at the side
	sideHigh = 26
)

// newPlan fits the sections into a window.
func newPlan(w, h, stations int) plan {
	p := plan{w: w, h: h, left: w}
	if w >= sideWide && h >= sideHigh {
		return p.beside(stations)
	}
	p.spread(h - p.climb(stations))
	return p
}

// climb goes up the steps as far as the rows reach, and says how many it took.
// What does not fit ends the climb, so that nothing stands where something
// more important found no room; only the chart, which needs many rows, may be
// passed over.
func (p *plan) climb(stations int) int {
	used := 0
	for _, s := range steps {
		rows := s.rows
		if rows == wallRows {
			rows = 1 + stations
		}
		more := rows - p.rows[s.section]
		switch {
		case more <= 0 || p.w < s.wide || p.h < s.high || p.side && s.section == secChart:
		case used+more <= p.h:
			p.rows[s.section] = rows
			used += more
		case s.section != secChart:
			return used
		}
	}
	return used
}

// beside fits in two columns: chart on the right, as high as all of the left.
func (p plan) beside(stations int) plan {
	p.side = true
	p.left = min(max(p.w*2/5, 62), 84)
	spare := p.h - p.climb(stations)
	p.rows[secEvents] += spare
	for s := secWall; s <= secEvents; s++ {
		if s != secChart {
			p.rows[secChart] += p.rows[s]
		}
	}
	return p
}

// spread gives rows that are left over to the chart, else to the alarms.
func (p *plan) spread(rows int) {
	switch {
	case rows <= 0:
	case p.rows[secChart] > 0:
		p.rows[secChart] += rows
	default:
		p.rows[secAlarms] += rows
	}
}
