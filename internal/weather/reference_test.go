package weather

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// reference reads a column of a table in testdata, by the start of its first.
func reference(t *testing.T, file, item string) string {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if strings.HasPrefix(row[0], item) {
			return row[1]
		}
	}
	t.Fatalf("%s has no row %q", file, item)
	return ""
}

func value(t *testing.T, file, item string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(reference(t, file, item), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	t.Logf("%s: %.6g, want %.6g ± %.2g", what, got, want, within)
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.6g, want %.6g ± %.2g", what, got, want, within)
	}
}
