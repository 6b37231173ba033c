package jsonline

import (
	"encoding/json"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// TestJSONStrings against encoding/json, with what a text may hold.
func TestJSONStrings(t *testing.T) {
	for _, text := range []string{"", "plain", `quote " and \ back`, "line\nand\ttab\x00\x1f\x7f", "°C ± é 漢", "bad \xff utf8 \xc3", "\u2028\u2029"} {
		s := monitor.Snapshot{Alarms: []alarm.Active{{Name: text}}}
		var got struct{ Alarms []struct{ Name string } }
		err := json.Unmarshal(Append(nil, &s), &got)
		must.Need(t, err == nil, "%q: %v", text, err)
		want := strings.ToValidUTF8(strings.ReplaceAll(text, "\xff", "\ufffd"), "\ufffd")
		must.Be(t, utf8.ValidString(got.Alarms[0].Name) && got.Alarms[0].Name == want, "%q came back as %q", text, got.Alarms[0].Name)
	}
}

// TestJSONNumbers: rounded, without a minus before zero, and never in a form
// that JSON does not know.
func TestJSONNumbers(t *testing.T) {
	for x, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", -0.004: "0", -12.344: "-12.34", 1e6: "1000000", 1e300: "1e+300", 12.5: "12.5"} {
		j := object{[]byte("{")}
		j.number("x", x, 2)
		must.Equal(t, strings.TrimPrefix(string(j.b), `{"x":`), want, "%g", x)
	}
}

// twoProbes is a Snapshot of a vessel with two gas probes.
func twoProbes() monitor.Snapshot {
	return monitor.Snapshot{SecondK: 320.5, Sensors: []probe.Reading{{Role: vessel.RoleGas}, {Role: vessel.RolePressure}, {Role: vessel.RoleGas}}}
}

// What a second gas probe reads has a key where there is one: null while it is not
// known or old, and never there without it.
func TestSecondGasProbe(t *testing.T) {
	key := func(s monitor.Snapshot) (value any, there bool) {
		var got map[string]any
		must.Do(t, json.Unmarshal(Append(nil, &s), &got))
		value, there = got["gas_second_c"]
		return value, there
	}
	s := twoProbes()
	v, _ := key(s)
	must.Be(t, v == 47.35, "320.5 K is %v °C", v)
	s.Link.AgeS = 60
	v, there := key(s)
	must.Be(t, there && v == nil, "an old reading is %v, there %v", v, there)
	s.Link.AgeS, s.SecondK = 0, math.NaN()
	v, there = key(s)
	must.Be(t, there && v == nil, "an ill probe is %v, there %v", v, there)
	s.Sensors = s.Sensors[:2]
	v, there = key(s)
	must.Be(t, !there, "without a second probe there is %v", v)
}

// README's section on these lines names every key that a line may have, and its
// example has no other.
func TestReadmeNamesEveryKey(t *testing.T) {
	s := twoProbes()
	s.Stations, s.Alarms, s.Sides.Known = make([]monitor.Station, 1), make([]alarm.Active, 1), true
	keys := map[string]bool{}
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				keys[k] = true
				walk(x)
			}
		case []any:
			for _, x := range v {
				walk(x)
			}
		}
	}
	var line any
	must.Do(t, json.Unmarshal(Append(nil, &s), &line))
	walk(line)

	readme := string(must.Get(os.ReadFile("../../README.md"))(t))
	_, section, found := strings.Cut(readme, "\n## JSON lines\n")
	section, _, ended := strings.Cut(section, "\n## ")
	must.Need(t, found && ended && len(keys) > 40, "README.md has no section on JSON lines, or a line only %d keys", len(keys))
	for _, k := range slices.Sorted(maps.Keys(keys)) {
		must.Be(t, strings.Contains(section, `"`+k+`"`) || strings.Contains(section, "`"+k+"`"), "README.md says nothing of %s", k)
	}
	for _, m := range regexp.MustCompile(`"([a-z_]+)":`).FindAllStringSubmatch(section, -1) {
		must.Be(t, keys[m[1]], "README.md names %s, which no line has", m[1])
	}
}
