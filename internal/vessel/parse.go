package vessel

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/gas"
	"fillwright/internal/quantity"
)

// Defaults of the optional keys.
const (
	DefaultAmbientPressure = quantity.Pressure(101325) // ISO 2533 sea level
	DefaultReserve         = quantity.Difference(5)
	DefaultGasCold         = quantity.Temperature(253.15) // -20 °C; common practice, no source
	DefaultRampLeast       = quantity.Ramp(2e5 / 60)      // 2 bar/min
	DefaultRampMost        = quantity.Ramp(60e5 / 60)     // 60 bar/min
	DefaultReaction        = quantity.Seconds(5)
	DefaultHold            = quantity.Seconds(15 * 60)
)

// volumeFactor is how far the measured volume may stand from that of a plain
// cylinder of the same diameter and length. A sphere has two thirds of it, so
// only a slip of the unit or a wrong number goes past this.
const volumeFactor = 2

// Parse reads a vessel profile. file is only a name for messages. The error
// is a *FileError that lists what is wrong, where, what was expected and what
// to type. The profile is nil when there is an error.
//
// Optional keys and what stands in for them: [vessel] template (false),
// volume (cylinder of inner_diameter and length), water (0 L), ambient_pressure (101.325 kPa);
// [wall] the three material numbers when material names a handbook row;
// [resin] midpoint (the onset: nothing above it is counted on); [limits]
// reserve (5 °C), gas_cold (-20 °C), ramp_least (2 bar/min), ramp_most
// (60 bar/min), reaction (5 s); [fill] hold (15 min); [[station]] (one, named
// "wall", that sees the mean round the vessel), off_sun_deg (0 for a station
// named sun, 180 for shade, else not known), area_fraction (a beam on a tube
// decides), absorptance (not known), end (not said); [[channel]] end (not said), zero (0.5 V), span (4.5 V), supply (5 V),
// compensated (false).
func Parse(file string, data []byte) (*Profile, error) { return parse(file, data, true) }

// ParseWithoutChannels is Parse for where a table of finished values brings its
// own channels: a profile that has none is good too.
func ParseWithoutChannels(file string, data []byte) (*Profile, error) {
	return parse(file, data, false)
}

func parse(file string, data []byte, channels bool) (*Profile, error) {
	d, err := ReadDocument(file, data)
	if err != nil {
		return nil, err
	}
	p := &Profile{}
	readVessel(d, p)
	readWall(d, p)
	readResin(d, p)
	readLimits(d, p)
	readFill(d, p)
	p.Stations = readStations(d)
	if p.Channels = readChannels(d, p); channels || len(p.Channels) > 0 {
		wantPressure(d, p.Channels)
	}
	if err := d.Err(); err != nil {
		return nil, err
	}
	return p, nil
}

var attitudes = []Attitude{AttitudeLying, AttitudeStanding}

func readVessel(d *Document, p *Profile) {
	s := d.Table("vessel", true, `name = "Plover"`)
	p.Template = s.Bool("template")
	p.Name = s.Text("name", `name = "Plover"`)
	switch g := s.Text("gas", `gas = "air"`); strings.ToLower(g) {
	case gas.Air.String():
		p.Gas = gas.Air
	case gas.Nitrogen.String():
		p.Gas = gas.Nitrogen
	case "":
	default:
		s.Problem("gas", fmt.Sprintf("%q is not known", clip(g)), `"air" or "nitrogen"`, `gas = "air"`)
	}
	p.InnerDiameter = Quantity(s, "inner_diameter", quantity.ParseLength,
		Range[quantity.Length]{0.01, 5, "90 mm"})
	p.Length = Quantity(s, "length", quantity.ParseLength, Range[quantity.Length]{0.02, 20, "1.6 m"})
	cylinder := p.cylinderM3()
	p.Volume = QuantityOr(s, "volume", quantity.ParseVolume,
		Range[quantity.Volume]{1e-5, 100, "10.2 L"}, quantity.Volume(cylinder))
	if r := float64(p.Volume) / cylinder; r > volumeFactor || r < 1.0/volumeFactor {
		s.Problem("volume", fmt.Sprintf("is %v, but diameter and length make about %.3g L", p.Volume, cylinder*1e3),
			"a volume, diameter and length that belong together: one of the three has a wrong number or unit",
			fmt.Sprintf("volume = \"%.3g L\"", cylinder*1e3))
	}
	p.Water = QuantityOr(s, "water", quantity.ParseVolume, Range[quantity.Volume]{0, 100, "0 L"}, 0)
	if p.Water >= p.Volume {
		s.Problem("water", fmt.Sprintf("is %v, but the vessel holds %v", p.Water, p.Volume),
			"less water than the vessel's volume", `water = "0 L"`)
	}
	p.Attitude = choose(s, "attitude", Attitude(s.TextOr("attitude", `attitude = "lying"`)), attitudes)
	if p.Attitude == "" {
		p.Attitude = AttitudeLying
	}
	p.AmbientPressure = QuantityOr(s, "ambient_pressure", quantity.ParsePressure,
		Range[quantity.Pressure]{3e4, 1.15e5, "101.325 kPa"}, DefaultAmbientPressure)
}

// material is a row of handbook values of a wall, through the thickness.
type material struct {
	name                                           string
	densityKgM3, specificHeatJKgK, conductivityWMK float64
}

// Typical values of hand-laid or wound laminates with a fibre volume of about
// one half, near 20 to 60 °C; handbook values from memory. Give measured
// numbers where you have them.
var materials = []material{
	{"carbon-epoxy", 1570, 900, 0.65},
	{"glass-epoxy", 1900, 950, 0.4},
}

func readWall(d *Document, p *Profile) {
	s := d.Table("wall", true, `thickness = "2.8 mm"`)
	p.Wall.Thickness = Quantity(s, "thickness", quantity.ParseLength,
		Range[quantity.Length]{1e-4, 0.2, "2.8 mm"})
	if p.Wall.Thickness > p.InnerDiameter/2 {
		s.Problem("thickness", fmt.Sprintf("is %v, more than half of the inner diameter %v", p.Wall.Thickness, p.InnerDiameter),
			"the thickness of the wall alone", `thickness = "2.8 mm"`)
	}
	m := readMaterial(s)
	p.Wall.Material = m.name
	p.Wall.DensityKgM3 = wallNumber(s, "density_kg_m3", 300, 9000, "1480", m.densityKgM3)
	p.Wall.SpecificHeatJKgK = wallNumber(s, "specific_heat_j_kg_k", 200, 4000, "1050", m.specificHeatJKgK)
	p.Wall.ConductivityWMK = wallNumber(s, "conductivity_w_m_k", 0.02, 400, "0.55", m.conductivityWMK)
}

func readMaterial(s *Section) material {
	example := fmt.Sprintf("material = %q", materials[0].name)
	name := s.TextOr("material", example)
	if name == "" {
		return material{}
	}
	names := make([]string, len(materials))
	for i, m := range materials {
		if m.name == name {
			return m
		}
		names[i] = fmt.Sprintf("%q", m.name)
	}
	s.Problem("material", fmt.Sprintf("%q is not in the handbook table", clip(name)),
		strings.Join(names, " or ")+", or no material and the three numbers instead", example)
	return material{name, math.NaN(), math.NaN(), math.NaN()}
}

// wallNumber reads a number of the wall; the handbook stands in, if named.
func wallNumber(s *Section, key string, least, most float64, example string, handbook float64) float64 {
	x, ok := s.Number(key, least, most, key+" = "+example)
	if ok || s.Has(key) {
		return x
	}
	if handbook == 0 {
		s.missing(key, "a plain number, or material with the name of a handbook row", key+" = "+example)
		return math.NaN()
	}
	return handbook
}

func readResin(d *Document, p *Profile) {
	s := d.Table("resin", true, `onset = "54 °C"`)
	r := Range[quantity.Temperature]{quantity.Celsius(0), quantity.Celsius(400), "54 °C"}
	p.Resin.Onset = Quantity(s, "onset", quantity.ParseTemperature, r)
	r.Example = "61 °C"
	p.Resin.Midpoint = QuantityOr(s, "midpoint", quantity.ParseTemperature, r, p.Resin.Onset)
	if p.Resin.Onset > p.Resin.Midpoint {
		s.Problem("midpoint", fmt.Sprintf("is %v, below the onset %v", p.Resin.Midpoint, p.Resin.Onset),
			"a midpoint at or above the onset: the resin softens from the onset up",
			fmt.Sprintf("midpoint = %q", (p.Resin.Onset+7).String()))
	}
}

func readLimits(d *Document, p *Profile) {
	s := d.Table("limits", true, `pressure = "50 bar"`)
	l := &p.Limits
	l.Pressure = Quantity(s, "pressure", quantity.ParsePressure, Range[quantity.Pressure]{1e4, 2e8, "50 bar"})
	l.Reserve = QuantityOr(s, "reserve", quantity.ParseDifference, Range[quantity.Difference]{0, 60, "5 °C"}, DefaultReserve)
	l.GasCold = QuantityOr(s, "gas_cold", quantity.ParseTemperature,
		Range[quantity.Temperature]{quantity.Celsius(-150), quantity.Celsius(30), "-20 °C"}, DefaultGasCold)
	if l.GasCold >= p.Resin.Onset {
		s.Problem("gas_cold", fmt.Sprintf("is %v, not below the resin's onset %v", l.GasCold, p.Resin.Onset),
			"the lowest gas temperature that the vessel may see", `gas_cold = "-20 °C"`)
	}
	ramp := Range[quantity.Ramp]{quantity.BarPerMinute(0.01), quantity.BarPerMinute(6000), "2 bar/min"}
	l.RampLeast = QuantityOr(s, "ramp_least", quantity.ParseRamp, ramp, DefaultRampLeast)
	ramp.Example = "60 bar/min"
	l.RampMost = QuantityOr(s, "ramp_most", quantity.ParseRamp, ramp, DefaultRampMost)
	if l.RampLeast >= l.RampMost {
		key := "ramp_most"
		if !s.Has(key) {
			key = "ramp_least"
		}
		s.Problem(key, fmt.Sprintf("leaves no room: ramp_least is %v and ramp_most %v", l.RampLeast, l.RampMost),
			"ramp_least below ramp_most", `ramp_least = "2 bar/min" and ramp_most = "60 bar/min"`)
	}
	l.Reaction = QuantityOr(s, "reaction", quantity.ParseSeconds, Range[quantity.Seconds]{0.1, 300, "5 s"}, DefaultReaction)
}

func readFill(d *Document, p *Profile) {
	s := d.Table("fill", true, `target = "40 bar"`)
	p.Fill.Target = Quantity(s, "target", quantity.ParsePressure, Range[quantity.Pressure]{1e3, 2e8, "40 bar"})
	if p.Fill.Target > p.Limits.Pressure {
		s.Problem("target", fmt.Sprintf("is %v, above the vessel's limit %v", p.Fill.Target, p.Limits.Pressure),
			"a target at or below [limits] pressure", fmt.Sprintf("target = %q", (p.Limits.Pressure*4/5).String()))
	}
	p.Fill.Hold = QuantityOr(s, "hold", quantity.ParseSeconds, Range[quantity.Seconds]{0, 7 * 24 * 3600, "15 min"}, DefaultHold)
}
