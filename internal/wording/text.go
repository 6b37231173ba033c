// Package wording holds what the program says to the operator: every sentence
// of reasons, causes and events (sentences.go), of the list before a fill
// (checklist.go), and the large words with theirs (orders.go), with quantities
// as values in SI. They are printed at the edge, in the operator's units; the
// record has them in bar and °C. What people have typed is carried as it is and
// never rewritten.
package wording

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/quantity"
)

// Text is a sentence with its quantities. The zero value says nothing. It can
// be copied and kept, and never changes.
type Text struct {
	form string // with a gap for each value
	args [argsMost]value
}

const (
	gap      = "{}"
	argsMost = 3
)

// value is what stands in a gap.
type value struct {
	dim      dim
	decimals int8    // in bar and °C
	si       float64 // K, Pa, Pa/s or a plain number
	band     float64 // two sigma, K or Pa, if banded
	banded   bool
	words    string
	text     *Text
}

// dim is the sort of a value.
type dim uint8

const (
	dimNone dim = iota
	dimTemperature
	dimDifference
	dimPressure
	dimRamp
	dimNumber // in a unit that is the same for everybody: s, g/min, %
	dimWords
	dimText
)

func say(form string, args ...value) Text {
	t := Text{form: form}
	copy(t.args[:], args)
	return t
}

// Words is a text without quantities: of a file, a logger or a person. It is
// printed as it is.
func Words(s string) Text {
	if s == "" {
		return Text{}
	}
	return say(gap, words(s))
}

func number(x float64, decimals int8) value {
	return value{dim: dimNumber, decimals: decimals, si: x}
}
func degrees(k float64, decimals int8) value {
	return value{dim: dimTemperature, decimals: decimals, si: k}
}
func about(k, bandK float64, decimals int8) value {
	return value{dim: dimTemperature, decimals: decimals, si: k, band: bandK, banded: true}
}
func difference(k float64, decimals int8) value {
	return value{dim: dimDifference, decimals: decimals, si: k}
}
func pressure(pa float64, decimals int8) value {
	return value{dim: dimPressure, decimals: decimals, si: pa}
}
func pressureAbout(pa, bandPa float64, decimals int8) value {
	return value{dim: dimPressure, decimals: decimals, si: pa, band: bandPa, banded: true}
}
func ramp(paS float64) value {
	return value{dim: dimRamp, decimals: 1, si: paS}
}
func words(s string) value { return value{dim: dimWords, words: s} }
func inner(t Text) value   { return value{dim: dimText, text: &t} }

// Empty says whether nothing is said.
func (t Text) Empty() bool { return t.form == "" }

// String is the text in bar and °C, as it stands in the record.
func (t Text) String() string { return t.In(quantity.SystemBarC) }

// In is the text in the units of u.
func (t Text) In(u quantity.System) string {
	if t.args[0].dim == dimNone {
		return t.form
	}
	var b strings.Builder
	rest := t.form
	for i := range t.args {
		before, after, found := strings.Cut(rest, gap)
		b.WriteString(before)
		if !found {
			return b.String()
		}
		b.WriteString(t.args[i].in(u))
		rest = after
	}
	b.WriteString(rest)
	return b.String()
}

// And is t with another sentence after it, nothing between.
func (t Text) And(more Text) Text {
	switch {
	case t.Empty():
		return more
	case more.Empty():
		return t
	}
	return say(gap+gap, inner(t), inner(more))
}

// in prints a value. In bar and °C a sentence has decimals of its own; elsewhere
// the screen's, one more where it is fine.
func (v value) in(u quantity.System) string {
	switch v.dim {
	case dimWords:
		return v.words
	case dimText:
		return v.text.In(u)
	case dimNumber:
		return v.print(v.si, v.decimals)
	case dimTemperature:
		return v.withBand(u.TemperatureValue(v.si), u.DifferenceValue(v.band), v.decimalsIn(u, 1), u.TemperatureUnit())
	case dimDifference:
		return v.withBand(u.DifferenceValue(v.si), u.DifferenceValue(v.band), v.decimalsIn(u, 1), u.TemperatureUnit())
	case dimPressure:
		return v.withBand(u.PressureValue(v.si), u.PressureValue(v.band), v.decimalsIn(u, 0), u.PressureUnit())
	case dimRamp:
		return v.withBand(u.RampValue(v.si), u.RampValue(v.band), v.decimalsIn(u, 0), u.RampUnit())
	}
	return ""
}

// fine is from how many decimals in bar and °C on other units get one more.
const fine = 2

func (v value) decimalsIn(u quantity.System, usual int8) int8 {
	switch {
	case u == quantity.SystemBarC:
		return v.decimals
	case v.decimals >= fine:
		return usual + 1
	}
	return usual
}

func (v value) withBand(x, band float64, decimals int8, unit string) string {
	text := v.print(x, decimals)
	if v.banded {
		text += " ± " + v.print(band, decimals)
	}
	return text + " " + unit
}

// print gives a number; what is not known is never one.
func (v value) print(x float64, decimals int8) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Unknown
	}
	return strconv.FormatFloat(x, 'f', int(decimals), 64)
}

// Signed numbers and lists are rare: they are made into words where they stand.
func signed(x float64, unit string) string { return fmt.Sprintf("%+.2f %s", x, unit) }

// Minutes is a length of time in words: "45 s", "12 min".
func Minutes(s float64) string {
	if s < 90 {
		return fmt.Sprintf("%.0f s", s)
	}
	return fmt.Sprintf("%.0f min", s/60)
}
