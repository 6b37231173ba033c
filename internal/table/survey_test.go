package table

import (
	"bufio"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// fillTable is one of the invented fills as cells; its first row is the header.
func fillTable(t *testing.T) [][]string {
	t.Helper()
	f := must.Get(os.Open("../../testdata/fills/mild-1.csv"))(t)
	defer func() {
		err := f.Close()
		must.Be(t, err == nil, "%v", err)
	}()
	var rows [][]string
	for s := bufio.NewScanner(f); s.Scan(); {
		rows = append(rows, strings.Split(s.Text(), ","))
	}
	return rows
}

// changed writes the table with a cell of each row, and its column's name,
// changed by f.
func changed(t *testing.T, rows [][]string, name, newName string, f func(float64) float64) [][]string {
	t.Helper()
	out := make([][]string, len(rows))
	at := -1
	for i, r := range rows {
		out[i] = append([]string(nil), r...)
		for j, cell := range r {
			if i == 0 && cell == name {
				at, out[0][j] = j, newName
			}
		}
		if x, err := strconv.ParseFloat(out[i][at], 64); err == nil {
			out[i][at] = strconv.FormatFloat(f(x), 'f', 5, 64)
		}
	}
	return out
}

func surveyOf(t *testing.T, rows [][]string, sep string) *Survey {
	t.Helper()
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(strings.Join(r, sep) + "\n")
	}
	return survey(t, b.String(), vessel.Invented())
}

func survey(t *testing.T, text string, p *vessel.Profile) *Survey {
	t.Helper()
	return must.Get(must.Get(NewReader("fill.csv", strings.NewReader(text), nil))(t).Survey(p, nil))(t)
}

// TestSurveyOfGoodFills: the invented fills draw no doubt, and the figures are
// those of the file, counted by hand with a text tool.
func TestSurveyOfGoodFills(t *testing.T) {
	for _, name := range []string{"mild-1.csv", "mild-2.csv", "mild-3.csv", "fast-4.csv"} {
		s := survey(t, string(must.Get(os.ReadFile("../../testdata/fills/"+name))(t)), vessel.Invented())
		must.Be(t, len(s.Doubts) == 0, "%s: %v", name, s.Doubts)
	}
	rows := fillTable(t)
	s := surveyOf(t, rows, ",")
	must.Need(t, s.Rows == len(rows)-1 && len(s.Columns) == 5, "%+v", s)
	for k, c := range s.Columns {
		least, most := 1e9, -1e9
		for _, r := range rows[1:] {
			x := must.Get(strconv.ParseFloat(r[k+1], 64))(t)
			least, most = min(least, x), max(most, x)
		}
		must.Be(t, c.Name == rows[0][k+1] && c.Values == len(rows)-1 && c.Blank == 0 && c.Least-least <= 0.001 && most-c.Most <= 0.001,
			"%+v, want %g to %g", c, least, most)
	}
}

// TestSurveyDoubts: each of the usual slips is seen, and what physics does not
// allow is told from what merely looks wrong.
func TestSurveyDoubts(t *testing.T) {
	same := func(x float64) float64 { return x }
	rows := fillTable(t)
	swap := func(a, b string) [][]string {
		out := changed(t, rows, a, "other", same)
		out = changed(t, out, b, a, same)
		return changed(t, out, "other", b, same)
	}
	for _, tt := range []struct {
		name      string
		rows      [][]string
		column    string
		says      string
		forbidden bool
	}{
		{"psi called bar", changed(t, rows, "pressure_bar", "pressure_bar", func(x float64) float64 { return x * 14.5038 }), "pressure_bar", "pressure_psi", true},
		{"bar called psi", changed(t, rows, "pressure_bar", "pressure_psi", same), "pressure_psi", "pressure_bar", false},
		{"minutes called seconds", changed(t, rows, "time_s", "time_s", func(x float64) float64 { return x / 60 }), "time_s", "time_min", false},
		{"seconds called minutes", changed(t, rows, "time_s", "time_min", same), "time_min", "time_s", false},
		{"milliseconds called seconds", changed(t, rows, "time_s", "time_s", func(x float64) float64 { return x * 1000 }), "time_s", "time_ms", false},
		{"swapped pressure and gas", swap("pressure_bar", "gas_c")[:700], "pressure_bar", "swapped", true},
		{"swapped gas and wall", swap("gas_c", "wall_sun_c"), "wall_sun_c", "swapped", false},
		{"Fahrenheit called Celsius", changed(t, rows, "ambient_c", "ambient_c", func(x float64) float64 { return x*1.8 + 32 }), "ambient_c", "ambient_f", true},
		{"absolute pressure", changed(t, rows, "pressure_bar", "pressure_bar", func(x float64) float64 { return x + 1.013 }), "pressure_bar", "absolute", false},
		{"less than vacuum", changed(t, rows, "pressure_bar", "pressure_bar", func(x float64) float64 { return x - 1.1 }), "pressure_bar", "vacuum", true},
		{"a wall that nothing heats", changed(t, rows, "wall_sun_c", "wall_sun_c", func(x float64) float64 { return x * 6 }), "wall_sun_c", "gas and sun", true},
		{"a gas that nothing heats", changed(t, rows, "gas_c", "gas_c", func(x float64) float64 { return x * 6 }), "gas_c", "without any loss", true},
	} {
		found := false
		s := surveyOf(t, tt.rows, ",")
		for _, d := range s.Doubts {
			found = found || d.Column == tt.column && strings.Contains(d.String(), tt.says) && d.Forbidden == tt.forbidden
		}
		must.Be(t, found, "%s: %v", tt.name, s.Doubts)
	}
}

// TestSurveyWithoutVessel: psi called bar is seen without a limit to hold it against.
func TestSurveyWithoutVessel(t *testing.T) {
	s := survey(t, "time_s,pressure_bar\n0,0\n60,580\n", nil)
	must.Be(t, len(s.Doubts) != 0 && strings.Contains(s.Doubts[0].String(), "40.0 bar; was it psi"), "%v", s)
}

// TestDecimalCommas: a table as spreadsheets of half the world write it is the
// same table.
func TestDecimalCommas(t *testing.T) {
	rows := fillTable(t)
	commas := make([][]string, len(rows))
	for i, r := range rows {
		for _, cell := range r {
			if i > 0 {
				cell = strings.Replace(cell, ".", ",", 1)
			}
			commas[i] = append(commas[i], cell)
		}
	}
	want, got := surveyOf(t, rows, ","), surveyOf(t, commas, ";")
	must.Be(t, fmt.Sprint(got) == fmt.Sprint(want), "with commas: %v\nwith points: %v", got, want)
}
