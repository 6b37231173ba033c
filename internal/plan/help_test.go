package plan

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// plover is the invented vessel, with some of its lines replaced.
func plover(t must.Test, change ...string) *vessel.Profile {
	t.Helper()
	v := must.Get(vessel.Parse("plover.toml", []byte(strings.NewReplacer(change...).Replace(vessel.Example()))))(t)
	return v
}

// say is a day of which something is said: key, text, key, text.
func say(t must.Test, pairs ...string) Day {
	t.Helper()
	d := NewDay()
	for i := 0; i < len(pairs); i += 2 {
		f, ok := FieldOf(pairs[i])
		must.Need(t, ok, "%v %v", "no field", pairs[i])
		must.Do(t, f.Set(&d, pairs[i+1]))
	}
	return d
}

// sunny is a warm day on which the wall was read.
func sunny(t must.Test, more ...string) Day {
	return say(t, append([]string{"air", "30 °C", "sun", "850 W/m²", "wind", "2 m/s", "wall-sun", "39 °C"}, more...)...)
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	t.Logf("%s: %.6g, want %.6g ± %.2g", what, got, want, within)
	must.Be(t, math.Abs(got-want) <= within, "%s is %.5g, want %.5g ± %.2g", what, got, want, within)
}

func celsius(k float64) float64 { return k - 273.15 }

func barMinOf(paS float64) float64 { return quantity.Ramp(paS).BarMin() }
