package vessel

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// withStations is the example profile with stations of one's own.
func withStations(t *testing.T, stations string) *Profile {
	t.Helper()
	text := Example()
	from, to := strings.Index(text, "[[station]]"), strings.Index(text, "# Channels of")
	bare := text[:from] + stations + "\n" + text[to:]
	for _, wall := range []string{"sun", "shade"} {
		i := strings.Index(bare, "[[channel]]\nindex = "+map[string]string{"sun": "2", "shade": "3"}[wall])
		j := i + strings.Index(bare[i+2:], "[[channel]]") + 2
		bare = bare[:i] + bare[j:]
	}
	return must.Get(Parse("stations.toml", []byte(bare)))(t)
}

// Where a station lies follows from its name, unless it says so itself; a lone
// one with a name of its own lies anywhere.
func TestOffSun(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		stations string
		off      []float64
		end      End
	}{
		{"[[station]]\nname = \"sun\"\n[[station]]\nname = \"shade\"", []float64{0, 180}, EndNone},
		{"[[station]]\nname = \"belly\"", []float64{nan}, EndNone},
		{"[[station]]\nname = \"sun\"\noff_sun_deg = 30\n[[station]]\nname = \"top\"\noff_sun_deg = 45.5", []float64{30, 45.5}, EndNone},
		{"[[station]]\nname = \"tip\"\noff_sun_deg = 0\nend = \"far\"", []float64{0}, EndFar},
	} {
		p := withStations(t, c.stations)
		for i, want := range c.off {
			st := &p.Stations[i]
			if got := st.OffSunDeg; got != want && !(math.IsNaN(got) && math.IsNaN(want)) || st.OffSunKnown() == math.IsNaN(want) || st.End != c.end {
				t.Errorf("%q: station %d lies %g° off at end %q, want %g° and %q", c.stations, i, got, st.End, want, c.end)
			}
		}
	}
}

// A share that somebody writes himself is that of the sunny station; without
// one a beam on a tube decides.
func TestSunShare(t *testing.T) {
	p := withStations(t, "[[station]]\nname = \"shade\"\narea_fraction = 0.75\n[[station]]\nname = \"sun\"\narea_fraction = 0.25")
	if got := p.SunShare(); got != 0.25 {
		t.Errorf("share %g, want 0.25", got)
	}
	if got := withStations(t, "[[station]]\nname = \"sun\"").SunShare(); !math.IsNaN(got) {
		t.Errorf("no share was written, and it is %g", got)
	}
}

// Two gas probes are read where each says which end it sits at.
func TestTwoGasProbes(t *testing.T) {
	second := "\n[[channel]]\nindex = 6\nrole = \"gas\"\nkind = \"K\"\n"
	must.Refuse(t, must.Err(Parse("two.toml", []byte(Example()+second))), "two gas probes lie at two ends")
	p, err := Parse("two.toml", []byte(Example()+second+"end = \"far\"\n"))
	must.Be(t, err == nil && p.Channels[len(p.Channels)-1].End == EndFar, "two probes at two ends: %v", err)
}
