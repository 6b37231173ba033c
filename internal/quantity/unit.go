package quantity

// unit is one accepted unit: value in SI = (number + shift) × scale.
//
// Scales are exact by definition unless the row says otherwise: NIST SP 811
// (2008) appendix B, here from memory: 1 in = 25.4 mm, 1 ft = 304.8 mm,
// 1 lb = 0.45359237 kg, standard gravity 9.80665 m/s², and from these
// 1 psi = 1 lb × g / in² = 6894.757293… Pa.
type unit struct {
	name    string
	scale   float64
	shift   float64
	aliases []string
	fold    bool // also accepted in other letter cases: no other unit is near
}

const (
	inchM    = 0.0254
	footM    = 0.3048
	poundKg  = 0.45359237
	gravity  = 9.80665 // standard gravity, m/s²
	psiPa    = poundKg * gravity / (inchM * inchM)
	barPa    = 1e5
	minuteS  = 60
	zeroC    = 273.15 // 0 °C in kelvin, by definition
	zeroF    = 459.67 // 0 °F above absolute zero, in °F
	fahrK    = 5.0 / 9.0
	litreM3  = 1e-3
	cubicIn3 = inchM * inchM * inchM
)

// kind is what a text is read as.
type kind struct {
	what    string // "a gauge pressure"
	example string // "41 bar"
	units   []unit
	least   float64 // SI; a smaller value is refused
	whyNot  string  // why a smaller value is refused
	hint    map[string]string
}

var pressureKind = kind{
	what:    "a gauge pressure",
	example: "41 bar",
	least:   unbounded,
	units: []unit{
		{name: "bar", scale: barPa, aliases: []string{"barg", "bar(g)"}, fold: true},
		{name: "psi", scale: psiPa, aliases: []string{"psig", "psi(g)"}, fold: true},
		{name: "kPa", scale: 1e3, fold: true},
		{name: "MPa", scale: 1e6},
		{name: "hPa", scale: 100},
		{name: "mbar", scale: 100},
		{name: "Pa", scale: 1},
	},
	hint: map[string]string{
		"bara":   "absolute pressures are not used: give the gauge pressure in bar",
		"bar(a)": "absolute pressures are not used: give the gauge pressure in bar",
		"psia":   "absolute pressures are not used: give the gauge pressure in psi",
		"psi(a)": "absolute pressures are not used: give the gauge pressure in psi",
		"atm":    "atm may mean gauge or absolute: give the gauge pressure in bar",
	},
}

var temperatureKind = kind{
	what:    "a temperature",
	example: "52 °C",
	least:   0,
	whyNot:  "is below absolute zero (-273.15 °C)",
	units: []unit{
		{name: "°C", scale: 1, shift: zeroC, aliases: []string{"C", "degC", "deg C", "℃", "ºC"}, fold: true},
		{name: "°F", scale: fahrK, shift: zeroF, aliases: []string{"F", "degF", "deg F", "℉", "ºF"}, fold: true},
		{name: "K", scale: 1},
	},
}

var differenceKind = kind{
	what:    "a temperature difference",
	example: "5 °C",
	least:   unbounded,
	units: []unit{
		{name: "°C", scale: 1, aliases: []string{"C", "degC", "deg C", "℃", "ºC"}, fold: true},
		{name: "°F", scale: fahrK, aliases: []string{"F", "degF", "deg F", "℉", "ºF"}, fold: true},
		{name: "K", scale: 1},
	},
}

var lengthKind = kind{
	what:    "a length",
	example: "90 mm",
	least:   0,
	whyNot:  "is negative",
	units: []unit{
		{name: "mm", scale: 1e-3},
		{name: "cm", scale: 1e-2},
		{name: "m", scale: 1},
		{name: "in", scale: inchM, aliases: []string{"inch", "\""}, fold: true},
		{name: "ft", scale: footM, fold: true},
	},
}

var volumeKind = kind{
	what:    "a volume",
	example: "10.2 L",
	least:   0,
	whyNot:  "is negative",
	units: []unit{
		{name: "L", scale: litreM3, aliases: []string{"l", "litre", "liter", "dm3", "dm³"}},
		{name: "mL", scale: 1e-6, aliases: []string{"ml"}},
		{name: "cm3", scale: 1e-6, aliases: []string{"cm³", "cc"}},
		{name: "m3", scale: 1, aliases: []string{"m³"}},
		{name: "in3", scale: cubicIn3, aliases: []string{"in³", "cu in"}},
	},
	hint: map[string]string{"gal": "gallons differ from country to country: give litres"},
}

var secondsKind = kind{
	what:    "a duration",
	example: "15 min",
	least:   0,
	whyNot:  "is negative",
	units: []unit{
		{name: "s", scale: 1, aliases: []string{"sec"}, fold: true},
		{name: "min", scale: minuteS, fold: true},
		{name: "h", scale: 3600, aliases: []string{"hour", "hours"}, fold: true},
		{name: "ms", scale: 1e-3},
	},
	hint: map[string]string{"m": "m is the metre: write min for minutes"},
}

var rampKind = kind{
	what:    "a rate of pressure rise",
	example: "30 bar/min",
	least:   unbounded,
	units: []unit{
		{name: "bar/min", scale: barPa / minuteS, fold: true},
		{name: "psi/min", scale: psiPa / minuteS, fold: true},
		{name: "kPa/min", scale: 1e3 / minuteS, fold: true},
		{name: "MPa/min", scale: 1e6 / minuteS},
		{name: "bar/s", scale: barPa, fold: true},
		{name: "psi/s", scale: psiPa, fold: true},
		{name: "kPa/s", scale: 1e3, fold: true},
		{name: "Pa/s", scale: 1},
	},
	hint: map[string]string{
		"bar": "a rate needs a time too: write bar/min",
		"psi": "a rate needs a time too: write psi/min",
	},
}

var voltageKind = kind{
	what:    "a voltage",
	example: "0.5 V",
	least:   unbounded,
	units: []unit{
		{name: "V", scale: 1, fold: true},
		{name: "mV", scale: 1e-3},
		{name: "µV", scale: 1e-6, aliases: []string{"uV", "μV"}},
	},
}
