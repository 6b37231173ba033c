package plan

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

// failer is a test, or a property's draw.
type failer interface {
	Helper()
	Fatal(...any)
}

// plover is the invented vessel, with some of its lines replaced.
func plover(t failer, change ...string) *vessel.Profile {
	t.Helper()
	v, err := vessel.Parse("plover.toml", []byte(strings.NewReplacer(change...).Replace(vessel.Example())))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// say is a day of which something is said: key, text, key, text.
func say(t failer, pairs ...string) Day {
	t.Helper()
	d := NewDay()
	for i := 0; i < len(pairs); i += 2 {
		f, ok := FieldOf(pairs[i])
		if !ok {
			t.Fatal("no field", pairs[i])
		}
		if err := f.Set(&d, pairs[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	return d
}

// sunny is a warm day on which the wall was read.
func sunny(t failer, more ...string) Day {
	return say(t, append([]string{"air", "30 °C", "sun", "850 W/m²", "wind", "2 m/s", "wall-sun", "39 °C"}, more...)...)
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	t.Logf("%s: %.6g, want %.6g ± %.2g", what, got, want, within)
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.5g, want %.5g ± %.2g", what, got, want, within)
	}
}

func celsius(k float64) float64 { return k - 273.15 }

func barMinOf(paS float64) float64 { return quantity.Ramp(paS).BarMin() }
