package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

const fills = "../../testdata/fills/"

// TestLearnedModelOnAFasterFill learns from three mild fills with wall sensors
// and estimates the wall of a fourth, faster one without any. It prints the
// error against the mimic's truth, whose physics stands apart from the
// estimator's; the bounds are what a margin of 5 °C can stand.
func TestLearnedModelOnAFasterFill(t *testing.T) {
	model := filepath.Join(t.TempDir(), "model.toml")
	var out, errs bytes.Buffer
	args := []string{"learn", fills + "mild-1.csv", fills + "mild-2.csv", fills + "mild-3.csv",
		"--vessel", "../../testdata/plover.toml", "--out", model}
	if code := run(args, &out, &errs); code != codeDone {
		t.Fatalf("learn ended with %d: %s", code, errs.String())
	}
	for _, with := range []struct {
		name        string
		options     []string
		rmsMost     float64
		outsideMost int // moments of the fill, of 68
	}{
		{"with the learned model", []string{"--model", model}, 5, 4},
		{"with handbook values", nil, 8, 4},
	} {
		t.Run(with.name, func(t *testing.T) {
			out.Reset()
			args := append([]string{"replay", fills + "fast-4.csv", "--json", "--vessel", "../../testdata/plover-bare.toml"}, with.options...)
			if code := run(args, &out, &errs); code != codeDone && code != codeAbort {
				t.Fatalf("replay ended with %d: %s", code, errs.String())
			}
			compare(t, out.Bytes(), with.rmsMost, with.outsideMost)
		})
	}
}

// compare prints the error of the hottest wall, estimate less truth.
func compare(t *testing.T, lines []byte, rmsMostK float64, outsideMost int) {
	t.Helper()
	truth := truthOf(t)
	var sum, worst, worstAtS, under float64
	n, outside, inFill := 0, 0, 0
	for _, line := range bytes.Split(bytes.TrimSpace(lines), []byte("\n")) {
		var got struct {
			T       float64  `json:"t_s"`
			Phase   string   `json:"phase"`
			Hottest *float64 `json:"hottest_c"`
			Band    *float64 `json:"band_c"`
		}
		if err := json.Unmarshal(line, &got); err != nil {
			t.Fatal(err)
		}
		want, known := truth[math.Round(got.T)]
		if !known || got.Hottest == nil || got.Band == nil {
			continue
		}
		d := *got.Hottest - want
		sum, n = sum+d*d, n+1
		if math.Abs(d) > math.Abs(worst) {
			worst, worstAtS = d, got.T
		}
		under = math.Min(under, d)
		if math.Abs(d) > *got.Band {
			outside++
			if got.Phase == "filling" {
				inFill++
			}
		}
	}
	if n < 900 {
		t.Fatalf("only %d moments could be compared", n)
	}
	rms := math.Sqrt(sum / float64(n))
	t.Logf("hottest wall, estimate less truth: RMS %.2f K, worst %+.2f K at %.0f s, lowest %+.2f K; %d of %d moments outside the band, %d while filling",
		rms, worst, worstAtS, under, outside, n, inFill)
	if inFill > outsideMost {
		t.Errorf("%d moments of the fill are outside of the band", inFill)
	}
	if rms > rmsMostK {
		t.Errorf("RMS %.2f K, at most %g K can be lived with", rms, rmsMostK)
	}
}

// truthOf is the true hottest wall in °C at each whole second.
func truthOf(t *testing.T) map[float64]float64 {
	t.Helper()
	f, err := os.Open(fills + "fast-4-truth.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	out := map[float64]float64{}
	for _, row := range rows[1:] {
		at, err := strconv.ParseFloat(row[column["time_s"]], 64)
		if err != nil {
			t.Fatal(err)
		}
		hot, err := strconv.ParseFloat(row[column["hottest_c"]], 64)
		if err != nil {
			t.Fatal(err)
		}
		out[math.Round(at)] = hot
	}
	return out
}
