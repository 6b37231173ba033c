package table

import (
	"errors"
	"fmt"
	"io"
	"strconv"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

const headerExample = "the first line names the columns, like time_s,pressure_bar,gas_c,wall_sun_c"

// readHeader reads the header line and lays out the channels.
func (c *Reader) readHeader() error {
	line, err := c.lines.next()
	if errors.Is(err, io.EOF) {
		return &wrongfile.Error{File: c.file, What: "the table is empty", Do: headerExample}
	}
	if err == nil {
		c.sep = separator(line)
		c.cells, err = splitCells(c.cells[:0], line, c.sep)
	}
	if err != nil {
		return c.errLine("", err.Error(), headerExample)
	}
	if _, err := strconv.ParseFloat(c.cells[0], 64); err == nil {
		return c.errLine("", "the first line holds numbers, not the names of the columns", headerExample)
	}
	for i, name := range c.cells {
		if name == "" {
			if i == len(c.cells)-1 {
				break // a separator at the end of the line
			}
			return c.errLine("", fmt.Sprintf("column %d has no name", i+1), "name it, or name it note to have it skipped")
		}
		col, err := c.parseColumn(name)
		if err != nil {
			return err
		}
		if err := c.addColumn(col); err != nil {
			return err
		}
	}
	return c.checkColumns()
}

// addColumn takes up a column and gives it its channel. The same thing in two
// units would leave open which one to believe.
func (c *Reader) addColumn(col column) error {
	for _, other := range c.cols {
		if other.use == col.use && other.station == col.station && col.use != useNote {
			return c.errHeader(col.name, fmt.Sprintf("the table already has %s", other.name), "keep one of the two; name the other note_"+col.name)
		}
	}
	if col.use < useSurface {
		if len(c.channels) == wire.ChannelMost {
			return c.errHeader(col.name, fmt.Sprintf("more than %d measured columns", wire.ChannelMost), "leave some out")
		}
		col.channel = len(c.channels)
		c.channels = append(c.channels, c.makeChannel(&col))
	}
	c.cols = append(c.cols, col)
	return nil
}

func (c *Reader) makeChannel(col *column) vessel.Channel {
	ch := vessel.Channel{Index: col.channel, Kind: vessel.KindCelsius}
	for _, n := range columnNames {
		if n.use == col.use {
			ch.Role = n.role
		}
	}
	switch col.use {
	case usePressure, useSupply:
		ch.Kind = vessel.KindGauge
	case useGasFar:
		ch.End = vessel.EndFar
	case useGasSecond:
		ch.End = vessel.EndInlet
	case useWall:
		ch.Station = c.stations[col.station]
	}
	return ch
}

func (c *Reader) checkColumns() error {
	var hasTime, hasPressure bool
	for _, col := range c.cols {
		hasTime = hasTime || col.use == useTime
		hasPressure = hasPressure || col.use == usePressure
	}
	if !hasTime {
		return c.errLine("", "no column for the time", "add one: time_s, time_ms or time_min")
	}
	if !hasPressure {
		return c.errLine("", "no column for the pressure in the vessel", "add one: pressure_bar, pressure_psi, pressure_kpa or pressure_mpa (gauge)")
	}
	return nil
}
