package plan

import (
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
)

// TestFieldsRoundTrip proves that each field reads its own example, prints it, and
// reads what it printed as the same.
func TestFieldsRoundTrip(t *testing.T) {
	for _, f := range Fields() {
		d := NewDay()
		must.Equal(t, f.Text(&d, 0), "", "%s: of a day of which nothing is said", f.Key)
		if err := f.Set(&d, f.Example); err != nil {
			t.Errorf("%s: %v", f.Key, err)
			continue
		}
		text := f.Text(&d, 0)
		again := NewDay()
		if err := f.Set(&again, text); err != nil || text == "" || f.Text(&again, 0) != text {
			t.Errorf("%s: %q reads as %q, %v", f.Key, text, f.Text(&again, 0), err)
		}
		if f.Step != nil {
			f.Step(&d, 1)
			f.Step(&d, -2)
			err := f.Set(&again, f.Text(&d, quantity.SystemPSIF))
			must.Be(t, err == nil, "%s after steps: %v", f.Key, err)
		}
	}
}

// TestFieldsRefuse proves that what can't be is refused, with what would do.
func TestFieldsRefuse(t *testing.T) {
	for _, c := range [][2]string{
		{"place", "95, 10"}, {"place", "40, 190"}, {"place", "here"}, {"place", "NaN, 3"}, {"date", "2026-02-30"}, {"date", "14.7.2026"}, {"date", "2026-13-01"}, {"date", "2026-07-14x"},
		{"humidity", "140 %"}, {"humidity", "-1 %"}, {"humidity", "moist"}, {"absorptance", "1.4"}, {"absorptance", "dark"}, {"absorptance", "NaN"},
		{"air", "31"}, {"air", "95 °C"}, {"air", "-300 °C"}, {"wind", "3"}, {"wind", "200 m/s"}, {"wind", "-1 m/s"}, {"sun", "2000 W/m²"}, {"sun", "bright"},
		{"time", "25:00"}, {"time", "12:75"}, {"time", "noon"}, {"utc", "+30"}, {"heading", "400"}, {"stand", "3"}, {"stand", "200 h"},
		{"target", "-3 bar"}, {"target", "0 bar"}, {"target", "0.1 bar"}, {"supply", "200"}, {"supply-volume", "0 L"}, {"water", "-1 L"}, {"tested", "60 bar"}, {"tested", "60 bar at 18"},
		{"air-day", "6:00"}, {"air-day", "15:00 30 °C, 6:00 20 °C"}, {"supply-gas", "500 °C"}, {"wall-sun", "hot"},
	} {
		f, _ := FieldOf(c[0])
		d := NewDay()
		must.Refuse(t, f.Set(&d, c[1]), "expected")
	}
}

// TestSound proves that a day whose parts do not go together is refused.
func TestSound(t *testing.T) {
	v := plover(t)
	for _, c := range []struct {
		d    Day
		want string // "" : sound
	}{
		{say(t), ""}, {say(t, "sun", "clear"), "place"}, {say(t, "sun", "clear", "place", "47, 9"), "date"},
		{say(t, "sun", "clear", "place", "47, 9", "date", "2026-07-14"), "time of day"},
		{say(t, "sun", "clear", "place", "47, 9", "date", "2026-07-14", "time", "2:00"), "under the horizon"},
		{say(t, "sun", "clear", "place", "47, 9", "date", "2026-07-14", "time", "14:00"), ""},
		{say(t, "target", "60 bar"), "pressure limit"}, {say(t, "water", "10 L"), "no room for gas"},
		{say(t, "air", "20 °C", "wall-sun", "150 °C"), "can't be in air"}, {say(t, "air-day", "6:00 18 °C, 15:00 33 °C"), "hour of the fill"},
	} {
		s := NewSetup(v, nil, c.d)
		err := s.Sound()
		must.Be(t, (err == nil) == (c.want == "") && (err == nil || strings.Contains(err.Error(), c.want)),
			"%s: %v, want %q", c.d.Said(0), err, c.want)
	}
}

// TestKept proves that a day's file reads as it was written, that a plan of another
// vessel is refused, and that what is wrong in the file is told with its line.
func TestKept(t *testing.T) {
	v := plover(t)
	d := sunny(t, "tested", "60 bar at 18 °C", "time", "14:00", "supply", "200 bar", "air-day", "6:00 18 °C, 15:00 33 °C")
	p := Make(NewSetup(v, nil, d))
	text := Format(&p)
	k := must.Get(ParseKept("day.toml", text))(t)
	must.Be(t, k.Day.Said(0) == p.Setup.Day.Said(0) && k.CheckOn("day.toml", v) == nil, "read as %s\nwritten %s", k.Day.Said(0), p.Setup.Day.Said(0))
	near(t, "ramp, bar/min", barMinOf(k.RampPaS), barMinOf(p.Answer.RampPaS), 1e-4)
	other := plover(t, `name = "Plover"`, `name = "Dunlin"`)
	must.Refuse(t, k.CheckOn("day.toml", other), "plan for Plover, not for Dunlin")
	for _, c := range [][2]string{{`air = "30.0 °C"`, `air = "90 °C"`}, {`wind = "2.0 m/s"`, `wind = 2`}, {`vessel = "Plover"`, ``}, {`[day]`, `[days]`}} {
		bad := strings.Replace(string(text), c[0], c[1], 1)
		must.Refuse(t, must.Err(ParseKept("day.toml", []byte(bad))), "day.toml")
	}
}
