package vessel

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// plover is what testdata/plover.toml says, written out by hand.
func plover() *Profile {
	thermo := func(index int, role Role, station string) Channel {
		return Channel{Index: index, Role: role, Kind: KindK, Station: station}
	}
	return &Profile{
		Name: "Plover", Gas: gas.Air,
		InnerDiameter: 0.090, Length: 1.6, Volume: 10.2e-3, Water: 0, AmbientPressure: 101325, Attitude: AttitudeLying,
		Wall:   Wall{Thickness: 2.8e-3, DensityKgM3: 1480, SpecificHeatJKgK: 1050, ConductivityWMK: 0.55},
		Resin:  Resin{Onset: 327.15, Midpoint: 334.15},
		Limits: Limits{Pressure: 50e5, Reserve: 5, GasCold: 253.15, RampLeast: 2e5 / 60., RampMost: 1e5, Reaction: 5, SidesStiffnessLeast: 0.85},
		Fill:   Fill{Target: 40e5, Hold: 900},
		Stations: []Station{
			{Name: "sun", AreaFraction: math.NaN(), Absorptance: 0.3},
			{Name: "shade", OffSunDeg: 180, AreaFraction: math.NaN(), Absorptance: 0.3},
		},
		Channels: []Channel{
			{Index: 0, Role: RolePressure, Kind: KindRatiometric, Zero: 0.5, Span: 4.5, Supply: 5, FullScale: 100e5},
			thermo(1, RoleGas, ""), thermo(2, RoleWall, "sun"), thermo(3, RoleWall, "shade"),
			{Index: 4, Role: RoleColdJunction, Kind: KindCelsius},
			{Index: 5, Role: RoleAmbient, Kind: KindCelsius},
		},
	}
}

// near lets conversions round in the last digits, and NaN equal NaN.
var near = cmp.Options{
	cmpopts.EquateApprox(1e-12, 0), cmpopts.EquateNaNs(),
	nearly[quantity.Pressure](), nearly[quantity.Temperature](), nearly[quantity.Difference](),
	nearly[quantity.Length](), nearly[quantity.Volume](), nearly[quantity.Seconds](),
	nearly[quantity.Ramp](), nearly[quantity.Voltage](),
}

func nearly[T ~float64]() cmp.Option {
	return cmp.Comparer(func(a, b T) bool {
		return math.Abs(float64(a-b)) <= 1e-12*math.Abs(float64(b))
	})
}

func read(t *testing.T, file string) []byte {
	t.Helper()
	return must.Get(os.ReadFile("../../testdata/" + file))(t)
}

// Every key of the example reaches its field, in SI.
func TestParsePlover(t *testing.T) {
	got := must.Get(Parse("plover.toml", read(t, "plover.toml")))(t)
	d := cmp.Diff(plover(), got, near)
	must.Be(t, d == "", "%v", d)
}

// The profile that `profile new` writes is the one that the tests use.
func TestExampleIsPlover(t *testing.T) {
	must.Be(t, Example() == string(read(t, "plover.toml")), "internal/vessel/plover.toml and testdata/plover.toml differ: copy one over the other")
}

// The bare vessel is the same without its wall sensors.
func TestParseBare(t *testing.T) {
	got := must.Get(Parse("plover-bare.toml", read(t, "plover-bare.toml")))(t)
	want := plover()
	want.Channels = append(want.Channels[:2:2], want.Channels[4:]...)
	d := cmp.Diff(want, got, near)
	must.Be(t, d == "", "%v", d)
}

const least = `
[vessel]
name = "Least"
gas = "nitrogen"
inner_diameter = "100 mm"
length = "1 m"
[wall]
thickness = "3 mm"
material = "glass-epoxy"
[resin]
onset = "60 °C"
[limits]
pressure = "600 psi"
[fill]
target = "500 psig"
[[channel]]
index = 2
role = "pressure"
kind = "loop"
full_scale = "10 MPa"
`

// Optional keys have the defaults that Parse documents.
func TestParseDefaults(t *testing.T) {
	got := must.Get(Parse("least.toml", []byte(least)))(t)
	want := &Profile{
		Name: "Least", Gas: gas.Nitrogen, InnerDiameter: 0.1, Length: 1,
		Volume: quantity.Volume(math.Pi / 4 * 0.1 * 0.1), AmbientPressure: 101325, Attitude: AttitudeLying,
		Wall:     Wall{Material: "glass-epoxy", Thickness: 3e-3, DensityKgM3: 1900, SpecificHeatJKgK: 950, ConductivityWMK: 0.4},
		Resin:    Resin{Onset: 333.15, Midpoint: 333.15},
		Limits:   Limits{Pressure: quantity.PSI(600), Reserve: 5, GasCold: 253.15, RampLeast: 2e5 / 60., RampMost: 1e5, Reaction: 5, SidesStiffnessLeast: 0.85},
		Fill:     Fill{Target: quantity.PSI(500), Hold: 900},
		Stations: []Station{{Name: "wall", OffSunDeg: math.NaN(), AreaFraction: math.NaN(), Absorptance: math.NaN()}},
		Channels: []Channel{{Index: 2, Role: RolePressure, Kind: KindLoop, FullScale: 100e5}},
	}
	d := cmp.Diff(want, got, near)
	must.Be(t, d == "", "%v", d)
}

// The other ways that TOML has to write tables mean the same.
func TestParseInlineTables(t *testing.T) {
	text := strings.Replace(least, "[resin]\nonset = \"60 °C\"\n", "", 1)
	text = "resin.onset = \"60 °C\"\nstation = [ { name = \"a\" }, { name = \"b\" } ]\n" + text
	p := must.Get(Parse("inline.toml", []byte(text)))(t)
	must.Be(t, p.Resin.Onset == 333.15 && len(p.Stations) == 2 && p.Stations[1].Name == "b",
		"got onset %v and stations %v", p.Resin.Onset, p.Stations)
}

// A byte order mark and CRLF, as some editors leave them, do no harm.
func TestParseEditorsLeavings(t *testing.T) {
	text := "\ufeff" + strings.ReplaceAll(Example(), "\n", "\r\n")
	p := must.Get(Parse("crlf.toml", []byte(text)))(t)
	d := cmp.Diff(plover(), p, near)
	must.Be(t, d == "", "%v", d)
}

func problems(t *testing.T, text string) *FileError {
	t.Helper()
	p, err := Parse("x.toml", []byte(text))
	var bad *FileError
	must.Need(t, errors.As(err, &bad), "got profile %v and error %v, want a *FileError", p, err)
	must.Be(t, p == nil, "a profile came with the error")
	return bad
}

func lineOf(text, part string) int {
	before, _, ok := strings.Cut(text, part)
	if !ok {
		return -1
	}
	return strings.Count(before, "\n") + 1
}
