package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// invented records a pretended fill.
func invented(t testing.TB, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "invented.fill")
	var out, errs bytes.Buffer
	code := run(append([]string{"mimic", "--offline", "--log", path}, args...), &out, &errs)
	must.Need(t, code == 0, "exit code %d: %s", code, errs.String())
	return path
}

// did runs a command and gives what it printed.
func did(t testing.TB, codes string, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(args, &out, &errs)
	must.Need(t, strings.Contains(codes, strconv.Itoa(code)), "%q: exit code %d: %s", args, code, errs.String())
	return out.String()
}

// reviewJSON is what the tests look at of review --json.
type reviewJSON struct {
	Parts []struct {
		Fills []struct {
			BeginS  float64                        `json:"begin_s"`
			EndS    float64                        `json:"end_s"`
			MostBar float64                        `json:"most_bar"`
			MarginK float64                        `json:"margin_least_k"`
			Hottest struct{ Peak_C, At_S float64 } `json:"hottest"`
			GasMost float64                        `json:"gas_most_c"`
			Aborts  int                            `json:"aborts"`
		} `json:"fills"`
	} `json:"parts"`
}

// TestReviewAgainstReplay proves that peak, least margin, pressure and aborts
// of a review are those of the lines that a replay of the same log prints.
func TestReviewAgainstReplay(t *testing.T) {
	path := invented(t, "--scene", "rushed", "--rate", "10", "--for", "3m")
	var r reviewJSON
	must.Do(t, json.Unmarshal([]byte(did(t, "0", "review", path, "--json")), &r))
	f := r.Parts[0].Fills[0]
	hottest, bar, gas, margin := math.Inf(-1), math.Inf(-1), math.Inf(-1), math.Inf(1)
	aborts := map[string]bool{}
	for line := range strings.Lines(did(t, "3", "replay", path, "--json")) {
		var l struct {
			T       float64  `json:"t_s"`
			Hottest *float64 `json:"hottest_c"`
			Bar     float64  `json:"pressure_bar"`
			Gas     *float64 `json:"gas_c"`
			Margin  *float64 `json:"margin_c"`
			Alarms  []struct {
				Name, Level string
				Since       float64 `json:"since_s"`
			}
		}
		must.Do(t, json.Unmarshal([]byte(line), &l))
		if l.T < f.BeginS || l.T > f.EndS || l.Hottest == nil {
			continue
		}
		hottest, bar, gas, margin = max(hottest, *l.Hottest), max(bar, l.Bar), max(gas, *l.Gas), min(margin, *l.Margin)
		for _, a := range l.Alarms {
			if a.Level == "abort" {
				aborts[a.Name+strconv.FormatFloat(a.Since, 'g', -1, 64)] = true
			}
		}
	}
	must.Be(t, f.Hottest.Peak_C == hottest && f.MostBar == bar && f.GasMost == gas && f.MarginK == margin && f.Aborts == len(aborts) && f.Aborts != 0,
		"the review has %+v; the replay %g °C, %g bar, gas %g °C, margin %g, aborts %v", f, hottest, bar, gas, margin, aborts)
}

// BenchmarkReviewHour reviews an hour at 50 Hz; the budget is 3 s and 200 MB.
// What the program has taken from the system by then holds the recording of it
// too.
func BenchmarkReviewHour(b *testing.B) {
	path := invented(b, "--rate", "50", "--for", "1h")
	for b.Loop() {
		if code := run([]string{"review", path, "--json"}, io.Discard, io.Discard); code != 0 {
			b.Fatal(code)
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.ReportMetric(float64(m.Sys)/1e6, "MB-of-system")
}
