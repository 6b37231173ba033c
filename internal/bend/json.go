package bend

import (
	"encoding/json"

	"fillwright/internal/laminate"
	"fillwright/internal/quantity"
)

// known is a number of six digits, null in JSON when it is not known. More
// digits the figures can't mean.
type known = quantity.JSON6

// The report as JSON: temperatures °C, pressure bar gauge, shares from 0 to 1.
// Sags and curvatures are above 0 where the vessel bends away from the warm side.
type reportJSON struct {
	Vessel      string    `json:"vessel"`
	TimeS       known     `json:"t_s"`
	PressureBar known     `json:"pressure_bar"`
	LengthM     known     `json:"length_m"`
	Warm        placeJSON `json:"warm"`
	Cool        placeJSON `json:"cool"`
	Ratio       known     `json:"sides_stiffness"`
	Limit       known     `json:"sides_stiffness_least"`
	Over        bool      `json:"under_limit"`
	Layups      []rowJSON `json:"layups"`
}

type placeJSON struct {
	Name   string `json:"name"`
	InnerC known  `json:"inner_c"`
	OuterC known  `json:"outer_c"`
	BandC  known  `json:"band_c"`
}

type figureJSON struct {
	Value known `json:"value"`
	Low   known `json:"low"`
	High  known `json:"high"`
}

type rowJSON struct {
	Name      string     `json:"name"`
	Wall      string     `json:"wall"`
	Way       string     `json:"bends"`
	SagMM     figureJSON `json:"sag_mm"`
	Curvature figureJSON `json:"curvature_per_m"`
	WarmShare figureJSON `json:"warm_stiffness_left"`
	CoolShare figureJSON `json:"cool_stiffness_left"`
	Bending   figureJSON `json:"bending_stiffness_left"`
	Sides     figureJSON `json:"sides_stiffness"`
	StrainPct figureJSON `json:"axial_strain_percent"`
}

func scaled(f laminate.Figure, x float64) figureJSON {
	return figureJSON{known(x * f.Value), known(x * f.Low), known(x * f.High)}
}

// JSON is the report as one JSON object without a line end.
func JSON(r *Report) ([]byte, error) {
	place := func(p Place) placeJSON {
		return placeJSON{p.Name, known(p.InnerK - 273.15), known(p.OuterK - 273.15), known(p.BandK)}
	}
	out := reportJSON{Vessel: r.Vessel, TimeS: known(r.TimeS), PressureBar: known(r.PressurePa / 1e5), LengthM: known(r.LengthM),
		Warm: place(r.Warm), Cool: place(r.Cool), Ratio: known(r.Ratio), Limit: known(r.Limit), Over: r.Over()}
	for _, x := range r.Rows {
		out.Layups = append(out.Layups, rowJSON{x.Name, x.Words(), WayOf(x.Bow).String(), scaled(x.SagM, 1e3), scaled(x.CurvaturePerM, 1),
			scaled(x.SunShare, 1), scaled(x.ShadeShare, 1), scaled(x.BendShare, 1), scaled(x.SidesRatio, 1), scaled(x.Strain, 100)})
	}
	return json.Marshal(out)
}
