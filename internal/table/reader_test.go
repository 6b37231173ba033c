package table

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// told is a CSV text read back from its frames.
type told struct {
	hello    wire.Hello
	samples  []wire.Sample
	entries  []wire.Entry
	channels []vessel.Channel
}

func readTable(t *testing.T, text string, stations ...string) told {
	t.Helper()
	var list []vessel.Station
	for _, s := range stations {
		list = append(list, vessel.Station{Name: s})
	}
	c := must.Get(NewReader("fill.csv", strings.NewReader(text), list))(t)
	out := told{channels: c.Channels()}
	must.Do(t, recording.Each(c, func(f wire.Frame) (err error) {
		switch f.Type {
		case wire.TypeHello:
			err = wire.ParseHello(f.Body, &out.hello)
		case wire.TypeSample:
			var s wire.Sample
			err = wire.ParseSample(f.Body, &s)
			out.samples = append(out.samples, s)
		case wire.TypeEntry:
			var e wire.Entry
			err = wire.ParseEntry(f.Body, &e)
			out.entries = append(out.entries, e)
		default:
			t.Fatalf("frame of type %v in a CSV", f.Type)
		}
		return err
	}))
	return out
}

// A table in the units of design becomes a hello, samples and entries; blank
// cells stay missing and are not zeros. Unit conversions: 1 bar = 100 kPa, 1 psi =
// 6894.757 Pa and t/°C = (t/°F − 32)/1.8 (NIST SP 811, appendix B; from memory).
func TestFramesOfATable(t *testing.T) {
	text := "time_s,pressure_bar,gas_c,ambient_f,wall_sun_c,surface_shade_c,supply_psi,note\n" +
		"10.0,0,20,68,,31.5,3000,start\n" +
		"10.5,1.25,,68,40.125,,,\"a, b\"\n"
	got := readTable(t, text, "sun", "shade")
	must.Be(t, got.hello.N == 5 && got.hello.RateMHz == 2000 && got.hello.Protocol == wire.Version, "hello %+v", got.hello)
	must.Need(t, len(got.samples) == 2 && len(got.entries) == 1, "%d samples, %d entries, want 2 and 1", len(got.samples), len(got.entries))
	const missing = wire.ValueMissing
	supplyPa := int32(math.Round(3000 * 6894.757293168))
	want := [][]int32{{0, 20000, 20000, missing, supplyPa}, {125000, missing, 20000, 40125, missing}}
	for i, s := range got.samples {
		must.Be(t, s.TimeMS == uint32(i)*500, "sample %d at %d ms", i, s.TimeMS)
		for j, v := range want[i] {
			must.Be(t, s.Values[j] == v, "sample %d channel %d = %d, want %d", i, j, s.Values[j], v)
		}
	}
	e := got.entries[0]
	must.Be(t, e.Kind == wire.EntrySurface && e.Station == 1 && e.Value == 31500, "entry %+v", e)
	roles := []vessel.Channel{
		{Index: 0, Role: vessel.RolePressure, Kind: vessel.KindGauge},
		{Index: 1, Role: vessel.RoleGas, Kind: vessel.KindCelsius},
		{Index: 2, Role: vessel.RoleAmbient, Kind: vessel.KindCelsius},
		{Index: 3, Role: vessel.RoleWall, Kind: vessel.KindCelsius, Station: "sun"},
		{Index: 4, Role: vessel.RoleSupply, Kind: vessel.KindGauge},
	}
	for i, ch := range got.channels {
		must.Be(t, ch == roles[i], "channel %d is %+v, want %+v", i, ch, roles[i])
	}
}

// The same fill in other spellings gives the same frames.
func TestSpellings(t *testing.T) {
	plain := "time_s,pressure_bar,gas_c\n0,1,20\n1,2,30\n"
	want := readTable(t, plain)
	for name, text := range map[string]string{
		"byte order mark":     "\xef\xbb\xbf" + plain,
		"CRLF":                strings.ReplaceAll(plain, "\n", "\r\n"),
		"no newline at end":   strings.TrimSuffix(plain, "\n"),
		"semicolons":          strings.ReplaceAll(plain, ",", ";"),
		"tabs":                strings.ReplaceAll(plain, ",", "\t"),
		"quoted":              "\"time_s\",\"pressure_bar\",\"gas_c\"\n\"0\",\"1\",\"20\"\n1,\"2\" , 30\n",
		"comments and blanks": "# a fill\n\ntime_s,pressure_bar,gas_c\n# begins\n0,1,20\n,,\n   \n1,2,30\n",
		"capitals and spaces": " Time_S , Pressure_BAR , Gas_C \n 0 , 1 , 20 \n1,2,30",
		"trailing separators": "time_s,pressure_bar,gas_c,\n0,1,20,\n1,2,30,,\n",
		"milliseconds, kPa":   "time_ms,pressure_kpa,gas_f\n5000,100,68\n6000,200,86\n",
		"minutes, MPa":        "time_min,pressure_mpa,gas_c\n-1,0.1,20\n-0.98333333,0.2,3e1\n",
		"notes":               "note,time_s,note2,pressure_bar,gas_c\nx,0,y,1,20\n\"say \"\"go\"\"\",1,,2,30\n",
	} {
		got := readTable(t, text)
		must.Be(t, got.hello == want.hello && len(got.samples) == 2 && got.samples[0] == want.samples[0] && got.samples[1] == want.samples[1],
			"%s: got %+v\nwant %+v", name, got.samples, want.samples)
	}
}

// Bad tables are refused with the place, the fault and what to type.
func TestErrors(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"unknown column": {"time_s,pressure_bar,gaz_c\n", `fill.csv:1: column "gaz_c": no such column; did you mean gas_c? known columns: time_s time_ms`},
		"no unit":        {"time_s,pressure\n", `column "pressure": no such column; did you mean pressure_`},
		"wrong unit":     {"time_s,pressure_bar,gas_psi\n", `column "gas_psi": no such column; did you mean gas_`},
		"not a station":  {"time_s,pressure_bar,wall_top_c\n", `column "wall_top_c": the vessel profile has no station "top"; did you mean wall_sun_c?`},
		"which station":  {"time_s,pressure_bar,wall_c\n", `column "wall_c": it does not say at which station`},
		"twice":          {"time_s,pressure_bar,pressure_psi\n", `column "pressure_psi": the table already has pressure_bar`},
		"no time":        {"pressure_bar,gas_c\n1,20\n", "fill.csv:1: no column for the time; add one: time_s"},
		"no pressure":    {"time_s,gas_c\n1,20\n", "fill.csv:1: no column for the pressure"},
		"no header":      {"0.0,1.2,20\n", "fill.csv:1: the first line holds numbers"},
		"no rows":        {"time_s,pressure_bar\n", "fill.csv: the table has a header but no row"},
		"empty":          {"\n# nothing\n", "fill.csv: the table is empty"},
		"no name":        {"time_s,,pressure_bar\n", "fill.csv:1: column 2 has no name"},
		"mixed decimals": {"time_s;pressure_bar\n0;1,5\n1;1.5\n", `fill.csv:3: column pressure_bar: "1.5" has a point, and the numbers before it a comma; write all decimals alike, and nothing between thousands`},
		"thousands":      {"time_s;pressure_kpa\n0;999.5\n1;1,000\n", `fill.csv:3: column pressure_kpa: "1,000" has a comma, and the numbers before it a point; write all decimals alike, and nothing between thousands`},
		"both marks":     {"time_s;pressure_kpa\n0;1.000,5\n", `fill.csv:2: column pressure_kpa: "1.000,5" is not a number; write a plain number like 21.5; leave the cell blank where there is no reading`},
		"word":           {"time_s,pressure_bar\n0,open\n", `fill.csv:2: column pressure_bar: "open" is not a number; write a plain number like 21.5; leave`},
		"nan":            {"time_s,pressure_bar\n0,NaN\n", `"NaN" is not a number`},
		"infinite":       {"time_s,pressure_bar\n0,1e999\n", `"1e999" is not a number`},
		"clock":          {"time_s,pressure_bar\n12:00:01,1\n", `column time_s: "12:00:01" is not a number; write the time as seconds`},
		"time backwards": {"time_s,pressure_bar\n0,1\n5,1\n4,1\n", "fill.csv:4: column time_s: 4 is not later than the row before"},
		"time stands":    {"time_s,pressure_bar\n0,1\n0.0004,1\n", "fill.csv:3: column time_s: 0.0004 is not later"},
		"no time cell":   {"time_s,pressure_bar\n,1\n", "fill.csv:2: column time_s: the cell is blank; every row needs its time"},
		"25 days":        {"time_s,pressure_bar\n0,1\n2160000,1\n", "fill.csv:3: column time_s: 2160000 is more than 24 days"},
		"huge time":      {"time_s,pressure_bar\n1e300,1\n", "fill.csv:2: column time_s: 1e300 is too large"},
		"few cells":      {"time_s,pressure_bar,gas_c\n0,1\n", "fill.csv:2: 2 cells, but the header names 3 columns"},
		"many cells":     {"time_s,pressure_bar\n0,1,2\n", "fill.csv:2: 3 cells, but the header names 2 columns"},
		"too cold":       {"time_s,pressure_bar,gas_c\n0,1,-300\n", "fill.csv:2: column gas_c: -300 °C is no temperature"},
		"too hot":        {"time_s,pressure_bar,surface_sun_f\n0,1,9999\n", "fill.csv:2: column surface_sun_f: 9999 °F is no temperature"},
		"too much":       {"time_s,pressure_bar\n0,3000\n", "fill.csv:2: column pressure_bar: 3000 bar is no pressure"},
		"open quote":     {"time_s,pressure_bar\n0,\"1\n", "fill.csv:2: cell 2: a quote is not closed"},
		"behind quote":   {"time_s,pressure_bar\n0,\"1\"2\n", "fill.csv:2: cell 2: something stands behind the closing quote"},
		"long line":      {"time_s,pressure_bar\n0," + strings.Repeat(" ", lineMost) + "1\n", "fill.csv:2: line is longer than 65536 bytes"},
		"bytes":          {"time_s,pressure_bar\n0,1\xff\n", "fill.csv:2: line is not text in UTF-8"},
		"columns":        {"time_s" + strings.Repeat(",note", 70) + "\n", "fill.csv:1: more than 64 cells"},
	} {
		t.Run(name, func(t *testing.T) {
			r, err := NewReader("fill.csv", strings.NewReader(c.text), []vessel.Station{{Name: "sun"}, {Name: "shade"}})
			for err == nil {
				_, err = r.Next()
			}
			var fe *wrongfile.Error
			must.Be(t, errors.As(err, &fe) && strings.Contains(err.Error(), c.want), "got  %v\nwant %s", err, c.want)
		})
	}
}

// A bad row far down does not keep the rows before it from being read, and its
// error stays.
func TestErrorComesInItsPlace(t *testing.T) {
	c := must.Get(NewReader("fill.csv", strings.NewReader("time_s,pressure_bar\n0,1\n1,1\n2,1\n3,x\n"), nil))(t)
	for range 4 { // hello and three rows
		must.Do(t, must.Err(c.Next()))
	}
	for range 2 {
		_, err := c.Next()
		must.Be(t, err != nil && strings.HasPrefix(err.Error(), "fill.csv:5: column pressure_bar"), "error %v", err)
	}
}

// Without a profile the stations are those of the file, in their order.
func TestOwnStations(t *testing.T) {
	c := must.Get(NewReader("fill.csv", strings.NewReader("time_s,pressure_bar,surface_Top_c,wall_low_c,wall_top_c\n0,1,20,,\n"), nil))(t)
	must.Equal(t, strings.Join(c.stations, " "), "top low", "stations")
	got := readTable(t, "time_s,pressure_bar,surface_c\n0,1,20\n")
	must.Be(t, got.entries[0].Value == 20000, "surface_c without a station: %+v", got.entries)
}
