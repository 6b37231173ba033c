package vessel

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"fillwright/internal/quantity"

	"github.com/pelletier/go-toml/v2/unstable"
)

// find marks a key as known and used; nil when it is not in the file.
func (s *Section) find(key string) *entry {
	if !slices.Contains(s.asked, key) {
		s.asked = append(s.asked, key)
	}
	for _, e := range s.entries {
		if e.key == key {
			e.used = true
			return e
		}
	}
	return nil
}

// Has says whether the key is in the file.
func (s *Section) Has(key string) bool { return s.find(key) != nil }

// Present says whether the table itself is in the file.
func (s *Section) Present() bool { return s.line > 0 }

// Problem adds a problem with a key of this table.
func (s *Section) Problem(key, wrong, expected, example string) {
	line := s.line
	if e := s.find(key); e != nil {
		line = e.line
	}
	s.doc.problems.add(Problem{Line: line, Where: s.where(key), Wrong: wrong, Expected: expected, Type: example})
}

func (s *Section) where(key string) string {
	if s.list {
		return "[[" + s.name + "]] " + key
	}
	return "[" + s.name + "] " + key
}

// missing complains of a required key, unless the whole table is missing,
// which was said already.
func (s *Section) missing(key, expected, example string) {
	if s.Present() || s.list {
		s.Problem(key, "is missing", expected, example)
	}
}

// Text reads a required string; "" after a problem. example is the whole line.
func (s *Section) Text(key, example string) string {
	e := s.find(key)
	if e == nil {
		s.missing(key, "a text in quotes", example)
		return ""
	}
	return s.text(e, example)
}

// TextOr reads an optional string.
func (s *Section) TextOr(key, example string) string {
	if e := s.find(key); e != nil {
		return s.text(e, example)
	}
	return ""
}

func (s *Section) text(e *entry, example string) string {
	if e.kind != unstable.String || strings.TrimSpace(e.text) == "" {
		s.Problem(e.key, "is "+kindWord(e), "a text in quotes", example)
		return ""
	}
	if utf8.RuneCountInString(e.text) > textMost || printable(e.text) != e.text {
		s.Problem(e.key, "is "+kindWord(e), fmt.Sprintf("a text of one line with at most %d printable characters", textMost), example)
		return ""
	}
	return e.text
}

// textMost bounds a name or a remark; it is shown on one line.
const textMost = 120

// Bool reads an optional true or false; false when absent.
func (s *Section) Bool(key string) bool {
	e := s.find(key)
	if e == nil {
		return false
	}
	if e.kind != unstable.Bool {
		s.Problem(key, "is "+kindWord(e), "true or false, without quotes", key+" = true")
		return false
	}
	return e.text == "true"
}

// Day reads an optional date; "" when absent. It may stand in quotes.
func (s *Section) Day(key string) string {
	const form = "2006-01-02"
	e := s.find(key)
	if e == nil {
		return ""
	}
	if e.kind != unstable.LocalDate && e.kind != unstable.String || !isDay(e.text) {
		s.Problem(key, "is "+kindWord(e), "a date: year-month-day", key+" = "+form)
		return ""
	}
	return e.text
}

// isDay checks the form only; TOML checks unquoted dates itself.
func isDay(t string) bool {
	_, err := time.Parse(time.DateOnly, t)
	return err == nil
}

// Whole reads a required whole number from least to most; -1 after a problem.
func (s *Section) Whole(key string, least, most int, example string) int {
	expected := fmt.Sprintf("a whole number from %d to %d", least, most)
	e := s.find(key)
	if e == nil {
		s.missing(key, expected, example)
		return -1
	}
	if e.kind == unstable.Integer {
		n, err := strconv.ParseInt(strings.ReplaceAll(e.text, "_", ""), 0, 64)
		if err == nil && n >= int64(least) && n <= int64(most) {
			return int(n)
		}
	}
	s.Problem(key, "is "+kindWord(e), expected, example)
	return -1
}

// Number reads a plain number whose unit is in its key, from least to most.
// ok is false when it is absent (no problem) or wrong (a problem).
func (s *Section) Number(key string, least, most float64, example string) (x float64, ok bool) {
	e := s.find(key)
	if e == nil {
		return math.NaN(), false
	}
	if e.kind == unstable.Integer || e.kind == unstable.Float {
		v, err := strconv.ParseFloat(strings.ReplaceAll(e.text, "_", ""), 64)
		if err == nil && v >= least && v <= most {
			return v, true
		}
	}
	s.Problem(key, "is "+kindWord(e), fmt.Sprintf("a plain number from %v to %v", least, most), example)
	return math.NaN(), false
}

// Range is what a quantity may be, in SI, and an example of it with its unit.
type Range[T ~float64] struct {
	Least, Most T
	Example     string // "54 °C"
}

// Quantity reads a required quantity; NaN after a problem.
func Quantity[T ~float64](s *Section, key string, parse func(string) (T, error), r Range[T]) T {
	e := s.find(key)
	if e == nil {
		s.missing(key, "a quantity with its unit", line(key, r.Example))
		return T(math.NaN())
	}
	return readQuantity(s, e, parse, r)
}

// QuantityOr reads an optional quantity; otherwise stands in where the key
// is absent.
func QuantityOr[T ~float64](s *Section, key string, parse func(string) (T, error), r Range[T], otherwise T) T {
	e := s.find(key)
	if e == nil {
		return otherwise
	}
	return readQuantity(s, e, parse, r)
}

func readQuantity[T ~float64](s *Section, e *entry, parse func(string) (T, error), r Range[T]) T {
	text := e.text
	bare := e.kind == unstable.Integer || e.kind == unstable.Float
	if !bare && e.kind != unstable.String {
		s.Problem(e.key, "is "+kindWord(e), "a quantity with its unit, in quotes", line(e.key, r.Example))
		return T(math.NaN())
	}
	v, err := parse(text)
	if err != nil {
		s.badQuantity(e, err, r.Example)
		return T(math.NaN())
	}
	if v < r.Least || v > r.Most {
		s.Problem(e.key, fmt.Sprintf("%q is out of range", text),
			fmt.Sprintf("from %v to %v", any(r.Least), any(r.Most)), line(e.key, r.Example))
		return T(math.NaN())
	}
	return v
}

// badQuantity words what the quantity package found. For a number without
// unit, the line to type keeps the number.
func (s *Section) badQuantity(e *entry, err error, example string) {
	wrong, expected := err.Error(), "a quantity with its unit"
	var bad *quantity.ParseError
	if errors.As(err, &bad) {
		wrong, expected = fmt.Sprintf("%q %s", bad.Text, bad.Wrong), bad.Expected
		if bad.Wrong == quantity.WrongNoUnit {
			_, unit, _ := strings.Cut(example, " ")
			example = strings.TrimSpace(bad.Text) + " " + unit
		}
	}
	s.Problem(e.key, wrong, expected, line(e.key, example))
}

// line is a key with a quoted value, to type.
func line(key, value string) string { return fmt.Sprintf("%s = %q", key, value) }

// kindWord says what stands there, for "is …".
func kindWord(e *entry) string {
	switch e.kind {
	case unstable.String:
		return fmt.Sprintf("the text %q", clip(e.text))
	case unstable.Array:
		return "a list"
	default:
		return clip(e.text)
	}
}
