package learn

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// invented is a result with round numbers of our own.
func invented() *Result {
	variant := wallmodel.Variants()[0]
	o := &Outcome{Variant: variant, Converged: true, Free: []int{thermal.ParLnFilm}, Fills: []FillFit{{Name: "a.fill", GasRMSK: 0.3,
		WallRMSK: 0.4, WallWorstK: 1.5, OutK: []float64{303.15}, BiasK: 0.1, AmbientK: 293.15, Residuals: []float64{0.5, -1.5, 0}},
		{Name: "b.fill", GasRMSK: 0.4, WallRMSK: math.NaN(), OutK: []float64{300.15}, AmbientK: 294.15}}}
	o.Params[thermal.ParLnFilm] = math.Log(40)
	o.StdErr[thermal.ParLnFilm] = 0.05
	return &Result{Steps: []Step{{Outcome: o, OutGasK: 0.35, OutWallK: 0.6}}, Forced: true,
		Model: &wallmodel.Learned{Name: "invented", Vessel: "Plover", Variant: variant}, Warnings: []string{"take care"}}
}

// The text names the variant and why, the parameter with its standard error in its
// own unit (40 × 0.05 = 2), the variants, the fills and the warnings; what is not
// known is a dash.
func TestText(t *testing.T) {
	text := Text(invented())
	for _, want := range []string{"Variant: lag. It was asked for", "inside film at reference", " 40 ", " 2 ", "W/m²K",
		"<- chosen", "0.60", "a.fill: wall readings less model", "! take care"} {
		must.Be(t, strings.Contains(text, want), "%q is not in:\n%s", want, text)
	}
	must.Be(t, !strings.Contains(text, "NaN") && !strings.Contains(text, "b.fill: wall readings"), "an unknown number was printed:\n%s", text)
}

// JSON says the same with null for what is not known.
func TestJSON(t *testing.T) {
	line := must.Get(JSON(invented()))(t)
	var got struct {
		Variant    string
		Parameters []struct {
			Value  float64
			StdErr *float64 `json:"standard_error"`
		}
		Fills []struct {
			Wall *float64  `json:"wall_rms_k"`
			Out  []float64 `json:"outside_c"`
		}
	}
	must.Do(t, json.Unmarshal(line, &got))
	film := got.Parameters[thermal.ParLnFilm]
	must.Be(t, got.Variant == "lag" && math.Abs(film.Value-40) <= 1e-9 && film.StdErr != nil && math.Abs(*film.StdErr-2) <= 1e-9, "%s", line)
	must.Be(t, got.Fills[1].Wall == nil && got.Fills[0].Wall != nil && math.Abs(got.Fills[0].Out[0]-30) <= 1e-9, "%s", line)
}

// The picture keeps a single bad reading, on the side and at the height where
// it belongs.
func TestPicture(t *testing.T) {
	r := make([]float64, 1000)
	r[500] = -3
	lines := strings.Split(picture(r), "\n")
	if len(lines) != pictureHigh+1 || !strings.HasPrefix(lines[pictureHigh-1], "  -3.00 |") ||
		strings.Index(lines[pictureHigh-1], "*") != len("  -3.00 |")+pictureWide/2 {
		t.Errorf("the spike is not where it belongs:\n%s", strings.Join(lines, "\n"))
	}
}
