package must

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/google/go-cmp/cmp"
)

// Rows are those of a CSV file, its header first, without lines that begin with
// #: at least so many, so that an empty or cut file can't pass.
func Rows(t Test, file string, least int) [][]string {
	t.Helper()
	text := Get(os.ReadFile(file))(t)
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment, r.FieldsPerRecord = '#', -1
	rows, err := r.ReadAll()
	Need(t, err == nil && len(rows) >= least, "%s: %d rows, want %d at the least; %v", file, len(rows), least, err)
	return rows
}

// Row is a row of a table by the names of its columns.
type Row map[string]string

// Table is Rows by the names in the header; least counts those under it.
func Table(t Test, file string, least int) []Row {
	t.Helper()
	rows := Rows(t, file, least+1)
	var out []Row
	for _, cells := range rows[1:] {
		r := Row{}
		for i, key := range rows[0] {
			r[key] = cells[i]
		}
		out = append(out, r)
	}
	return out
}

// Num is a number of the row; blank is NaN.
func (r Row) Num(t Test, key string) float64 {
	t.Helper()
	text, ok := r[key]
	Need(t, ok, "the table has no column %q", key)
	if text == "" {
		return math.NaN()
	}
	return Get(strconv.ParseFloat(text, 64))(t)
}

// Near holds a number against another; NaN is near nothing.
func Near(t Test, what string, got, want, within float64) {
	t.Helper()
	Be(t, math.Abs(got-want) <= within, "%s: got %.6g, want %.6g within %.3g", what, got, want, within)
}

// Golden holds a text against a file of testdata, or writes it there.
func Golden(t Test, name, got string, update bool) {
	t.Helper()
	File(t, filepath.Join("testdata", filepath.FromSlash(name)+".golden"), got, update)
}

// File holds a text against a file, or writes it.
func File(t Test, file, got string, update bool) {
	t.Helper()
	if update {
		Do(t, os.MkdirAll(filepath.Dir(file), 0o755))
		Do(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	Need(t, err == nil, "%v (go test -update writes it)", err)
	diff := cmp.Diff(string(want), got)
	Be(t, diff == "", "%s differs (-want +got; go test -update writes it anew):\n%s", file, diff)
}

// Trimmed leaves out the blanks at the ends of lines, for files that people read.
func Trimmed(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}
