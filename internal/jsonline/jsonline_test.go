package jsonline

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
)

// TestJSONStrings against encoding/json, with what a text may hold.
func TestJSONStrings(t *testing.T) {
	for _, text := range []string{"", "plain", `quote " and \ back`, "line\nand\ttab\x00\x1f\x7f", "°C ± é 漢", "bad \xff utf8 \xc3", "\u2028\u2029"} {
		s := monitor.Snapshot{Alarms: []alarm.Active{{Name: text}}}
		var got struct{ Alarms []struct{ Name string } }
		if err := json.Unmarshal(Append(nil, &s), &got); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		want := strings.ToValidUTF8(strings.ReplaceAll(text, "\xff", "\ufffd"), "\ufffd")
		if !utf8.ValidString(got.Alarms[0].Name) || got.Alarms[0].Name != want {
			t.Errorf("%q came back as %q", text, got.Alarms[0].Name)
		}
	}
}

// TestJSONNumbers: rounded, without a minus before zero, and never in a form
// that JSON does not know.
func TestJSONNumbers(t *testing.T) {
	for x, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", -0.004: "0", -12.344: "-12.34", 1e6: "1000000", 1e300: "1e+300", 12.5: "12.5"} {
		j := object{[]byte("{")}
		j.number("x", x, 2)
		if got := strings.TrimPrefix(string(j.b), `{"x":`); got != want {
			t.Errorf("%g gives %s, want %s", x, got, want)
		}
	}
}
