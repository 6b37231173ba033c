package thermal

import (
	"fmt"
	"math"
	"testing"

	"fillwright/internal/gas"
	"fillwright/internal/must"
	"fillwright/internal/vessel"

	"pgregory.net/rapid"
)

// Light on a tube from one side: the mean of the walls, weighted by the sunny
// share, is the mean round the tube of base + lit max(cos θ, 0), and each angle
// sees its own part of the lit excess. The numbers are those of the notes' table
// of sol-air gains: a reading 30° off shows 87 % of the gain, 45° off 71 %.
func TestSunRoundTheTube(t *testing.T) {
	v := testProfile()
	for i, off := range []float64{30, 45, 90, 180} {
		v.Stations = append(v.Stations[:i], vessel.Station{Name: "place", OffSunDeg: off})
	}
	const n = 3600
	mean := 0.0
	for i := range n {
		mean += math.Max(math.Cos(2*math.Pi*float64(i)/n), 0) / n
	}
	must.Near(t, "sunny share", SunShareMean, mean, 1e-6)
	m := NewModel(v, gas.Ideal(gas.Air), CellsLayered)
	s := m.Uniform(300)
	for j := range s.Wall[SideSun] {
		s.Wall[SideSun][j] = 320
	}
	s.OutK[SideSun] = 320
	p := usualParams()
	for i, want := range []float64{0.87, 0.71, 0, 0} {
		s.GasK = 300
		got := (m.At(&s, &p, i, 1e-3, 0).OuterK - 300) / 20
		must.Near(t, "part of the gain", got, want, 0.005)
	}
}

// With an even film the wall at any angle is the superposition of its sides: a
// third wall that has that angle's own outside is followed to 0.05 K through a
// fill, in which the gas hardly notices it.
func TestSuperposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.Float64Range(0, 1).Draw(t, "part of the sun")
		ramp := rapid.Float64Range(5e3, 80e3).Draw(t, "ramp")
		m := testModel(CellsLayered)
		m.Sides, m.AreaM2 = 2, [SidesMost]float64{0.15, 0.3}
		p := testParams(40, 14)
		s := m.Uniform(300)
		s.OutK = [SidesMost]float64{335, 302}
		one := *m
		one.Sides = 1
		one.AreaM2 = [SidesMost]float64{1e-9}
		alone := one.Uniform(300)
		alone.OutK[SideSun] = part*335 + (1-part)*302
		pa := 101325.0
		for i := 0; i < 100; i++ {
			m.StepOpen(&s, &p, pa, pa+0.5*ramp, 300, 0.5)
			alone.GasK = s.GasK // the same gas before it
			one.StepOpen(&alone, &p, pa, pa+1e-6, 300, 0.5)
			pa += 0.5 * ramp
		}
		for j := 0; j < m.Cells; j++ {
			want := part*s.Wall[SideSun][j] + (1-part)*s.Wall[SideShade][j]
			d := math.Abs(alone.Wall[SideSun][j] - want)
			must.Need(t, d < 0.3, "cell %d: %.3f K, superposed %.3f K", j, alone.Wall[SideSun][j], want)
		}
	})
}

// testProfile is a short tube that nobody wrote a station for.
func testProfile() *vessel.Profile {
	return &vessel.Profile{InnerDiameter: 0.1, Length: 0.4, Volume: 0.003, AmbientPressure: 101325,
		Wall: vessel.Wall{Thickness: 0.003, DensityKgM3: 1500, SpecificHeatJKgK: 1000, ConductivityWMK: 0.5}}
}

// The wall's deviation by layers of gas: nothing while the gas is even, the
// steady balance h s ΔT/(h + h_o) in the end (lag form) with the bend q L/(3k)
// of a slab that takes heat up at one face, the sunniest line as far over as the
// shade is under, and no energy taken from anywhere.
func TestExcess(t *testing.T) {
	m := pinned(CellsLayered)
	p := testParams(40, 10)
	run := func(uneven float64) State {
		q := p
		q[ParUneven] = uneven
		s := m.Uniform(300)
		s.GasK = 330
		for k := 0.0; k < 4000; k += 5 {
			m.StepOpen(&s, &q, 1e6, 1e6, 300, 5)
		}
		return s
	}
	even, uneven := run(0), run(0.2)
	must.Be(t, even.ExcessK == 0, "even gas leaves an excess of %g K", even.ExcessK)
	must.Near(t, "steady excess", uneven.ExcessK, 40*0.2*(330-uneven.Wall[SideSun][0])/50, 0.02)
	must.Be(t, even.Wall == uneven.Wall && even.GasK == uneven.GasK, "the excess has changed the balance")
	hot, _ := m.HottestOf(&uneven, &p, 10, 0)
	plain, _ := m.HottestOf(&even, &p, 10, 0)
	must.Near(t, "hottest", hot-plain, uneven.ExcessK, 1e-9)
}

// Gas beyond the jet's reach is compressed unmixed: without a wall to lose heat
// to it follows T ∝ p^((γ−1)/γ) (isentropic compression, any thermodynamics
// text); at rest it mixes in, and its wall comes down to the rest's. A vessel
// that a jet reaches whole has none.
func TestFarEnd(t *testing.T) {
	m := testModel(CellsLayered)
	m.FarShare = 0.5
	p := testParams(1e-9, 1e-9)
	p[ParFar], p[ParLnMix] = 0.8, math.Log(1e6)
	s := m.Uniform(300)
	for pa := 1e5; pa < 1.8e5-1; pa += 1e3 {
		m.StepOpen(&s, &p, pa, pa+1e3, 300, 0.1)
	}
	must.Near(t, "isentropic", s.FarGasK, 300*math.Pow(1.8, 0.4/1.4), 0.2)
	p = testParams(50, 10)
	p[ParFar], p[ParLnMix] = 0.8, math.Log(8)
	s = m.Uniform(300)
	for pa := 1e5; pa < 20e5-1; pa += 5e4 {
		m.StepOpen(&s, &p, pa, pa+5e4, 300, 1)
	}
	must.Be(t, s.FarGasK > s.GasK+2 && s.FarK > 0.5 && s.BeadK < s.GasK,
		"filling: far gas %.1f, gas %.1f, bead %.1f, far wall %.1f K over the rest", s.FarGasK, s.GasK, s.BeadK, s.FarK)
	for pa, i := 20e5, 0; i < 3000; i++ {
		pa = m.StepClosed(&s, &p, pa, 300, 1).PressurePa
	}
	must.Near(t, "at rest", s.FarGasK, s.GasK, 0.1)
	must.Near(t, "wall at rest", s.FarK, 0, 0.1)
	m.FarShare = 0
	s = m.Uniform(300)
	for pa := 1e5; pa < 20e5-1; pa += 5e4 {
		m.StepOpen(&s, &p, pa, pa+5e4, 300, 1)
	}
	must.Be(t, s.FarK == 0, "a vessel that the jet reaches whole has a far end %.1f K hotter", s.FarK)
}

// What can be read off a wall: a wet cloth, dark paint in the sun, gas that is
// hotter than either; not a slip of the unit.
func TestReadingPossible(t *testing.T) {
	c := func(x float64) float64 { return x + 273.15 }
	for _, r := range []struct {
		readC, ambientC, gasC float64
		want                  bool
	}{
		{62, 35, 30, true}, {20, 35, 40, true}, {95, 35, 30, true}, // 95 °F typed for °C is hot, and counts
		{190, 35, 30, false}, {-40, 20, 25, false}, {130, 35, 128, true}, {293, 20, 20, false},
	} {
		must.Equal(t, ReadingPossible(c(r.readC), c(r.ambientC), c(r.gasC)), r.want, "%+v", r)
	}
	must.Be(t, !ReadingPossible(math.NaN(), 300, 300) && ReadingPossible(310, 300, math.NaN()), "a reading that is unknown, or gas that is")
}

// Layers lie round a lying vessel, hot on top, of which the sunniest line shows its
// share, and along a standing one, before both sides and unseen by what is read between.
func TestAttitude(t *testing.T) {
	v := testProfile()
	v.Stations = []vessel.Station{{Name: "sun"}, {Name: "shade", OffSunDeg: 180}}
	p := testParams(40, 10)
	hottest := func(a vessel.Attitude) (whole, sun, shade float64) {
		v.Attitude = a
		m := NewModel(v, gas.Ideal(gas.Air), CellsLayered)
		s := m.Uniform(300)
		s.ExcessK = 3
		whole, _ = m.HottestOf(&s, &p, 10, 0)
		return whole - 300, m.At(&s, &p, 0, 10, 0).HottestK - 300, m.At(&s, &p, 1, 10, 0).HottestK - 300
	}
	whole, sun, shade := hottest(vessel.AttitudeLying)
	must.Near(t, "lying", whole, 3*math.Hypot(1, topCot), 1e-9)
	must.Near(t, "lying, sun", sun, 3, 1e-9)
	must.Near(t, "lying, shade", shade, -3, 1e-9)
	whole, sun, shade = hottest(vessel.AttitudeStanding)
	must.Near(t, "standing", whole, 3, 1e-9)
	must.Near(t, "standing, sun", sun, 0, 1e-9)
	must.Near(t, "standing, shade", shade, 0, 1e-9)
}

// The hottest line lies between the sunniest one and the top, where the hot gas is. The
// truth is the greatest of a thousand lines round a tube on which the sun stands 45°
// high: the lit part goes by the angle from the sun, layers by the height. Cold gas on
// top is none: it falls.
func TestHottestLineLiesBetweenSunAndTop(t *testing.T) {
	m := testModel(CellsLayered)
	m.Sides, m.AreaM2 = SidesMost, [SidesMost]float64{0.15, 0.3}
	p := testParams(1e-3, 10) // no heat goes through the wall to bend it
	for _, c := range []struct{ litK, topK float64 }{{0, 4}, {3, 4}, {10, 4}, {20, 4}, {20, 0}, {3, -4}} {
		const n = 1000
		sunHigh := math.Atan(1 / topCot)
		most, sunniest := math.Inf(-1), c.litK+c.topK*math.Sin(sunHigh)
		for i := range n {
			up := 2 * math.Pi * float64(i) / n
			most = max(most, c.litK*max(math.Cos(up-sunHigh), 0)+c.topK*math.Sin(up))
		}
		if c.topK < 0 {
			most = max(sunniest, -c.topK*math.Sin(sunHigh))
		}
		s := m.Uniform(300)
		for j := range s.Wall[SideSun] {
			s.Wall[SideSun][j] += c.litK
		}
		s.OutK[SideSun] += c.litK
		s.GasK, s.ExcessK = 0.5*(s.Wall[SideSun][0]+s.Wall[SideShade][0]), c.topK*math.Sin(sunHigh)
		got, _ := m.HottestOf(&s, &p, 1e-6, 0)
		must.Near(t, fmt.Sprintf("lit by %g K, %g K on top", c.litK, c.topK), got-300, most, 0.02)
	}
}
