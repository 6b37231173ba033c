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

// Failing is a Test that can also go on after what is wrong.
type Failing interface {
	Test
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// Rows are those of a CSV file, its header first, without lines that begin with
// #: at least so many, so that an empty or cut file can't pass.
func Rows(t Failing, file string, least int) [][]string {
	t.Helper()
	text := Get(os.ReadFile(file))(t)
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment, r.FieldsPerRecord = '#', -1
	rows, err := r.ReadAll()
	if err != nil || len(rows) < least {
		t.Fatalf("%s: %d rows, want %d at the least; %v", file, len(rows), least, err)
	}
	return rows
}

// Row is a row of a table by the names of its columns.
type Row map[string]string

// Table is Rows by the names in the header; least counts those under it.
func Table(t Failing, file string, least int) []Row {
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
func (r Row) Num(t Failing, key string) float64 {
	t.Helper()
	text, ok := r[key]
	if !ok {
		t.Fatalf("the table has no column %q", key)
	}
	if text == "" {
		return math.NaN()
	}
	return Get(strconv.ParseFloat(text, 64))(t)
}

// Near holds a number against another; NaN is near nothing.
func Near(t Failing, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %.6g, want %.6g within %.3g", what, got, want, within)
	}
}

// Golden holds a text against a file of testdata, or writes it there.
func Golden(t Failing, name, got string, update bool) {
	t.Helper()
	File(t, filepath.Join("testdata", filepath.FromSlash(name)+".golden"), got, update)
}

// File holds a text against a file, or writes it.
func File(t Failing, file, got string, update bool) {
	t.Helper()
	if update {
		Do(t, os.MkdirAll(filepath.Dir(file), 0o755))
		Do(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("%v (go test -update writes it)", err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s differs (-want +got; go test -update writes it anew):\n%s", file, diff)
	}
}

// Trimmed leaves out the blanks at the ends of lines, for files that people read.
func Trimmed(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n") + "\n"
}
