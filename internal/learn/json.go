package learn

import (
	"encoding/json"
	"fmt"
	"math"

	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
)

// known is a number that is null in JSON when it is not known.
type known = quantity.JSON

// The result as JSON. Deviations are K, temperatures °C.
type resultJSON struct {
	Name       string          `json:"name"`
	Vessel     string          `json:"vessel"`
	Variant    string          `json:"variant"`
	Why        string          `json:"why"`
	Inflow     string          `json:"inflow_base"` // what the inflow is counted from
	Parameters []parameterJSON `json:"parameters"`
	Variants   []stepJSON      `json:"variants"`
	Fills      []fillJSON      `json:"fills"`
	ChiGas     known           `json:"chi2_gas"` // a reading
	ChiWall    known           `json:"chi2_wall"`
	Warnings   []string        `json:"warnings"`
}

type parameterJSON struct {
	Name   string `json:"name"`
	Value  known  `json:"value"`
	StdErr known  `json:"standard_error"` // null: held
	Unit   string `json:"unit"`
	Fitted bool   `json:"fitted"`
}

type stepJSON struct {
	Variant   string `json:"variant"`
	Free      int    `json:"free"`
	GasK      known  `json:"gas_rms_k"`
	OutGasK   known  `json:"gas_left_out_rms_k"`
	WallK     known  `json:"wall_rms_k"`
	OutWallK  known  `json:"wall_left_out_rms_k"`
	Score     known  `json:"score"`
	Converged bool   `json:"converged"`
	Chosen    bool   `json:"chosen"`
}

type fillJSON struct {
	Name      string  `json:"name"`
	GasK      known   `json:"gas_rms_k"`
	WallK     known   `json:"wall_rms_k"`
	WorstK    known   `json:"wall_worst_k"`
	OutWallK  known   `json:"wall_left_out_rms_k"`
	OutWorstK known   `json:"wall_left_out_worst_k"`
	BiasK     known   `json:"probe_bias_k"`
	Film      known   `json:"film_over_others"`
	Outside   known   `json:"outside_over_others"`
	AmbientC  known   `json:"ambient_c"`
	OutsideC  []known `json:"outside_c"`
	Residuals []known `json:"wall_residuals_k"`
}

// JSON is the result as one JSON object without a line end.
func JSON(r *Result) ([]byte, error) {
	best := r.Best()
	out := resultJSON{Name: r.Model.Name, Vessel: r.Model.Vessel, Variant: best.Outcome.Variant.Name, Why: r.why(), Inflow: r.Model.Inlet.String(),
		ChiGas: known(best.Outcome.Misfit.ChiGas), ChiWall: known(best.Outcome.Misfit.ChiWall),
		Warnings: append([]string{}, r.Warnings...), Fills: best.fillsJSON()}
	for i, x := range best.Outcome.Params {
		p := parameterJSON{Name: thermal.ParKey(i), Value: known(thermal.ParValue(i, x)), StdErr: known(math.NaN()),
			Unit: thermal.ParUnit(i), Fitted: best.Outcome.Variant.Free[i]}
		if best.Outcome.Variant.Zero[i] {
			p.Value = 0
		}
		if p.Fitted {
			p.StdErr = known(best.Outcome.StdErr[i] * thermal.ParSlope(i, x))
		}
		out.Parameters = append(out.Parameters, p)
	}
	for i := range r.Steps {
		s := &r.Steps[i]
		gas, wall := s.fitted()
		out.Variants = append(out.Variants, stepJSON{Variant: s.Outcome.Variant.Name, Free: len(s.Outcome.Free), GasK: known(gas), OutGasK: known(s.OutGasK),
			WallK: known(wall), OutWallK: known(s.OutWallK), Score: known(s.validationError()), Converged: s.Outcome.Converged, Chosen: i == r.Chosen})
	}
	text, err := json.Marshal(out)
	if err != nil {
		return nil, fmt.Errorf("learn: %w", err)
	}
	return text, nil
}

func (s *Step) fillsJSON() []fillJSON {
	var out []fillJSON
	for i, f := range s.Outcome.Fills {
		nan := known(math.NaN())
		j := fillJSON{Name: f.Name, GasK: known(f.GasRMSK), WallK: known(f.WallRMSK), WorstK: nan, OutWallK: nan, OutWorstK: nan,
			BiasK: known(f.BiasK), Film: known(math.Exp(f.FilmLn)), Outside: known(math.Exp(f.OutsideLn)), AmbientC: known(f.AmbientK - 273.15), Residuals: []known{}}
		if len(f.Residuals) > 0 {
			j.WorstK = known(f.WallWorstK)
		}
		if i < len(s.LeftOut) && len(s.LeftOut[i].Residuals) > 0 {
			j.OutWallK, j.OutWorstK = known(s.LeftOut[i].WallRMSK), known(s.LeftOut[i].WallWorstK)
		}
		for _, k := range f.OutK {
			j.OutsideC = append(j.OutsideC, known(k-273.15))
		}
		for _, k := range f.Residuals {
			j.Residuals = append(j.Residuals, known(math.Round(k*1e3)/1e3))
		}
		out = append(out, j)
	}
	return out
}
