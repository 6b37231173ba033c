package plaintext

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// What moves a cursor, hides, turns or types is not printed, and what people
// write with is left alone. The sequences are those of ECMA-48: CSI in its 7-bit
// form (ESC [) and its 8-bit form (0x9b, as a byte and as a character), OSC, and
// single controls; the signs of direction are those of Unicode UAX #9.
func TestNothingUpsetsATerminal(t *testing.T) {
	for in, want := range map[string]string{
		"\x1b[2J\x1b[31mFILL":                 "?[2J?[31mFILL",
		"\u009b31m \x9b31m":                   "?31m ?31m",
		"\x1b]0;title\a":                      "?]0;title?",
		"over\rwritten\b\b\x7f\x00":           "over?written????",
		"a\u202eb\u2066c\u200ed\u200be\ufeff": "a?b?c?d?e?",
		"a\u2028b\u2029c":                     "a?b?c",
		"lines\n\tstay":                       "lines\n\tstay",
		"Drücken °C ± − … „48 bar“ 温度 é 😀": "Drücken °C ± − … „48 bar“ 温度 é 😀",
		"no\u00a0break\u202fhere":          "no\u00a0break\u202fhere",
		"half \xe2\x82":                    "half ?",
	} {
		var out bytes.Buffer
		w := NewWriter(&out)
		must.Do(t, must.Err(w.Write([]byte(in))))
		must.Do(t, w.Close())
		must.Be(t, out.String() == want, "%q came out as %q, want %q", in, out.String(), want)
		l := Line(in)
		must.Be(t, !strings.ContainsAny(l, "\n\t\r"), "%q is not one line", l)
	}
}

// However a text is cut into writings, the same comes out, it is UTF-8, and
// nothing in it is a control but line feed and tab.
func TestCutAnyhow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(rapid.OneOf(rapid.String(), rapid.StringMatching("[ -~\n]*"),
			rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(t, "text"))
		var whole, parts bytes.Buffer
		a, b := NewWriter(&whole), NewWriter(&parts)
		write(t, a, text)
		for rest := text; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "n")
			write(t, b, rest[:n])
			rest = rest[n:]
		}
		must.Do(t, errors.Join(a.Close(), b.Close()))
		must.Need(t, whole.String() == parts.String(), "%q whole, %q in parts", whole.String(), parts.String())
		must.Need(t, utf8.Valid(whole.Bytes()), "%q is no UTF-8", whole.Bytes())
		for _, r := range whole.String() {
			must.Need(t, (!unicode.IsControl(r) || r == '\n' || r == '\t') && !unicode.Is(unicode.Cf, r), "%q is left", r)
		}
	})
}

func write(t *rapid.T, w *Writer, p []byte) {
	n, err := w.Write(p)
	must.Need(t, n == len(p) && err == nil, "%v %v", n, err)
}

type broken struct{}

var errBroken = errors.New("broken")

func (broken) Write([]byte) (int, error) { return 0, errBroken }

// What is wrong below is told above.
func TestErrorsAreTold(t *testing.T) {
	w := NewWriter(broken{})
	if _, err := w.Write([]byte("plain")); !errors.Is(err, errBroken) {
		t.Error(err)
	}
	if _, err := w.Write([]byte("ü")); !errors.Is(err, errBroken) {
		t.Error(err)
	}
}

// What a line costs on its way out.
func BenchmarkWriter(b *testing.B) {
	line := []byte(strings.Repeat(`{"t_s":12.5,"phase":"filling","pressure_bar":8.42,"reason":"the wall reaches 48.2 °C"}`+"\n", 700))
	w := NewWriter(io.Discard)
	b.SetBytes(int64(len(line)))
	b.ReportAllocs()
	for b.Loop() {
		must.Do(b, must.Err(w.Write(line)))
	}
}
