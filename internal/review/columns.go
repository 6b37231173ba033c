package review

import "fillwright/internal/course"

// Course is quantities over time, by Column. Seven digits are more than a picture shows.
type (
	Course = course.Series[float32]
	Row    = course.Row[float32]
)

// Column is a quantity of a Course.
type Column uint8

// The columns, K, Pa and Pa/s. Those of a station follow, see Of.
const (
	Pressure Column = iota
	RampNow
	RampAdvised
	Gas
	GasLow
	GasHigh
	Bead
	Ambient
	HottestK
	HottestLow
	HottestHigh
	Margin
	columnsFirst // of the stations
)

// Columns of a station.
const (
	Outer Column = iota
	Sensed
	Off // sensor less estimate
	columnsEach
)

// Of is a station's column.
func Of(station int, c Column) Column { return columnsFirst + Column(station)*columnsEach + c }

const (
	stationsMost = 4 // as vessel.StationsMost
	columnCount  = int(columnsFirst) + stationsMost*int(columnsEach)
)
