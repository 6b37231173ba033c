// Package table reads and writes fills as CSV tables: a header whose names carry
// the units, then a row a moment. A table comes out as the frames that a logger
// would have sent, so that whoever reads recordings reads it too.
package table

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// Reader turns a table into the frames that a logger would have sent: one Hello,
// a Sample a row and an Entry for each hand-held surface reading. Rows are read
// as they are asked for. The columns are those of Export; a blank cell is a
// missing reading.
type Reader struct {
	file     string
	lines    *lineReader
	sep      byte
	cols     []column
	stations []string
	given    bool // the stations came from the vessel profile
	channels []vessel.Channel

	cells []string
	rows  int
	first int64 // time of the first row, ms as written
	last  int64 // device time of the last row, ms
	ahead []moment
	end   error // what came after the rows in ahead

	mark   byte    // of decimals: '.' or ',', 0: none met yet
	traces []trace // one a column

	// The frames of one row, made by the very codec that reads them from a cable.
	dec   wire.Decoder
	seq   uint8 // of the logger's frames
	host  uint8 // of the host's frames
	bytes []byte
	queue wire.Queue
}

// moment is one row in the wire's units.
type moment struct {
	ms      int64 // since the first row
	values  [wire.ChannelMost]int32
	surface [vessel.StationsMost]int32 // m°C
}

// spanMost is the longest time that one file may cover. It keeps the 32-bit
// device time from wrapping twice between rows.
const spanMost = 24 * 24 * 3600 * 1000 // ms: 24 days

// NewReader reads the header of a table. File is its name for messages. With
// stations given, every wall and surface column must be of one of them; with
// none, the stations are those of the file in their order there.
func NewReader(file string, r io.Reader, stations []vessel.Station) (*Reader, error) {
	c := &Reader{file: file, lines: newLineReader(r), given: len(stations) > 0}
	for _, s := range stations {
		c.stations = append(c.stations, s.Name)
	}
	if len(c.stations) > vessel.StationsMost {
		return nil, fmt.Errorf("%s: %d stations, at most %d are possible", file, len(stations), vessel.StationsMost)
	}
	if err := c.readHeader(); err != nil {
		return nil, err
	}
	for range 2 { // two rows tell the rate
		c.readAhead()
	}
	if len(c.ahead) == 0 {
		if errors.Is(c.end, io.EOF) {
			return nil, &wrongfile.Error{File: file, What: "the table has a header but no row with a reading",
				Do: "add a row a reading, like 0.0,1.2,21.5"}
		}
		return nil, c.end
	}
	c.makeHello()
	return c, nil
}

// Channels is the channel table that goes with the frames. It takes the place
// of the profile's, which describes the logger that the table came from.
func (c *Reader) Channels() []vessel.Channel {
	return append([]vessel.Channel(nil), c.channels...)
}

// Counts of the frames made so far.
func (c *Reader) Counts() wire.Counts { return c.dec.Counts() }

// Next gives the next frame. An error in a row says where it is; nothing comes
// after it.
func (c *Reader) Next() (wire.Frame, error) {
	for {
		if f, ok := c.queue.Pop(); ok {
			return f, nil
		}
		if len(c.ahead) == 0 {
			return wire.Frame{}, c.end
		}
		row := c.ahead[0]
		c.ahead = append(c.ahead[:0], c.ahead[1:]...)
		c.makeRow(&row)
		c.readAhead()
	}
}

// readAhead reads one more row, or notes why there is none.
func (c *Reader) readAhead() {
	if c.end != nil {
		return
	}
	row, err := c.readRow()
	if err != nil {
		c.end = err
		return
	}
	c.ahead = append(c.ahead, row)
}

// readRow reads the next row with something in it.
func (c *Reader) readRow() (moment, error) {
	for {
		line, err := c.lines.next()
		if errors.Is(err, io.EOF) {
			return moment{}, io.EOF
		}
		if err == nil {
			c.cells, err = splitCells(c.cells[:0], line, c.sep)
		}
		if err != nil {
			return moment{}, c.errLine("", err.Error(), "correct the line, or put # before it to leave it out")
		}
		if strings.Join(c.cells, "") == "" {
			continue
		}
		if c.rows++; c.rows > rowsMost {
			return moment{}, c.errLine("", fmt.Sprintf("more than %d rows", rowsMost), "split the file")
		}
		return c.parseRow()
	}
}

func (c *Reader) parseRow() (moment, error) {
	var row moment
	for i := range row.values {
		row.values[i] = wire.ValueMissing
	}
	for i := range row.surface {
		row.surface[i] = wire.ValueMissing
	}
	for len(c.cells) > len(c.cols) && c.cells[len(c.cells)-1] == "" {
		c.cells = c.cells[:len(c.cells)-1]
	}
	if len(c.cells) != len(c.cols) {
		return row, c.errLine("", fmt.Sprintf("%d cells, but the header names %d columns", len(c.cells), len(c.cols)),
			"keep the separators of blank cells; where commas part the cells write decimals with a point, else part them with semicolons")
	}
	for i := range c.cols {
		if err := c.parseCell(&row, &c.cols[i], c.cells[i]); err != nil {
			return row, err
		}
	}
	c.follow(&row)
	return row, nil
}

// follow takes a row into the traces of its columns.
func (c *Reader) follow(row *moment) {
	if c.traces == nil {
		c.traces = make([]trace, len(c.cols))
	}
	for i := range c.cols {
		v := int32(wire.ValueMissing)
		switch col := &c.cols[i]; {
		case col.use == useSurface:
			v = row.surface[col.station]
		case col.channel >= 0:
			v = row.values[col.channel]
		}
		if v != wire.ValueMissing {
			c.traces[i].add(float64(row.ms)/1000, float64(v))
		}
	}
}

func (c *Reader) parseCell(row *moment, col *column, cell string) error {
	if col.use == useNote || cell == "" && col.use != useTime {
		return nil
	}
	x, what, do := c.parseNumber(cell)
	if what != "" {
		return c.errLine(col.name, what, do)
	}
	if col.use == useTime {
		return c.parseTime(row, col, cell, x)
	}
	v, err := col.value(x)
	if err != nil {
		return c.errLine(col.name, err.Error(), "check the unit in the column's name and whether two columns are swapped, or leave the cell blank where there is no reading")
	}
	if col.use == useSurface {
		row.surface[col.station] = v
	} else {
		row.values[col.channel] = v
	}
	return nil
}

// parseTime checks a row's time against the row before it.
func (c *Reader) parseTime(row *moment, col *column, cell string, x float64) error {
	ms := math.Round(x * col.unit.scale)
	if math.Abs(ms) > 1<<53 {
		return c.errLine(col.name, cell+" is too large for a time", "count from the start of the fill")
	}
	if c.rows == 1 {
		c.first, c.last = int64(ms), 0
		return nil
	}
	row.ms = int64(ms) - c.first
	switch {
	case row.ms <= c.last:
		return c.errLine(col.name, fmt.Sprintf("%s is not later than the row before by at least 1 ms", cell),
			"sort the rows by time and keep one row a time")
	case row.ms > spanMost:
		return c.errLine(col.name, fmt.Sprintf("%s is more than 24 days after the first row", cell),
			"check the time's unit, or split the file")
	}
	c.last = row.ms
	return nil
}

// parseNumber reads a plain decimal number, with a point or a comma, one of the
// two in all of the file. What is empty when it is one.
func (c *Reader) parseNumber(cell string) (x float64, what, do string) {
	if strings.Count(cell, ",") == 1 && strings.Trim(cell, "+-,0123456789eE") == "" {
		if c.mark == '.' {
			return 0, fmt.Sprintf("%q has a comma, and the numbers before it a point", cell), "write all decimals alike, and nothing between thousands"
		}
		c.mark, cell = ',', strings.Replace(cell, ",", ".", 1)
	} else if strings.Contains(cell, ".") && strings.Trim(cell, "+-.0123456789eE") == "" {
		if c.mark == ',' {
			return 0, fmt.Sprintf("%q has a point, and the numbers before it a comma", cell), "write all decimals alike, and nothing between thousands"
		}
		c.mark = '.'
	}
	if cell == "" {
		return 0, "the cell is blank", "every row needs its time"
	}
	if strings.Trim(cell, "+-.0123456789eE") != "" {
		what = fmt.Sprintf("%q is not a number", cell)
		if strings.Count(cell, ":") > 0 {
			return 0, what, "write the time as seconds since the start: 12.5"
		}
		return 0, what, "write a plain number like 21.5; leave the cell blank where there is no reading"
	}
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		return 0, fmt.Sprintf("%q is not a number", cell), "write a plain number like 21.5"
	}
	return x, "", ""
}

func (c *Reader) errLine(col, what, do string) error {
	if col != "" {
		col = "column " + col
	}
	return &wrongfile.Error{File: c.file, Line: c.lines.line, Where: col, What: what, Do: do}
}

func (c *Reader) errHeader(col, what, do string) error {
	return c.errLine(strconv.Quote(col), what, do)
}
