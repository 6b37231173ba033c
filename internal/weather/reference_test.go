package weather

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// reference reads a column of a table in testdata, by the start of its first.
func reference(t *testing.T, file, item string) string {
	t.Helper()
	for _, row := range must.Rows(t, "testdata/"+file, 2) {
		if strings.HasPrefix(row[0], item) {
			return row[1]
		}
	}
	t.Fatalf("%s has no row %q", file, item)
	return ""
}

func value(t *testing.T, file, item string) float64 {
	t.Helper()
	return must.Get(strconv.ParseFloat(reference(t, file, item), 64))(t)
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	t.Logf("%s: %.6g, want %.6g ± %.2g", what, got, want, within)
	must.Be(t, math.Abs(got-want) <= within, "%s is %.6g, want %.6g ± %.2g", what, got, want, within)
}
