package vessel

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// Each mistake, made in the example profile, is refused with its line, with
// words that say what is wrong, and with something to type.
func TestParseRefuses(t *testing.T) {
	tests := []struct {
		name, old, new string
		at             string // text of the line that is named
		wrong, kind    string // parts of Wrong and of Type
	}{
		{"plain number", `target = "40 bar"`, `target = 40`, "target = 40", "has no unit", `target = "40 bar"`},
		{"missing unit", `onset = "54 °C"`, `onset = "54"`, `onset = "54"`, "has no unit", `onset = "54 °C"`},
		{"missing quotes", `target = "40 bar"`, `target = 40 bar`, "target = 40 bar", "", `target = "40 bar"`},
		{"unknown unit", `thickness = "2.8 mm"`, `thickness = "2.8 mn"`, "2.8 mn", `unknown unit "mn"`, `thickness = "2.8 mm"`},
		{"wrong quantity", `reaction = "5 s"`, `reaction = "5 °C"`, `reaction = "5 °C"`, "unknown unit", `reaction = "5 s"`},
		{"absolute pressure", `"40 bar"`, `"580 psia"`, "psia", "absolute", `target = "40 bar"`},
		{"unknown key", `reaction = "5 s"`, `reacton = "5 s"`, "reacton", "is not a known key", "reaction"},
		{"unknown table", "[resin]", "[resn]\n[resin]", "[resn]", "is not a known table", "resin"},
		{"key outside", "[vessel]", "colour = 1\n[vessel]", "colour", "outside of every table", "[vessel]"},
		{"single for list", "[[station]]\nname = \"sun\"", "[station]\nname = \"sun\"", "[[station]]", "should be an array", "[[…]]"},
		{"list for single", "[resin]", "[[resin]]", "[[resin]]", "is a list", "[resin]"},
		{"onset above midpoint", `onset = "54 °C"`, `onset = "64 °C"`, "midpoint =", "below the onset", "71 °C"},
		{"target above limit", `target = "40 bar"`, `target = "55 bar"`, "target =", "above the vessel's limit", `target = "40 bar"`},
		{"litres for millilitres", `"10.2 L"`, `"10.2 mL"`, "10.2 mL", "diameter and length make", "10.2 L"},
		{"water fills it", `water = "0 L"`, `water = "10.2 L"`, "water =", "the vessel holds", `water = "0 L"`},
		{"ambient as gauge", `"101.325 kPa"`, `"0 kPa"`, `ambient_pressure =`, "out of range", "101.325 kPa"},
		{"control character", `name = "Plover"`, `name = "Plo\u001b[2Jver"`, "name =", `\x1b[2J`, "Plover"},
		{"long name", `name = "Plover"`, `name = "` + strings.Repeat("long ", 30) + `"`, "name =", "is the text", "Plover"},
		{"control in key", "[vessel]", "[vessel]\n\"k\\u001by\" = 1", "k", "is not a known key", ""},
		{"gas", `gas = "air"`, `gas = "helium"`, "helium", "is not known", `gas = "air"`},
		{"thick wall", `thickness = "2.8 mm"`, `thickness = "50 mm"`, "50 mm", "half of the inner diameter", "2.8 mm"},
		{"density in g", `density_kg_m3 = 1480`, `density_kg_m3 = 1.48`, "1.48", "is 1.48", "1480"},
		{"density as text", `density_kg_m3 = 1480`, `density_kg_m3 = "1480"`, "density", "is the text", "1480"},
		{"no density", "density_kg_m3 = 1480\n", "", "[wall]", "is missing", "1480"},
		{"material", `thickness = "2.8 mm"`, "thickness = \"2.8 mm\"\nmaterial = \"wood\"", "wood", "handbook table", "carbon-epoxy"},
		{"ramps crossed", `ramp_least = "2 bar/min"`, `ramp_least = "80 bar/min"`, "ramp_most", "no room", "ramp_least"},
		{"cold gas above onset", `gas_cold = "-20 °C"`, `gas_cold = "60 °C"`, "gas_cold", "out of range", "-20 °C"},
		{"negative reserve", `reserve = "5 °C"`, `reserve = "-5 °C"`, "-5 °C", "out of range", "5 °C"},
		{"half the shares", "name = \"sun\"\n", "name = \"sun\"\narea_fraction = 0.5\n", `[[station]]`, "another station has one", "0.5"},
		{"shares", "name = \"sun\"\nabsorptance = 0.3              # of the paint for sunlight; leave out if not known\n\n[[station]]\n",
			"name = \"sun\"\narea_fraction = 0.7\n\n[[station]]\narea_fraction = 0.5\n", "0.7", "sum to 1.2", "0.5"},
		{"angle", "name = \"sun\"\n", "name = \"sun\"\noff_sun_deg = 200\n", "= 200", "is 200", "30"},
		{"end", "name = \"sun\"\n", "name = \"sun\"\nend = \"top\"\n", "top", "is not known", "inlet"},
		{"end of a pressure sensor", `kind = "ratiometric"`, "end = \"far\"\nkind = \"ratiometric\"", "end", "only for gas probes", ""},
		{"attitude", `attitude = "lying"`, `attitude = "leaning"`, "leaning", "is not known", "lying"},
		{"station twice", `name = "shade"`, `name = "sun"`, "", "taken by an earlier station", "shade"},
		{"station name", `name = "shade"`, `name = "Shady Side"`, "Shady", "can't be a station's name", "sun"},
		{"absorptance", "absorptance = 0.3              # of", "absorptance = 30 # of", "= 30", "is 30", "0.3"},
		{"index twice", "index = 5", "index = 4", "", "4 is taken", ""},
		{"index too large", "index = 5", "index = 16", "index = 16", "is 16", "index = 0"},
		{"role", `role = "ambient"`, `role = "ambiant"`, "ambiant", "is not known", "ambient"},
		{"kind", `kind = "ratiometric"`, `kind = "ratio"`, `"ratio"`, "is not known", "ratiometric"},
		{"kind for role", "role = \"gas\"\nkind = \"K\"", "role = \"gas\"\nkind = \"gauge\"", `kind = "gauge"`, "can't serve", `kind = "K"`},
		{"unknown station", `station = "shade"`, `station = "shadow"`, "shadow", "not a station of this profile", "sun"},
		{"no station", "station = \"shade\"\n", "", "", "is missing", "sun"},
		{"station of gas", "role = \"gas\"", "role = \"gas\"\nstation = \"sun\"", "", "only for wall sensors", ""},
		{"zero of a thermocouple", "role = \"gas\"", "role = \"gas\"\nzero = \"1 V\"", `zero = "1 V"`, "does not belong", ""},
		{"no full scale", "full_scale = \"100 bar\"\n", "", "", "is missing", "100 bar"},
		{"small full scale", `"100 bar"`, `"35 bar"`, "35 bar", "below the target", "100 bar"},
		{"zero at rail", `zero = "0.5 V"`, `zero = "0 V"`, "zero =", "broken wire", "0.5 V"},
		{"span at rail", `span = "4.5 V"`, `span = "5 V"`, "span =", "too near to the supply", "4.5 V"},
		{"no cold junction", "role = \"cold_junction\"", "role = \"supply\"", "", "", ""},
		{"compensated celsius", "role = \"cold_junction\"", "role = \"cold_junction\"\ncompensated = true", "compensated", "only for thermocouples", ""},
		{"table twice", "[resin]", "[wall]\n[resin]", "[wall]", "already exists", "delete this one"},
		{"no bracket", "[resin]", "[resin", "[resin", "can't be read", "[resin]"},
		{"no quote", `length = "1.6 m"`, `length = "1.6 m`, "length", "can't be read", "key ="},
		{"no value", `hold = "15 min"`, "hold =", "hold", "can't be read", "key ="},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := strings.Replace(Example(), tt.old, tt.new, 1)
			must.Need(t, text != Example(), "the mistake is not in the text")
			bad := problems(t, text)
			p := bad.Problems[0]
			must.Be(t, p.Line >= 1 && p.Line <= strings.Count(text, "\n"), "line %d", p.Line)
			got := strings.Split(text, "\n")[p.Line-1]
			must.Be(t, strings.Contains(got, tt.at) && strings.Contains(p.Wrong, tt.wrong) && strings.Contains(p.Type, tt.kind) && p.Expected != "",
				"at %q: %v", got, bad)
			must.Be(t, strings.HasPrefix(bad.Error(), fmt.Sprintf("x.toml:%d: ", p.Line)), "no place in %q", bad.Error())
		})
	}
}

// What is not there at all is asked for, in one go.
func TestParseAsksForMissing(t *testing.T) {
	bad := problems(t, "")
	for _, want := range []string{"[vessel]", "[wall]", "[resin]", "[limits]", "[fill]", "[[channel]]"} {
		found := false
		for _, p := range bad.Problems {
			found = found || p.Where == want && p.Wrong != "" && p.Type != ""
		}
		must.Be(t, found, "nothing said of %s in:\n%v", want, bad)
	}
	must.Be(t, len(bad.Problems) == 6, "%d problems for six missing tables:\n%v", len(bad.Problems), bad)
}

// Several mistakes are reported together, in the order of the lines.
func TestParseReportsTogether(t *testing.T) {
	text := strings.NewReplacer(`gas = "air"`, `gas = "argon"`, `"54 °C"`, `"54"`, `hold = "15 min"`, `hold = "15 m"`).Replace(Example())
	bad := problems(t, text)
	must.Need(t, len(bad.Problems) == 3 && bad.More == 0, "got:\n%v", bad)
	for i, part := range []string{`gas = "argon"`, `onset = "54"`, `hold = "15 m"`} {
		want := lineOf(text, part)
		must.Be(t, bad.Problems[i].Line == want, "problem %d at line %d, want %d", i, bad.Problems[i].Line, want)
	}
}

// However much is wrong, the report stays short and says how much more there is.
func TestParseReportIsBounded(t *testing.T) {
	var text strings.Builder
	text.WriteString(Example())
	for i := range 240 {
		fmt.Fprintf(&text, "key%d = 1\n", i)
	}
	bad := problems(t, text.String())
	must.Be(t, len(bad.Problems) == ProblemsMost && bad.More == 240-ProblemsMost, "%d problems and %d more", len(bad.Problems), bad.More)
	if last := bad.Error(); !strings.HasSuffix(last, "and 230 more") {
		t.Errorf("ends in %q", last[len(last)-40:])
	}
	bad = problems(t, strings.Repeat("# long\n", documentMost))
	must.Be(t, strings.Contains(bad.Error(), "at most"), "a huge file: %v", bad)
}

// A thermocouple that the logger compensates needs no cold junction; the
// others do.
func TestColdJunction(t *testing.T) {
	text := strings.Replace(Example(), "[[channel]]\nindex = 4\nrole = \"cold_junction\"", "[[channel]]\nindex = 4\nrole = \"supply\"", 1)
	text = strings.Replace(text, "role = \"supply\"         # temperature of the thermocouples' terminals\nkind = \"celsius\"", "role = \"supply\"\nkind = \"gauge\"", 1)
	bad := problems(t, text)
	must.Be(t, strings.Contains(bad.Error(), "cold_junction") && len(bad.Problems) == 1, "got:\n%v", bad)
	text = strings.ReplaceAll(text, `kind = "K"`, "kind = \"K\"\ncompensated = true")
	p := must.Get(Parse("x.toml", []byte(text)))(t)
	c, _ := p.ChannelOf(RoleGas)
	must.Be(t, c.Compensated, "compensated was lost")
}

// No text makes Parse panic, and what it accepts is a profile in its limits.
func FuzzParse(f *testing.F) {
	files, err := filepath.Glob("../../testdata/plover*.toml")
	if err != nil || len(files) == 0 {
		f.Fatal("no profiles to start from", err)
	}
	for _, file := range files {
		data := must.Get(os.ReadFile(file))(f)
		f.Add(data)
	}
	f.Add([]byte(least))
	f.Add([]byte("a.b.c = {d = [{e = 1}, {}], f = [1, [2]]}\n[[x.y]]\n[x.y.z]\n"))
	f.Add([]byte("station = [1, {name = 2}]\nvessel = {}\nwall = []"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Parse("fuzz.toml", data)
		must.Need(t, (p == nil) != (err == nil), "profile %v and error %v", p, err)
		if p == nil {
			return
		}
		sum := 0.0
		for _, s := range p.Stations {
			sum += s.AreaFraction
		}
		if len(p.Stations) == 0 || sum < 0.999 || sum > 1.001 || p.GasVolumeM3() <= 0 || !(p.Fill.Target <= p.Limits.Pressure) { // the sum is NaN where none is written
			t.Errorf("accepted %+v", p)
		}
		Check(p)
	})
}

// The edit distance, on the example of most textbooks (kitten, sitting: 3).
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "", 3}, {"same", "same", 0}} {
		must.Equal(t, distance(c.a, c.b), c.want, "%s to %s", c.a, c.b)
	}
}
