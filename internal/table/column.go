package table

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// what a CSV column holds. The roles that become a logger channel come first.
type columnUse uint8

const (
	usePressure columnUse = iota
	useSupply
	useSupplyLine
	useGas
	useGasFar
	useGasSecond
	useAmbient
	useWall
	useSurface
	useTime
	useNote
)

// A columnName is the first word of a column's name and what it stands for.
var columnNames = []struct {
	base  string
	use   columnUse
	units []unit
	role  vessel.Role
}{
	{"time", useTime, timeUnits, ""},
	{"pressure", usePressure, pressureUnits, vessel.RolePressure},
	{"gas", useGas, temperatureUnits, vessel.RoleGas},
	{gasFar, useGasFar, temperatureUnits, vessel.RoleGas},
	{gasSecond, useGasSecond, temperatureUnits, vessel.RoleGas},
	{"ambient", useAmbient, temperatureUnits, vessel.RoleAmbient},
	{"wall", useWall, temperatureUnits, vessel.RoleWall},
	{"surface", useSurface, temperatureUnits, ""},
	{"supply", useSupply, pressureUnits, vessel.RoleSupply},
	{"supply", useSupplyLine, temperatureUnits, vessel.RoleSupply},
}

// The column of a gas probe at the far end says so, and that of a second one elsewhere
// that it is another.
const gasFar, gasSecond = "gas_far", "gas_second"

// A unit turns a cell's number into the integer that travels on the wire:
// ms, Pa or m°C. wire = (x − zero) · scale.
type unit struct {
	name  string
	zero  float64
	scale float64
}

var (
	timeUnits        = []unit{{"s", 0, 1000}, {"ms", 0, 1}, {"min", 0, 60000}}
	pressureUnits    = []unit{{"bar", 0, 1e5}, {"psi", 0, float64(quantity.PSI(1))}, {"kpa", 0, 1e3}, {"mpa", 0, 1e6}}
	temperatureUnits = []unit{{"c", 0, 1000}, {"f", 32, 1000.0 / 1.8}}
)

// Bounds of what a cell can mean. They are there to catch a wrong unit or a
// slipped column, not to judge the fill.
const (
	pressureLeastPa = -1.2e5 // a little below vacuum, for a sensor's zero error
	pressureMostPa  = 2e8    // 2000 bar
	celsiusLeast    = -273.15
	celsiusMost     = 1500
)

// column is one column of a CSV file.
type column struct {
	name    string // as written
	use     columnUse
	unit    unit
	station int // of wall and surface columns: index in the stations
	channel int // index in the hello's table; -1: none
}

// parseColumn understands one name of the header.
func (c *Reader) parseColumn(written string) (column, error) {
	name := strings.ToLower(strings.TrimSpace(written))
	col := column{name: strings.TrimSpace(written), channel: -1}
	if strings.HasPrefix(name, "note") {
		col.use = useNote
		return col, nil
	}
	for _, n := range columnNames {
		base, u, ok := cutUnit(name, n.units)
		if !ok || (base != n.base && !strings.HasPrefix(base, n.base+"_")) {
			continue
		}
		col.use, col.unit = n.use, u
		rest := strings.TrimPrefix(strings.TrimPrefix(base, n.base), "_")
		if n.use != useWall && n.use != useSurface {
			if rest != "" {
				continue
			}
			return col, nil
		}
		var err error
		col.station, err = c.station(rest)
		if err != nil {
			return col, c.errHeader(col.name, err.Error(), c.nearest(name))
		}
		return col, nil
	}
	return col, c.errHeader(col.name, "no such column", c.nearest(name))
}

// cutUnit takes the unit off the end of a column's name.
func cutUnit(name string, units []unit) (base string, u unit, ok bool) {
	i := strings.LastIndexByte(name, '_')
	if i < 0 {
		return name, unit{}, false
	}
	for _, u := range units {
		if u.name == name[i+1:] {
			return name[:i], u, true
		}
	}
	return name, unit{}, false
}

// station finds a station by the name in a column, or takes it up when the
// caller left the stations to the file. An empty name means the only station.
func (c *Reader) station(name string) (int, error) {
	if name == "" && len(c.stations) == 1 {
		return 0, nil
	}
	if name == "" && !c.given && len(c.stations) == 0 {
		name = "wall"
	}
	for i, s := range c.stations {
		if strings.EqualFold(s, name) {
			return i, nil
		}
	}
	switch {
	case name == "":
		return 0, fmt.Errorf("it does not say at which station")
	case c.given:
		return 0, fmt.Errorf("the vessel profile has no station %q", name)
	case len(c.stations) == vessel.StationsMost:
		return 0, fmt.Errorf("more than %d stations", vessel.StationsMost)
	}
	c.stations = append(c.stations, name)
	return len(c.stations) - 1, nil
}

// known lists the column names that are understood, for error messages.
func (c *Reader) known() []string {
	stations := c.stations
	if len(stations) == 0 {
		stations = []string{"sun", "shade"}
	}
	var names []string
	for _, n := range columnNames {
		bases := []string{n.base}
		if n.use == useWall || n.use == useSurface {
			bases = bases[:0]
			for _, s := range stations {
				bases = append(bases, n.base+"_"+strings.ToLower(s))
			}
		}
		for _, b := range bases {
			for _, u := range n.units {
				names = append(names, b+"_"+u.name)
			}
		}
	}
	return names
}

// nearest advises what to write instead of an unknown column name.
func (c *Reader) nearest(name string) string {
	known := c.known()
	plain := strings.NewReplacer(" ", "_", "(", "", ")", "", "[", "", "]", "", "°", "", "/", "").Replace(name)
	best := vessel.Nearest(plain, known)
	list := "known columns: " + strings.Join(known, " ") + "; a column that starts with note is skipped"
	if best == "" {
		return list
	}
	return fmt.Sprintf("did you mean %s? %s", best, list)
}

// value turns a cell's number into the wire's integer, or says why not.
func (col *column) value(x float64) (int32, error) {
	w := math.Round((x - col.unit.zero) * col.unit.scale)
	switch col.use {
	case usePressure, useSupply:
		if w < pressureLeastPa || w > pressureMostPa {
			return wire.ValueMissing, fmt.Errorf("%g %s is no pressure a vessel can have (-1.2 to 2000 bar)", x, col.unit.name)
		}
	default:
		if w < celsiusLeast*1000 || w > celsiusMost*1000 {
			return wire.ValueMissing, fmt.Errorf("%g °%s is no temperature a sensor can have (-273.15 to %d °C)",
				x, strings.ToUpper(col.unit.name), celsiusMost)
		}
	}
	return int32(w), nil
}
