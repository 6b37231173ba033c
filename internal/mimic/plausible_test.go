package mimic

import (
	"math"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// shadedDay is a scene without sun and wind that begins at 20 °C.
func shadedDay(plan []Segment) Scene {
	return Scene{
		Name: "shaded", Plan: plan, FromAmbient: true, ForS: 1500,
		Set: func(t *Truth) {
			t.Weather = Weather{AmbientK: 293.15, WindMS: 0.5}
			t.Supply.HoseWarmerK = 0
			t.Sensors.BeadM = 3e-3 // a slow bead
		},
	}
}

// A thin-walled vessel of 10 cm (here 3.8 L, invented) filled with air to 41 bar
// in 50 s: the gas rises by about 40 K on a slow bead, well above the outer skin,
// and cools quickly once the fill stops (common practice, no source).
func TestFastFillHeatsTheGasByAboutForty(t *testing.T) {
	sc := shadedDay([]Segment{
		{Do: Open, ForS: 5}, {Do: Fill, RampPaS: 41 * bar / 50, ToPa: 41 * bar}, {Do: Shut, ForS: 300},
	})
	shaded := sc.Set
	sc.Set = func(t *Truth) {
		shaded(t)
		t.InnerDiameterM, t.LengthM, t.VolumeM3 = 0.10, 0.49, 0.0038
	}
	rows := run(t, vessel.Invented(), sc, Options{ForS: 200})
	start := rows[0].BeadK
	peak, skin, full := 0.0, 0.0, 0.0
	for _, r := range rows {
		if r.BeadK > peak {
			peak, skin = r.BeadK, r.Stations[0].OuterK
		}
		if full == 0 && r.PressurePa > 40.9*bar {
			full = r.TimeS
		}
	}
	must.Near(t, "length of the fill", full-5, 50, 2)
	must.Near(t, "rise of the bead", peak-start, 40, 8)
	must.Be(t, peak-skin > 12, "bead %.1f K is not well above the skin %.1f K", peak, skin)
	end := rows[int((full+30)/0.5)]
	must.Be(t, peak-end.BeadK > 0.3*(peak-start), "30 s after the fill the bead has only fallen from %.1f to %.1f K", peak, end.BeadK)
	must.Be(t, end.PressurePa < 40.5*bar, "pressure does not sag: %.2f bar", end.PressurePa/bar)
}

// A slow vent from 41 bar takes the gas to about −24 °C, between −35 and
// −10 °C (common practice, no source).
func TestSlowVentCoolsTheGas(t *testing.T) {
	sc := shadedDay([]Segment{
		{Do: Open, ForS: 5}, {Do: Fill, RampPaS: 41 * bar / 50, ToPa: 41 * bar},
		{Do: Shut, ForS: 600}, {Do: Vent, RampPaS: 12 * barPerMin}, {Do: Open, ForS: 60},
	})
	coldest := math.Inf(1)
	for _, r := range run(t, vessel.Invented(), sc, Options{ForS: 950}) {
		coldest = min(coldest, r.GasK)
	}
	must.Near(t, "coldest gas, °C", coldest-273.15, -24, 9)
}

// Sun on a painted wall for ten minutes at 23 °C: red comes to about 56 °C, 33 K
// above ambient, white to about 30 °C, 7 K above, and the sunny side stands at
// least 10 K above the shady one where the paint is red (common practice, no
// source; absorptances of new red primer 0.89 and new white 0.17 are those of US
// EPA AP-42, from memory).
func TestSunWarmsRedMoreThanWhite(t *testing.T) {
	stand := func(absorptance float64) Row {
		sc := Scene{
			Name: "sun", FromAmbient: true, ForS: 600, Plan: []Segment{{Do: Open, ForS: 600}},
			Set: func(t *Truth) {
				t.Weather = Weather{AmbientK: 296.15, SunWM2: 950, SunHighRad: 1, Diffuse: 0.12, WindMS: 1.6, Gust: 0.2, SkyColderK: 5}
				t.Absorptance = absorptance
			},
		}
		rows := run(t, vessel.Invented(), sc, Options{})
		return rows[len(rows)-1]
	}
	red, white := stand(0.89), stand(0.17)
	must.Near(t, "red above ambient", red.Stations[0].OuterK-red.AmbientK, 33, 4)
	must.Near(t, "white above ambient", white.Stations[0].OuterK-white.AmbientK, 7, 3)
	d := red.Stations[0].OuterK - red.Stations[1].OuterK
	must.Be(t, d > 10, "the sunny side is only %.1f K above the shady side", d)
}

// Inside convection is of the order that Woodfield, Monde & Takano (2008)
// report for hydrogen at 35 MPa: 250 W/(m² K) after filling, 500 while
// filling, in vessels of 39 to 205 L. Properties of hydrogen at 35 MPa and
// 320 K from memory: 22 kg/m³, 14.8 kJ/(kg K), 9.7 µPa s, 0.21 W/(m K).
func TestInsideConvectionIsOfTheReportedOrder(t *testing.T) {
	const rho, cp, mu, k, tempK = 22, 14.8e3, 9.7e-6, 0.21, 320.0
	for _, d := range []float64{0.25, 0.4} {
		for _, diff := range []float64{3, 6, 12} {
			in := insideGas{power: naturalPower, times: 1, condWMK: k, diameterM: d}
			in.rayleighPerK = gravityMS2 / tempK * d * d * d * rho * rho * cp / (mu * k)
			h := in.coefficient(diff, 1)
			must.Be(t, h >= 100 && h <= 500, "h = %.0f W/m²K at %g K in %g m, reported order 250", h, diff, d)
		}
	}
	// The same source's forced part lifts it while filling.
	must.Be(t, jetNu(2e5) > jetNu(1e5) && naturalNu(1e9) < naturalNu(1e10), "convection does not grow")
}

// Outside convection: ASHRAE uses 17 W/(m² K) with radiation for summer walls
// (3.4 m/s wind); a thin cylinder in little wind is of that order.
func TestOutsideConvectionIsOfTheUsualOrder(t *testing.T) {
	radiation := 4 * 0.9 * stefanBoltzman * math.Pow(305, 3)
	for _, wind := range []float64{0.3, 1, 2} {
		h := outsideWM2K(0.0956, wind, 310, 298) + radiation
		must.Be(t, h >= 10 && h <= 30, "h_o = %.1f W/m²K at %g m/s", h, wind)
	}
	// A warm cylinder of 0.1 m in still air: 4 to 7 W/(m² K) (Incropera's
	// range for free convection of gases is 2 to 25; from memory).
	h := outsideWM2K(0.1, 0, 320, 300)
	must.Be(t, h >= 3 && h <= 8, "still air: %.1f W/m²K", h)
}

// The gas settles into layers after a fill, warm above, and the jet mixes it.
func TestGasFormsLayersAtRest(t *testing.T) {
	s := must.Get(NewSimulator(vessel.Invented(), calm(), Options{}))(t)
	s.Step(60)
	filling := s.layerK / (s.gasK - s.wall.meanInK())
	for s.command.Action != Shut {
		s.Step(1)
	}
	s.Step(40)
	resting := s.layerK / (s.gasK - s.wall.meanInK())
	must.Be(t, resting > 1.3*filling && resting < 0.5, "layers are %.3f of the difference to the wall while filling, %.3f at rest", filling, resting)
}

// Water inside takes room: the same pressure needs less gas, and the gas
// gives heat to it.
func TestWaterTakesRoomAndHeat(t *testing.T) {
	at := func(waterM3 float64) (Row, float64) {
		truth := NewTruth(vessel.Invented())
		truth.WaterM3 = waterM3
		s := must.Get(NewSimulator(vessel.Invented(), calm(), Options{Truth: &truth}))(t)
		for s.gaugePa() < 30*bar && s.TimeS() < 200 {
			s.Step(0.5)
		}
		return s.State(), s.water.tempK
	}
	dry, _ := at(0)
	wet, waterK := at(0.002)
	must.Near(t, "gas mass, wet over dry", wet.GasKg/dry.GasKg, (10.2-2)/10.2, 0.03)
	must.Be(t, waterK > 295.5, "the water stayed at %.2f K", waterK)
}
