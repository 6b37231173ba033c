package canvas

import (
	"math"
	"strings"

	"github.com/guptarohit/asciigraph"
)

// Curve is one line of a plot: a value a column, NaN where there is none.
type Curve struct {
	Y    []float64
	Sign string // one cell; empty: drawn with connected lines
}

// Plot is the fixed frame of a plot. Nothing in the data can change it.
type Plot struct {
	low, step   float64 // value of the lowest row, and from row to row; shown unit
	anchor      int     // a row that gets a label
	Rows, Width int     // cells, with the axis
	ASCII       bool
	bar         barred
}

// barred is a value that is not to be passed, and the row that stands for it.
// A curve below it is drawn below it, whatever the rounding.
type barred struct {
	at  float64
	row int
}

const (
	axisDigits = 4              // cells of an axis label
	AxisCells  = axisDigits + 3 // a blank, the label, a blank, the axis itself
	PlotLeast  = 2              // rows and columns under which there is no plot
)

// Columns is the number of cells left for the curves.
func (f Plot) Columns() int { return f.Width - AxisCells }

// Draw is the one guarded door to asciigraph. It always returns f.rows lines
// of f.width cells without colour: later curves lie over earlier ones, and
// empty, flat, infinite and unknown data leave a frame without that curve.
//
// asciigraph resamples, widens its bounds and changes its height with the
// data, and panics on empty series. So values are first clamped and mapped to
// the rows 0 to rows−1, where its scale is exactly one, and the columns are
// handed over one to one.
func (f Plot) Draw(curves []Curve) []string {
	n := f.Columns()
	if f.Rows < PlotLeast || n < PlotLeast || !(f.step > 0) || math.IsInf(f.step, 0) || math.IsNaN(f.low) || math.IsInf(f.low, 0) {
		return blankLines(f.Rows, f.Width)
	}
	var data [][]float64
	var signs []asciigraph.CharSet
	for _, c := range curves {
		if y, any := f.mapped(c.Y, n); any {
			data = append(data, y)
			signs = append(signs, f.signsOf(c.Sign))
		}
	}
	if len(data) == 0 {
		data = [][]float64{Unknown(n + 1)}
	}
	text := asciigraph.PlotMany(data, asciigraph.Height(f.Rows-1), asciigraph.Offset(axisDigits),
		asciigraph.LowerBound(0), asciigraph.UpperBound(float64(f.Rows-1)),
		asciigraph.SeriesChars(signs...), asciigraph.YAxisValueFormatter(f.label))
	return f.trim(strings.Split(text, "\n"))
}

// mapped turns values into rows; any says whether there is one at all. The
// last column is doubled, since a segment is drawn from a point to the next.
func (f Plot) mapped(y []float64, n int) (out []float64, any bool) {
	out = Unknown(n + 1)
	for i := 0; i < min(n, len(y)); i++ {
		if math.IsNaN(y[i]) {
			continue
		}
		at := math.Round((y[i] - f.low) / f.step)
		switch {
		case y[i] == f.bar.at:
			at = float64(f.bar.row)
		case y[i] < f.bar.at:
			at = math.Min(at, float64(f.bar.row-1))
		}
		out[i], any = math.Min(math.Max(at, 0), float64(f.Rows-1)), true
	}
	out[n] = out[n-1]
	return out, any
}

// label prints the value of a row on the axis; high plots leave some out.
func (f Plot) label(y float64) string {
	row, every := int(math.Round(y)), 1
	switch {
	case f.Rows > 24:
		every = 5
	case f.Rows > 9:
		every = 2
	}
	if (row-f.anchor)%every != 0 {
		return strings.Repeat(" ", axisDigits)
	}
	return Right(Whole(f.low+float64(row)*f.step), axisDigits)
}

// trim makes the lines exactly as wide and as many as the frame says.
func (f Plot) trim(lines []string) []string {
	out := blankLines(f.Rows, f.Width)
	for i := range out {
		if i >= len(lines) {
			break
		}
		line := lines[i]
		if f.ASCII {
			line = asciiAxis.Replace(line)
		}
		out[i] = Left(line, f.Width)
	}
	return out
}

// The axis of asciigraph is not ASCII; neither does it mark a first value well.
var (
	asciiAxis = strings.NewReplacer("┤", "|", "┼", "|")
	asciiLine = asciigraph.CharSet{Horizontal: "*", VerticalLine: "*", ArcDownRight: "*", ArcDownLeft: "*",
		ArcUpRight: "*", ArcUpLeft: "*", EndCap: "*", StartCap: "*"}
)

func (f Plot) signsOf(sign string) asciigraph.CharSet {
	switch {
	case sign != "":
		return asciigraph.CreateCharSet(sign)
	case f.ASCII:
		return asciiLine
	}
	return asciigraph.DefaultCharSet
}

func Unknown(n int) []float64 {
	y := make([]float64, n)
	for i := range y {
		y[i] = math.NaN()
	}
	return y
}

func blankLines(rows, width int) []string {
	out := make([]string, max(rows, 0))
	for i := range out {
		out[i] = strings.Repeat(" ", max(width, 0))
	}
	return out
}

// Flat is a curve of one value.
func Flat(v float64, n int, sign string) Curve {
	y := make([]float64, n)
	for i := range y {
		y[i] = v
	}
	return Curve{y, sign}
}
