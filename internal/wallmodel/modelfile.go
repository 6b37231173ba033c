package wallmodel

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
	"fillwright/internal/wrongfile"
)

// ModelVersion is the version of the model file that this program writes.
const ModelVersion = 3

// modelFile is a wall model as it lies in model.toml.
type modelFile struct {
	Version      int                `toml:"version" comment:"wall model, written by fillwright learn"`
	Name         string             `toml:"name"`
	Vessel       string             `toml:"vessel"`
	Created      string             `toml:"created"`
	Variant      string             `toml:"variant"`
	Rung         string             `toml:"rung,omitempty"` // its name in files of earlier builds
	DiscrepancyK float64            `toml:"unexplained_k" comment:"one sigma of what no parameter explains"`
	Fills        []string           `toml:"fills"`
	BiasK        float64            `toml:"gas_probe_bias_k" comment:"what the gas probe read too high in the fills"`
	BiasSigmaK   float64            `toml:"gas_probe_bias_sigma_k"`
	InflowBase   string             `toml:"inflow_base,omitempty" comment:"what the inflow's temperature is counted from: ambient, throttled or measured"`
	Parameters   map[string]float64 `toml:"parameters"`
	Free         []string           `toml:"free" comment:"order of the covariance"`
	Covariance   [][]float64        `toml:"covariance" comment:"of the parameters as the model holds them: logarithms of positive ones"`
	Range        rangeFile          `toml:"range"`
	Day          dayFile            `toml:"day" comment:"how far one fill is from another, one sigma"`
	Sun          *sunFile           `toml:"sun,omitempty"`
}

type rangeFile struct {
	RampMost     float64 `toml:"ramp_most_pa_s"`
	DensityMost  float64 `toml:"density_most_kg_m3"`
	GasMost      float64 `toml:"gas_most_k"`
	AmbientLeast float64 `toml:"ambient_least_k"`
	AmbientMost  float64 `toml:"ambient_most_k"`
}

// dayFile is how far one fill is from another.
type dayFile struct {
	Film    float64 `toml:"film_ln"`
	Outside float64 `toml:"outside_ln"`
	InflowK float64 `toml:"inflow_k"`
}

// sunFile is what the sun did to the vessel in the fills.
type sunFile struct {
	Shade      float64 `toml:"shade_above_ambient_k"`
	ShadeSigma float64 `toml:"shade_sigma_k"`
	Lit        float64 `toml:"sunny_line_above_shade_k"`
	LitSigma   float64 `toml:"sunny_line_sigma_k"`
}

// Format is the model as TOML. What could not be read again is an error.
func (l *Learned) Format() ([]byte, error) {
	if _, err := l.check(); err != nil {
		return nil, fmt.Errorf("the fit gave a model that can't be: %w; give it more fills, or other ones", err)
	}
	f := modelFile{
		Version: ModelVersion, Name: l.Name, Vessel: l.Vessel, Created: l.Created, Variant: l.Variant.Name,
		DiscrepancyK: l.DiscrepancyK, Fills: l.Fills, BiasK: l.Bias.MeanK, BiasSigmaK: l.Bias.SigmaK, InflowBase: l.Inlet.String(), Parameters: map[string]float64{},
		Range: rangeFile{l.Range.RampMostPaS, l.Range.DensityMost, l.Range.GasMostK, l.Range.AmbientLeastK, l.Range.AmbientMostK},
		Day:   dayFile{l.Day.FilmLn, l.Day.OutsideLn, l.Day.InflowK},
	}
	var free []int
	for i := range l.Params {
		f.Parameters[thermal.ParKey(i)] = thermal.ParValue(i, l.Params[i])
		if l.Cov[i][i] > 0 {
			free = append(free, i)
			f.Free = append(f.Free, thermal.ParKey(i))
		}
	}
	for _, i := range free {
		var row []float64
		for _, j := range free {
			row = append(row, l.Cov[i][j])
		}
		f.Covariance = append(f.Covariance, row)
	}
	if g := l.Gains; g != nil {
		f.Sun = &sunFile{g.Shade.MeanK, g.Shade.SigmaK, g.Lit.MeanK, g.Lit.SigmaK}
	}
	return toml.Marshal(f)
}

const modelHint = "make a new one with: fillwright learn RUN... --vessel VESSEL.toml --out model.toml"

func wrongModel(file, what string) error {
	return &wrongfile.Error{File: file, What: what, Do: modelHint}
}

// ParseLearned reads a model file.
func ParseLearned(file string, data []byte) (*Learned, error) {
	if wrong, expected := vessel.CheckSize(data); wrong != "" {
		return nil, wrongModel(file, wrong+"; expected "+expected)
	}
	var f modelFile
	var old struct{ Version int }
	if toml.Unmarshal(data, &old) == nil && old.Version >= 1 && old.Version < ModelVersion {
		return nil, wrongModel(file, "model file of an older fillwright, which knew less of sun, layers and the far end: its parameters make up for that")
	}
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, wrongModel(file, describeTOML(err))
	}
	if f.Version != ModelVersion {
		return nil, wrongModel(file, fmt.Sprintf("model file version %d, this program reads version %d", f.Version, ModelVersion))
	}
	variant, ok := VariantNamed(cmp.Or(f.Variant, f.Rung))
	if !ok {
		return nil, wrongModel(file, fmt.Sprintf("unknown variant %q", vessel.Clip(cmp.Or(f.Variant, f.Rung))))
	}
	l := &Learned{
		Name: f.Name, Vessel: f.Vessel, Created: f.Created, Variant: variant, DiscrepancyK: f.DiscrepancyK, Fills: f.Fills,
		Range: Range{f.Range.RampMost, f.Range.DensityMost, f.Range.GasMost, f.Range.AmbientLeast, f.Range.AmbientMost},
		Day:   Day{f.Day.Film, f.Day.Outside, f.Day.InflowK},
	}
	if l.Bias = (thermal.Normal{MeanK: f.BiasK, SigmaK: f.BiasSigmaK}); f.BiasSigmaK == 0 { // not written, not known exactly
		l.Bias = handbookBias
	}
	if f.InflowBase != "" { // files from before it was written are on ambient
		var err error
		if l.Inlet, err = thermal.InletNamed(f.InflowBase); err != nil {
			return nil, wrongModel(file, err.Error())
		}
	}
	if s := f.Sun; s != nil {
		l.Gains = &thermal.SunGains{Shade: thermal.Normal{MeanK: s.Shade, SigmaK: s.ShadeSigma}, Lit: thermal.Normal{MeanK: s.Lit, SigmaK: s.LitSigma}}
	}
	if err := f.fill(l, data); err != nil {
		return nil, wrongModel(file, err.Error())
	}
	if key, err := l.check(); err != nil {
		return nil, wrongModel(file, onLine(lineOf(data, key), err))
	}
	return l, nil
}

// fill puts parameters and covariance in, refusing what is not there or is too
// much.
func (f *modelFile) fill(l *Learned, data []byte) error {
	index := map[string]int{}
	for i := range l.Params {
		key := thermal.ParKey(i)
		index[key] = i
		v, ok := f.Parameters[key]
		if !ok && i == thermal.ParHand { // files from before it was told know as much as handbooks do
			mean, sigma := l.Variant.Prior(i)
			l.Params[i], l.Cov[i][i] = mean, sigma*sigma
			continue
		}
		if !ok {
			return fmt.Errorf("parameter %s is missing", key)
		}
		if parLimits[i].outside(v) && !(l.Variant.Zero[i] && v == 0) {
			return errors.New(onLine(lineOf(data, key), parLimits[i].refuse("parameter "+key, v)))
		}
		l.Params[i] = thermal.ParInternal(i, v)
	}
	for key := range f.Parameters {
		if _, ok := index[key]; !ok {
			return errors.New(onLine(lineOf(data, key), fmt.Errorf("unknown parameter %q", vessel.Clip(key))))
		}
	}
	if err := f.fillCovariance(l, index); err != nil {
		return errors.New(onLine(lineOf(data, "covariance"), err))
	}
	return nil
}

// fillCovariance refuses what can't be a covariance: sizes, unknown or
// repeated names, lopsided pairs, correlations beyond one.
func (f *modelFile) fillCovariance(l *Learned, index map[string]int) error {
	if len(f.Covariance) != len(f.Free) {
		return errors.New("covariance does not fit the list of free parameters")
	}
	seen := map[string]bool{}
	for r, name := range f.Free {
		_, ok := index[name]
		if !ok || seen[name] || len(f.Covariance[r]) != len(f.Free) || !(f.Covariance[r][r] > 0) {
			return fmt.Errorf("covariance of %q is damaged", vessel.Clip(name))
		}
		seen[name] = true
	}
	for r, name := range f.Free {
		for c, other := range f.Free {
			v, most := f.Covariance[r][c], math.Sqrt(f.Covariance[r][r]*f.Covariance[c][c])
			if !finite(v) || math.Abs(v) > most*(1+1e-9) || math.Abs(v-f.Covariance[c][r]) > 1e-9*most {
				return fmt.Errorf("covariance of %q with %q is damaged", vessel.Clip(name), vessel.Clip(other))
			}
			l.Cov[index[name]][index[other]] = v
		}
	}
	if !positive(f.Covariance) {
		return errors.New("the covariance is not positive definite: no set of fills gives it")
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func describeTOML(err error) string {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) && len(strict.Errors) > 0 {
		row, _ := strict.Errors[0].Position()
		return fmt.Sprintf("line %d: unknown key %s", row, vessel.Clip(strings.Join(strict.Errors[0].Key(), ".")))
	}
	var dec *toml.DecodeError
	if errors.As(err, &dec) {
		row, col := dec.Position()
		return fmt.Sprintf("line %d, column %d: %s", row, col, vessel.Clip(dec.Error()))
	}
	return vessel.Clip(err.Error())
}
