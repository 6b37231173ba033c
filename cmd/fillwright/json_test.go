package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"reflect"
	"slices"
	"sort"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// designLine is the example of the design page: the promise to whoever reads
// the lines with a program.
const designLine = `{"t_s":12.5,"phase":"filling","pressure_bar":8.42,"ramp_bar_min":26.1,"gas_c":31.2,
 "stations":[{"name":"sun","outer_c":44.1,"inner_c":46.0,"band_c":1.2}],
 "hottest_c":46.0,"band_c":1.2,"margin_c":6.8,
 "advice":{"verdict":"fill","reason":"…","ramp_bar_min":31.0,"then_bar_min":12.5,"then_from_bar":22.0,"peak_c":46.2,"peak_in_s":88,"target_in_s":75,"wait_s":null},
 "coast_peak_c":46.3,"to_limit_s":null,"settle_bar":38.9,"hold_limit_s":null,
 "gas_mass_g":118.2,"leak":{"g_min":0.0,"band_g_min":0.9,"significant":false},
 "alarms":[{"name":"wall-margin","level":"caution","state":"unacknowledged","since_s":11.0}]}`

var (
	phases   = []string{"vented", "filling", "holding", "venting", "unknown"}
	verdicts = []string{"ready", "fill", "ease", "hold", "top-up", "no-start", "stop", "vent"}
	levels   = []string{"advisory", "caution", "abort"}
)

// TestJSONKeys proves that every line of a replay parses, that its keys at
// every depth are exactly the design's, and that words come from its lists.
func TestJSONKeys(t *testing.T) {
	t.Parallel()
	var want any
	must.Do(t, json.Unmarshal([]byte(designLine), &want))
	lines, code := replayOf(t, "rushed", "--json")
	must.Be(t, code == codeAbort, "exit code %d, want %d for the abort", code, codeAbort)
	alarms := 0
	for _, line := range lines {
		var got map[string]any
		err := json.Unmarshal(line, &got)
		must.Need(t, err == nil, "%v in %s", err, line)
		w, g := keysOf(want), keysOf(got)
		must.Need(t, slices.Equal(w, g) || len(got["alarms"].([]any)) <= 0, "keys %q, want %q", g, w)
		alarms += len(got["alarms"].([]any))
		checkWords(t, got)
	}
	must.Be(t, len(lines) >= 500 && alarms != 0, "%d lines with %d alarms: the scene shows too little", len(lines), alarms)
}

func checkWords(t *testing.T, line map[string]any) {
	t.Helper()
	must.Be(t, slices.Contains(phases, line["phase"].(string)), "phase %q", line["phase"])
	v := line["advice"].(map[string]any)["verdict"].(string)
	must.Be(t, slices.Contains(verdicts, v), "verdict %q", v)
	for _, a := range line["alarms"].([]any) {
		l := a.(map[string]any)["level"].(string)
		must.Be(t, slices.Contains(levels, l), "level %q", l)
	}
}

// keysOf lists the keys at every depth, as paths; the first element stands for
// a list.
func keysOf(v any) []string {
	var out []string
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				out = append(out, path+k)
				walk(path+k+".", x)
			}
		case []any:
			if len(v) > 0 {
				walk(path, v[0])
			}
		}
	}
	walk("", v)
	sort.Strings(out)
	return out
}

// TestKeysOf keeps the comparison itself honest.
func TestKeysOf(t *testing.T) {
	got := keysOf(map[string]any{"a": 1.0, "b": []any{map[string]any{"c": nil}}})
	want := []string{"a", "b", "b.c"}
	must.Be(t, reflect.DeepEqual(got, want), "got %q, want %q", got, want)
}

// replayOf records 60 s of a scene and gives the lines of its replay.
func replayOf(t *testing.T, scene string, options ...string) (lines [][]byte, code int) {
	t.Helper()
	log := filepath.Join(t.TempDir(), "a.fill")
	var out, errs bytes.Buffer
	if code := run([]string{"mimic", "--offline", "--log", log, "--scene", scene, "--for", "60s"}, &out, &errs); code != codeDone {
		t.Fatalf("mimic ended with %d: %s", code, errs.String())
	}
	out.Reset()
	code = run(append([]string{"replay", log}, options...), &out, &errs)
	must.Need(t, code == codeDone || code == codeAbort, "replay ended with %d: %s", code, errs.String())
	return bytes.Split([]byte(strings.TrimSuffix(out.String(), "\n")), []byte("\n")), code
}
