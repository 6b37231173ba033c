package screen

import (
	"encoding/json"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"fillwright/internal/jsonline"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// shape is the fields of a JSON value in their order, without the values.
func shape(t *testing.T, text string) []string {
	t.Helper()
	d := json.NewDecoder(strings.NewReader(text))
	var out []string
	var walk func(path string)
	walk = func(path string) {
		tok, err := d.Token()
		must.Need(t, err == nil, "%v in %s", err, text)
		switch tok {
		case json.Delim('{'):
			for d.More() {
				name := must.Get(d.Token())(t)
				out = append(out, path+name.(string))
				walk(path + name.(string) + ".")
			}
		case json.Delim('['):
			for d.More() {
				walk(path)
			}
		default:
			return
		}
		must.Do(t, must.Err(d.Token()))
	}
	walk("")
	return out
}

// TestJSONKeepsTheAgreedFields, in their order: testdata/agreed.json is the
// agreed object, with two stations and one alarm.
func TestJSONKeepsTheAgreedFields(t *testing.T) {
	agreed := must.Get(os.ReadFile("testdata/agreed.json"))(t)
	s := moment(82)
	easing(&s)
	got := string(jsonline.Append(nil, &s))
	want := shape(t, string(agreed))
	must.Be(t, reflect.DeepEqual(shape(t, got), want), "fields are\n%v, want\n%v", shape(t, got), want)
	must.Golden(t, "json-ease", got+"\n", *update)
}

// TestJSONValues against the Snapshot they came from.
func TestJSONValues(t *testing.T) {
	s := moment(82)
	easing(&s)
	var got struct {
		T        float64 `json:"t_s"`
		Phase    string
		Pressure float64 `json:"pressure_bar"`
		Ramp     float64 `json:"ramp_bar_min"`
		Gas      float64 `json:"gas_c"`
		Stations []struct {
			Name  string
			Outer float64 `json:"outer_c"`
		}
		Advice struct {
			Verdict string
			Reason  string
			Ramp    float64 `json:"ramp_bar_min"`
		}
		ToLimit *float64 `json:"to_limit_s"`
		Hold    *float64 `json:"hold_limit_s"`
		Leak    struct {
			Rate *float64 `json:"g_min"`
		}
		Alarms []struct{ Name, Level, State string }
	}
	must.Do(t, json.Unmarshal(jsonline.Append(nil, &s), &got))
	near := func(what string, got, want, within float64) {
		must.Be(t, math.Abs(got-want) <= within, "%s is %g, want %g", what, got, want)
	}
	near("t", got.T, 82, 0)
	near("pressure", got.Pressure, s.PressurePa/1e5, 0.0005)
	near("ramp", got.Ramp, 44.6, 0.005)
	near("gas", got.Gas, quantity.Temperature(s.GasK).C(), 0.005)
	near("outer", got.Stations[0].Outer, quantity.Temperature(s.Stations[0].OuterK).C(), 0.005)
	near("advised", got.Advice.Ramp, 22.5, 0.005)
	near("to limit", *got.ToLimit, 9, 0.05)
	must.Be(t, got.Phase == "filling" && got.Advice.Verdict == "ease" && got.Advice.Reason == s.Advice.Reason.String() && got.Stations[1].Name == "shade", "%+v", got)
	must.Be(t, got.Hold == nil && got.Leak.Rate == nil, "never and not known must be null")
	a := got.Alarms[0]
	must.Be(t, a.Name == "ramp-high" && a.Level == "caution" && a.State == "unacknowledged", "%+v", a)
}

// TestJSONUnknownIsNull: of a Snapshot that knows nothing no number is left
// but the session time.
func TestJSONUnknownIsNull(t *testing.T) {
	for _, x := range []float64{nan, math.Inf(1), math.Inf(-1)} {
		s := monitor.Unknown()
		s.PressurePa, s.Outlook.ToLimitS, s.Outlook.HoldLimitS = x, x, x
		line := string(jsonline.Append(nil, &s))
		must.Need(t, json.Valid([]byte(line)), "not JSON: %s", line)
		rest := strings.Replace(line, `"t_s":0`, "", 1)
		must.Be(t, !strings.ContainsAny(rest, "0123456789"), "a number in %s", line)
	}
}
