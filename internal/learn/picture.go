package learn

import (
	"fmt"
	"math"
	"strings"
)

// Size of the residual picture in cells.
const (
	pictureWide = 64
	pictureHigh = 7 // odd: the middle line is zero
)

// picture draws residuals over time in plain text: each column shows the span
// from the least to the greatest of the readings that fall into it, so that no
// single bad reading vanishes.
func picture(residualsK []float64) string {
	most := 0.5
	for _, r := range residualsK {
		most = math.Max(most, math.Abs(r))
	}
	var rows [pictureHigh][]byte
	for i := range rows {
		rows[i] = []byte(strings.Repeat(" ", pictureWide))
	}
	rows[pictureHigh/2] = []byte(strings.Repeat("-", pictureWide))
	n := len(residualsK)
	wide := min(n, pictureWide)
	for c := range wide {
		least, greatest := math.Inf(1), math.Inf(-1)
		for _, r := range residualsK[c*n/wide : (c+1)*n/wide] {
			least, greatest = math.Min(least, r), math.Max(greatest, r)
		}
		for i := lineOf(greatest, most); i <= lineOf(least, most); i++ {
			rows[i][c] = '*'
		}
	}
	var b strings.Builder
	for i, row := range rows {
		label := strings.Repeat(" ", 7)
		switch i {
		case 0:
			label = fmt.Sprintf("%+7.2f", most)
		case pictureHigh / 2:
			label = "      0"
		case pictureHigh - 1:
			label = fmt.Sprintf("%+7.2f", -most)
		}
		b.WriteString(strings.TrimRight(label+" |"+string(row[:wide]), " ") + "\n")
	}
	return b.String()
}

// lineOf is the line that a residual falls into, 0 on top.
func lineOf(residual, most float64) int {
	half := float64(pictureHigh / 2)
	return int(half - math.Round(residual/most*half))
}
