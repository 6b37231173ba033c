package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
)

// nearTruth LINES RMS OUTSIDE holds the JSON lines of a replay of fast-4.csv
// against the mimic's truth: the hottest wall may be off by so many kelvin RMS,
// and so many moments of the fill, of 68, may lie outside of the band.
func nearTruth(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: nearTruth lines rms outside")
	}
	var rms float64
	var outside int
	_, err := fmt.Sscan(args[1]+" "+args[2], &rms, &outside)
	ts.Check(err)
	ts.Check(compare(ts, []byte(ts.ReadFile(args[0])), rms, outside))
}

// compare prints the error of the hottest wall, estimate less truth.
func compare(ts *testscript.TestScript, lines []byte, rmsMostK float64, outsideMost int) error {
	truth, err := truthOf()
	if err != nil {
		return err
	}
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
			return err
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
		return fmt.Errorf("only %d moments could be compared", n)
	}
	rms := math.Sqrt(sum / float64(n))
	ts.Logf("hottest wall, estimate less truth: RMS %.2f K, worst %+.2f K at %.0f s, lowest %+.2f K; %d of %d moments outside the band, %d while filling",
		rms, worst, worstAtS, under, outside, n, inFill)
	if inFill > outsideMost {
		return fmt.Errorf("%d moments of the fill are outside of the band", inFill)
	}
	if !(rms <= rmsMostK) {
		return fmt.Errorf("RMS %.2f K, at most %g K can be lived with", rms, rmsMostK)
	}
	return nil
}

// truthOf is the true hottest wall in °C at each whole second.
func truthOf() (map[float64]float64, error) {
	f, err := os.Open("../../testdata/fills/fast-4-truth.csv")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, err
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	out := map[float64]float64{}
	for _, row := range rows[1:] {
		at, err := strconv.ParseFloat(row[column["time_s"]], 64)
		if err != nil {
			return nil, err
		}
		hot, err := strconv.ParseFloat(row[column["hottest_c"]], 64)
		if err != nil {
			return nil, err
		}
		out[math.Round(at)] = hot
	}
	return out, nil
}
