package monitor

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/must"
	"fillwright/internal/probe"
)

// Without a pressure sensor a shut vessel is followed by the gas probe alone,
// with a wider band, and the screen is told; advice stays withdrawn. When the
// sensor is back, all is as before.
func TestWithoutPressureOnAHold(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 40)
	band, limit := s.last.BandK, s.last.Outlook.CoastPeakK
	s.dead[atPressure] = true
	s.run(10, 0)
	wide := s.last.BandK
	s.run(80, 0)
	got := s.last
	must.Be(t, got.Outlook.CoastPeakK != limit && !math.IsNaN(got.Outlook.CoastPeakK), "the outlook stands still at %v", limit)
	if d := math.Abs(got.GasK - s.state.GasK); !(d <= got.GasBandK+0.2) || math.IsNaN(got.HottestK) {
		t.Errorf("gas %.2f K, true %.2f, band %.2f; hottest %.1f", got.GasK, s.state.GasK, got.GasBandK, got.HottestK)
	}
	must.Be(t, strings.Contains(got.Model.Widened.String(), "by the gas probe alone") && wide > 1.2*band,
		"widened %q, band %.2f after %.2f K", got.Model.Widened, wide, band)
	must.Be(t, !present(&got, alarm.Blind) && strings.Contains(got.Advice.Reason.String(), "no trustworthy pressure"),
		"advice %q, alarms %+v", got.Advice.Reason, got.Alarms)
	s.dead[atPressure] = false
	s.run(20, 0)
	must.Be(t, !strings.Contains(s.last.Model.Widened.String(), "probe alone") && math.Abs(s.last.GasK-s.state.GasK) <= s.last.GasBandK+0.2,
		"with the sensor back: %q, gas %.2f K, true %.2f", s.last.Model.Widened, s.last.GasK, s.state.GasK)
}

// Without a pressure sensor nothing that a fill does to the wall is known: a
// second later no estimate is shown, the fill is blind three seconds later, an
// abort to vent that stood goes on standing, and with the sensor back all is
// known again.
func TestWithoutPressureInAFill(t *testing.T) {
	t.Parallel()
	s := standOn(t, testProfile(t, 50, skinChannels))
	s.ambientK = 310
	s.state = s.model.Uniform(s.ambientK)
	s.hello()
	s.run(10, 0)
	for s.run(1, 60*barPerMin); !present(&s.last, alarm.VentAdvised); s.run(1, 60*barPerMin) {
		must.Need(t, s.gaugePa() <= 48e5, "the stand never got hot enough")
	}
	s.dead[atPressure] = true
	s.run(1.4, 10*barPerMin)
	got := s.last
	for what, x := range map[string]float64{"margin": got.MarginK, "hottest": got.HottestK, "gas": got.GasK, "mass": got.GasMassKg, "ramp": got.RampPaS,
		"coast": got.Outlook.CoastPeakK, "limit": got.Outlook.ToLimitS, "inner": got.Stations[0].InnerK, "advised": got.Advice.RampPaS} {
		must.Be(t, math.IsNaN(x) || what == "advised" && x == 0, "%s is still %v", what, x)
	}
	must.Be(t, !math.IsNaN(got.Stations[0].SensorK), "the sensor on the skin was withdrawn too")
	s.run(4, 10*barPerMin)
	must.Be(t, present(&s.last, alarm.Blind) && present(&s.last, alarm.VentAdvised), "alarms %+v", s.last.Alarms)
	s.dead[atPressure] = false
	s.run(2, 10*barPerMin)
	if got := s.last; math.IsNaN(got.MarginK) || math.IsNaN(got.Outlook.CoastPeakK) || math.IsNaN(got.RampPaS) {
		t.Errorf("with the sensor back: margin %v, coast %v, ramp %v", got.MarginK, got.Outlook.CoastPeakK, got.RampPaS)
	}
}

// Without the gas probe a hold goes on by the gas balance, with a wider band.
func TestWithoutBeadOnAHold(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 40)
	band := s.last.BandK
	s.dead[atGas] = true
	s.run(60, 0)
	got := s.last
	if d := math.Abs(got.GasK - s.state.GasK); !(d <= got.GasBandK+0.5) || !strings.Contains(got.Model.Widened.String(), "by pressure alone") || !(got.BandK > 1.1*band) {
		t.Errorf("gas %.2f K, true %.2f, band %.2f (before %.2f); widened %q", got.GasK, s.state.GasK, got.BandK, band, got.Model.Widened)
	}
}

// A doubted sensor is told as ill with its channel, though its value is used.
func TestDoubtIsTold(t *testing.T) {
	t.Parallel()
	s := held(t, onsetFarC, 40)
	s.run(60, 0)
	s.see = func(got Snapshot) {
		for _, r := range got.Sensors {
			must.Need(t, r.Doubt != probe.HealthNoisy || !math.IsNaN(r.Value), "a doubted value was taken away")
		}
	}
	s.sigmaK = 2.5
	s.run(20, 0)
	a := find(&s.last, alarm.SensorIll)
	must.Be(t, a != nil && strings.Contains(a.Cause.String(), probe.HealthNoisy.String()), "sensor-ill is %+v", a)
}

// The log says which offsets are taken off, or that none is for this logger.
func TestOffsetsAreTold(t *testing.T) {
	t.Parallel()
	for board, want := range map[uint64]string{7: "offsets taken off: channel 1 +6.00 °C of 2026-05-01", 8: "none of the offsets is for this logger, 0x7"} {
		s := newStand(t, onsetFarC)
		s.m = New(Config{Profile: s.profile, Offsets: &probe.Offsets{List: []probe.Offset{{Board: board, Channel: 1, Offset: 6, Date: "2026-05-01"}}}})
		s.hello()
		got := eventsOf(&s.last, EventLink)
		must.Be(t, len(got) == 1 && got[0] == want, "board %d: %q, want %q", board, got, want)
	}
}
