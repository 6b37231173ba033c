package bench

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/bath"
	"fillwright/internal/quantity"
)

// Asked is what the operator gave of the reference, as typed.
type Asked struct {
	Reference string // temperature, air pressure, altitude or gauge reading, after the way; empty: not yet
	Accuracy  string // how far the reference may be off; empty: not known
}

// Prompt says what is to be typed for a way; empty when nothing is.
func Prompt(w bath.Way) (prompt, example string) {
	switch w {
	case bath.WayShade:
		return "reference thermometer reads", "21.3 °C"
	case bath.WayBath:
		return "bath thermometer reads", "40.0 °C"
	case bath.WaySteam:
		return "air pressure, not reduced to sea level, or altitude", "1002 hPa or 250 m"
	case bath.WaySpan:
		return "reference gauge reads", "40 bar"
	}
	return "", ""
}

// WithUnit is what was typed of a reference, its accuracy or a reading, with the
// unit that is meant where a bare number was typed: that of the shown units.
// Steam keeps its bare numbers, which may be air pressures or altitudes.
func WithUnit(w bath.Way, typed string, u quantity.System, accuracy bool) string {
	switch {
	case strings.TrimSpace(typed) == "" || w == bath.WaySteam && !accuracy:
	case w.Pressure():
		if p, err := u.ParsePressure(typed); err == nil {
			return p.String()
		}
	case accuracy:
		if d, err := u.ParseDifference(typed); err == nil {
			return d.String()
		}
	default:
		if t, err := u.ParseTemperature(typed); err == nil {
			return t.String()
		}
	}
	return typed // refused with its own words where it is read
}

// reference makes a bath's reference of what was typed.
func (a Asked) reference(w bath.Way) (bath.Reference, error) {
	text := strings.TrimSpace(a.Reference)
	halfK, halfPa, err := a.accuracy(w)
	if err != nil {
		return bath.Reference{}, err
	}
	switch w {
	case bath.WayIce:
		return bath.Ice(), nil
	case bath.WayZero:
		return bath.Vented(), nil
	}
	if text == "" {
		return a.unknown(w, halfK, halfPa), nil
	}
	switch w {
	case bath.WayShade, bath.WayBath:
		t, err := quantity.ParseTemperature(text)
		if err != nil {
			return bath.Reference{}, err
		}
		if w == bath.WayBath {
			return bath.Stirred(float64(t), halfK), nil
		}
		return bath.Thermometer(float64(t), halfK), nil
	case bath.WaySteam:
		return steam(text)
	}
	p, err := quantity.ParsePressure(text)
	if err != nil {
		return bath.Reference{}, err
	}
	return bath.Gauge(float64(p), halfPa), nil
}

func steam(text string) (bath.Reference, error) {
	if h, err := quantity.ParseLength(text); err == nil {
		return bath.SteamAt(float64(h)), nil
	}
	p, err := quantity.ParsePressure(text)
	if err != nil {
		return bath.Reference{}, fmt.Errorf("%q is neither an air pressure nor an altitude; type for example: 1002 hPa, or 250 m", text)
	}
	return bath.Steam(float64(p)), nil
}

// unknown is the reference of a way before anybody typed it.
func (a Asked) unknown(w bath.Way, halfK, halfPa float64) bath.Reference {
	nan := math.NaN()
	switch w {
	case bath.WayBath:
		return bath.Stirred(nan, halfK)
	case bath.WaySteam:
		return bath.Reference{Value: nan}
	case bath.WaySpan:
		return bath.Gauge(nan, halfPa)
	}
	return bath.Thermometer(nan, halfK)
}

// accuracy reads how far the reference may be off; NaN where nothing was given.
func (a Asked) accuracy(w bath.Way) (halfK, halfPa float64, err error) {
	halfK, halfPa = math.NaN(), math.NaN()
	if a.Accuracy == "" {
		return halfK, halfPa, nil
	}
	if w.Pressure() {
		p, err := quantity.ParsePressure(a.Accuracy)
		if err == nil && p < 0 {
			err = fmt.Errorf("an accuracy of %q makes no sense; type for example: 0.4 bar", a.Accuracy)
		}
		return halfK, float64(p), err
	}
	d, err := quantity.ParseDifference(a.Accuracy)
	if err == nil && d < 0 {
		err = fmt.Errorf("an accuracy of %q makes no sense; type for example: 0.2 °C", a.Accuracy)
	}
	return float64(d), halfPa, err
}
