package bend

import (
	"fmt"
	"math"
	"strings"
)

const (
	pictureCells = 61 // odd: there is a middle
	pictureRows  = 7  // odd: half of them on either side of the straight line
)

// Picture draws the vessel as built from the side, warm side up, held in its
// middle: * as computed, . the bounds of the band, - where it would be if it
// were straight. It is ASCII alone.
func Picture(r *Report) string {
	f := r.Rows[0].SagM
	most := math.Max(math.Abs(f.Low), math.Abs(f.High))
	if !(most >= leastM) || math.IsNaN(f.Value) {
		return "Nothing to draw: " + Bows(r.Rows[0].Bow, "it") + " out of straight.\n"
	}
	grid := make([][]byte, pictureRows)
	for i := range grid {
		grid[i] = []byte(strings.Repeat(" ", pictureCells))
	}
	const middle = pictureRows / 2
	put := func(sagM float64, sign byte) {
		for x := range pictureCells {
			share := 2*float64(x)/(pictureCells-1) - 1
			down := sagM / most * share * share * middle // the ends turn from the warm side
			grid[middle+int(math.Round(down))][x] = sign
		}
	}
	put(0, '-')
	put(f.Low, '.')
	put(f.High, '.')
	put(f.Value, '*')
	var b strings.Builder
	fmt.Fprintf(&b, "%s side up, held in its middle; drawn about %s too bent\n", r.Warm.Name, times(r, most))
	for _, row := range grid {
		b.WriteString("  |" + strings.TrimRight(string(row), " ") + "\n")
	}
	b.WriteString("  * as computed   . the band   - straight\n")
	return b.String()
}

// times is how much the picture overdoes it, a cell being twice as high as wide.
func times(r *Report, mostM float64) string {
	x := (pictureRows / 2 * 2 / mostM) / (pictureCells / r.LengthM)
	digits := math.Pow(10, math.Floor(math.Log10(x)))
	return fmt.Sprintf("%.0f times", math.Round(x/digits)*digits)
}
