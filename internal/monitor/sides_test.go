package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/bend"
	"fillwright/internal/must"
)

// pliesProfile is the stand's wall laid up as pairs alone, which are as stiff
// along the vessel as the resin is. The stand's resin softens from 150 to 160 °C.
const pliesProfile = `
[[ply]]
form = "wound"
material = "carbon-epoxy"
angle_deg = 55
thickness = "2.8 mm"
`

// sunny stands on the pad, vented, with a wall sensor on either side.
func sunny(tb testing.TB, onsetC float64, more string) *stand {
	s := standOn(tb, testProfile(tb, onsetC, more+skinChannels))
	s.hello()
	s.run(20, 0)
	return s
}

// warmSide makes a Snapshot's sides those of a warm and a cool one.
func (s *stand) warmSide(warmK, coolK, bandK float64) {
	sides := &s.m.snap.Sides
	sides.Warm = bend.Place{Name: "sunny", InnerK: warmK, OuterK: warmK, BandK: bandK}
	sides.Cool = bend.Place{Name: "shaded", InnerK: coolK, OuterK: coolK, BandK: bandK}
}

// The caution comes while under pressure when the warm side's stiffness falls
// under the limit, in words with both sides and the limit; it goes when the side
// has cooled past the dead-band or the vessel is vented, and not when the sides
// are no longer known.
func TestSideSoft(t *testing.T) {
	t.Parallel()
	s := sunny(t, onsetFarC, pliesProfile)
	m := s.m
	look := func(under bool, forS float64) bool {
		for range int(forS) {
			m.snap.TimeS++
			m.snap.PressurePa = 30e5
			m.judgeSides(under)
			m.alarms.Advance(m.snap.TimeS)
		}
		m.snap.Alarms = m.alarms.Active()
		return present(&m.snap, alarm.SideSoft)
	}
	s.warmSide(405, 380, 1)
	must.Be(t, !look(true, 5), "at a ratio of %.2f", m.snap.Sides.Ratio)
	s.warmSide(430, 380, 1)
	must.Need(t, look(true, 3), "none at a ratio of %.2f", m.snap.Sides.Ratio)
	a := find(&m.snap, alarm.SideSoft)
	if a.Level != alarm.LevelCaution || !strings.Contains(a.Cause.String(), "sunny side keeps") || !strings.Contains(a.Cause.String(), "shaded side, limit 85 %") {
		t.Errorf("%+v", a)
	}
	s.warmSide(math.NaN(), 380, 1)
	must.Be(t, look(true, 10) && math.IsNaN(m.snap.Sides.Ratio) && math.IsNaN(m.snap.Sides.Bow.SagM.Value),
		"not knowing cleared it: %+v", m.snap.Sides)
	s.warmSide(430, 380, 1)
	must.Be(t, !look(false, 10), "it stays without pressure")
	must.Be(t, look(true, 3), "it does not come again")
	s.warmSide(390, 380, 1)
	must.Be(t, !look(true, 10), "it stays at a ratio of %.2f", m.snap.Sides.Ratio)
}

// Doubt of the warm side's temperature brings the caution earlier.
func TestSideSoftByDoubt(t *testing.T) {
	t.Parallel()
	s := sunny(t, onsetFarC, pliesProfile)
	ratio := func(bandK float64) float64 {
		s.warmSide(420, 380, bandK)
		s.m.judgeSides(true)
		return s.m.snap.Sides.Ratio
	}
	sure, unsure := ratio(0), ratio(5)
	must.Be(t, unsure < sure, "%.3f sure, %.3f unsure", sure, unsure)
}

// Without plies nothing is said of the sides, and no alarm is ever raised.
func TestNoPliesNoSides(t *testing.T) {
	t.Parallel()
	s := filling(t, onsetFarC)
	must.Be(t, !s.last.Sides.Known, "%+v", s.last.Sides)
}

// In a whole fill the sides of the Snapshot are known once the walls are, the
// warm one is named, and the bow's band holds its value.
func TestSidesInAFill(t *testing.T) {
	t.Parallel()
	s := sunny(t, onsetFarC, pliesProfile)
	s.run(40, 20*barPerMin)
	got := s.last.Sides
	must.Need(t, got.Known && got.Ratio > 0.3 && got.Ratio <= 1 && got.Warm.Name != "" && got.Cool.Name != got.Warm.Name, "%+v", got)
	f := got.Bow.SagM
	must.Be(t, f.Low <= f.Value && f.Value <= f.High, "%+v", f)
	if got := s.silence(250, 20_000).Sides; !math.IsNaN(got.Bow.SagM.Value) {
		t.Errorf("after 20 s of silence: %+v", got)
	}
}
