// Package jsonline prints a Snapshot as one line of JSON.
package jsonline

import (
	"math"
	"strconv"
	"unicode/utf8"

	"fillwright/internal/monitor"
	"fillwright/internal/phase"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

// object appends the fields of one object. Unknown and infinite numbers are
// null, never 0. It is written by hand because a replay prints many.
type object struct{ b []byte }

const (
	zeroC = 273.15 // K
)

// Append appends a Snapshot as one JSON object, without a line end.
// Pressures are bar gauge, ramps bar/min, temperatures °C, always; numbers are
// rounded to what a sensor can mean, so that lines stay short and stable.
func Append(dst []byte, s *monitor.Snapshot) []byte {
	if s.Link.AgeS > probe.StaleDefaultS && !math.IsInf(s.Link.AgeS, 1) {
		// Old numbers must not pass for the present.
		old := *s
		forget(&old)
		s = &old
	}
	j := object{append(dst, '{')}
	j.number("t_s", s.TimeS, 3)
	if s.Phase == phase.Unknown {
		j.name("phase")
		j.b = append(j.b, "null"...)
	} else {
		j.text("phase", s.Phase.String())
	}
	j.number("pressure_bar", s.PressurePa/1e5, 3)
	j.number("ramp_bar_min", s.RampPaS*60/1e5, 2)
	j.number("gas_c", s.GasK-zeroC, 2)
	if secondProbe(s) {
		j.number("gas_second_c", s.SecondK-zeroC, 2)
	}
	j.stations(s)
	j.number("hottest_c", s.HottestK-zeroC, 2)
	j.number("band_c", s.BandK, 2)
	j.number("margin_c", s.MarginK, 2)
	j.advice(s)
	o := &s.Outlook
	j.number("coast_peak_c", o.CoastPeakK-zeroC, 2)
	j.number("to_limit_s", o.ToLimitS, 1)
	j.number("settle_bar", o.SettlePa/1e5, 3)
	j.number("hold_limit_s", o.HoldLimitS, 0)
	j.number("gas_mass_g", s.GasMassKg*1e3, 2)
	j.name("leak")
	j.b = append(j.b, '{')
	j.number("g_min", s.Leak.RateKgS*6e4, 3)
	j.number("band_g_min", s.Leak.BandKgS*6e4, 3)
	j.name("significant")
	j.b = strconv.AppendBool(j.b, s.Leak.Significant)
	j.b = append(j.b, '}')
	j.sides(s)
	j.alarms(s)
	return append(j.b, '}')
}

// forget makes unknown what was estimated from readings that are old by now.
// Alarms and the advice stay: they say so themselves.
func forget(s *monitor.Snapshot) {
	nan := math.NaN()
	s.PressurePa, s.RampPaS, s.GasK, s.SecondK, s.HottestK, s.BandK, s.MarginK, s.GasMassKg = nan, nan, nan, nan, nan, nan, nan, nan
	o := &s.Outlook
	o.CoastPeakK, o.ToLimitS, o.SettlePa, o.HoldLimitS = nan, nan, nan, nan
	s.Leak.RateKgS, s.Leak.BandKgS, s.Leak.Significant = nan, nan, false
	s.Sides = s.Sides.Unknown()
	stations := append([]monitor.Station(nil), s.Stations...)
	for i := range stations {
		st := &stations[i]
		st.OuterK, st.InnerK, st.BandK = nan, nan, nan
	}
	s.Stations = stations
}

// secondProbe tells whether there are two gas probes, well or ill.
func secondProbe(s *monitor.Snapshot) bool {
	probes := 0
	for i := range s.Sensors {
		if s.Sensors[i].Role == vessel.RoleGas {
			probes++
		}
	}
	return probes > 1
}

func (j *object) stations(s *monitor.Snapshot) {
	j.name("stations")
	j.b = append(j.b, '[')
	for i := range s.Stations {
		st := &s.Stations[i]
		j.open(i)
		j.text("name", st.Name)
		j.number("outer_c", st.OuterK-zeroC, 2)
		j.number("inner_c", st.InnerK-zeroC, 2)
		j.number("band_c", st.BandK, 2)
		j.b = append(j.b, '}')
	}
	j.b = append(j.b, ']')
}

func (j *object) advice(s *monitor.Snapshot) {
	a := &s.Advice
	j.name("advice")
	j.b = append(j.b, '{')
	j.text("verdict", a.Verdict.String())
	j.text("reason", a.Reason.String())
	j.number("ramp_bar_min", a.RampPaS*60/1e5, 2)
	then := a.Then
	if !then.Known() {
		then.RampPaS, then.FromPa = math.NaN(), math.NaN()
	}
	j.number("then_bar_min", then.RampPaS*60/1e5, 2)
	j.number("then_from_bar", then.FromPa/1e5, 2)
	j.number("peak_c", a.PeakK-zeroC, 2)
	j.number("peak_in_s", a.PeakInS, 1)
	j.number("target_in_s", a.TargetInS, 1)
	j.number("wait_s", a.WaitS, 1)
	j.b = append(j.b, '}')
}

// sides are only there where the profile has plies.
func (j *object) sides(s *monitor.Snapshot) {
	if !s.Sides.Known {
		return
	}
	b := &s.Sides.Bow
	j.name("sides")
	j.b = append(j.b, '{')
	j.text("warm", s.Sides.Warm.Name)
	j.text("cool", s.Sides.Cool.Name)
	j.number("stiffness_ratio", s.Sides.Ratio, 3)
	j.number("warm_stiffness_left", b.SunShare.Value, 3)
	j.number("bending_stiffness_left", b.BendShare.Value, 3)
	j.number("sag_mm", b.SagM.Value*1e3, 2)
	j.number("sag_low_mm", b.SagM.Low*1e3, 2)
	j.number("sag_high_mm", b.SagM.High*1e3, 2)
	j.b = append(j.b, '}')
}

func (j *object) alarms(s *monitor.Snapshot) {
	j.name("alarms")
	j.b = append(j.b, '[')
	for i := range s.Alarms {
		a := &s.Alarms[i]
		j.open(i)
		j.text("name", a.Name)
		j.text("level", a.Level.String())
		j.text("state", a.State.String())
		j.number("since_s", a.SinceS, 3)
		j.b = append(j.b, '}')
	}
	j.b = append(j.b, ']')
}

// open starts the i-th object of a list.
func (j *object) open(i int) {
	if i > 0 {
		j.b = append(j.b, ',')
	}
	j.b = append(j.b, '{')
}

// name appends a field's name, with a comma where one is due.
func (j *object) name(name string) {
	if last := j.b[len(j.b)-1]; last != '{' && last != '[' {
		j.b = append(j.b, ',')
	}
	j.b = append(j.b, '"')
	j.b = append(j.b, name...)
	j.b = append(j.b, '"', ':')
}

// powers of ten for rounding.
var powers = [...]float64{1, 10, 100, 1000}

// number appends x with at most the given decimals (0 to 3); null if it is
// not known or has no end.
func (j *object) number(name string, x float64, decimals int) {
	j.name(name)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		j.b = append(j.b, "null"...)
		return
	}
	p := powers[decimals]
	r := math.Round(x*p) / p
	if r == 0 {
		r = 0 // no minus before a zero
	}
	if math.IsInf(r, 0) || math.Abs(r) >= 1e15 {
		j.b = strconv.AppendFloat(j.b, x, 'g', -1, 64)
		return
	}
	j.b = strconv.AppendFloat(j.b, r, 'f', -1, 64)
}

const hexDigits = "0123456789abcdef"

// text appends a JSON string (RFC 8259): quotes, backslashes and control
// characters escaped, broken UTF-8 replaced, line separators escaped.
func (j *object) text(name, s string) {
	j.name(name)
	b := append(j.b, '"')
	for i := 0; i < len(s); {
		c := s[i]
		if c < utf8.RuneSelf {
			switch {
			case c == '"' || c == '\\':
				b = append(b, '\\', c)
			case c < ' ' || c == 0x7f:
				b = append(b, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
			default:
				b = append(b, c)
			}
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			b = append(b, `\ufffd`...)
		case r == '\u2028' || r == '\u2029':
			b = append(b, `\u202`...)
			b = append(b, hexDigits[r&15])
		default:
			b = append(b, s[i:i+n]...)
		}
		i += n
	}
	j.b = append(b, '"')
}
