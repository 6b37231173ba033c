package vessel

import (
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// syntaxHints turns what the TOML reader says into what to do about it.
var syntaxHints = []struct{ part, expected, example string }{
	{"should be an array table", "the same brackets for every table of that name", "[[…]] with two brackets for stations, channels and offsets"},
	{"already exists", "each table and each key once", "move its lines to the first one and delete this one"},
	{"already defined", "each table and each key once", "delete one of the two"},
	{"close table name", "a table in brackets", "[resin] or [[channel]]"},
	{"string", "quotes at both ends of a text", `key = "text"`},
}

// syntaxProblem turns a TOML error into one with a line and a hint.
func syntaxProblem(data []byte, err error) Problem {
	wrong, _, _ := strings.Cut(strings.TrimPrefix(err.Error(), "toml: "), "\n")
	out := Problem{Wrong: Clip(wrong),
		Expected: "TOML", Type: `key = "text", key = 1, [table], [[list]] or # remark`}
	for _, h := range syntaxHints {
		if strings.Contains(out.Wrong, h.part) {
			out.Expected, out.Type = h.expected, h.example
			break
		}
	}
	var bad *toml.DecodeError
	if !errors.As(err, &bad) {
		return out
	}
	out.Line, _ = bad.Position()
	lines := strings.Split(string(data), "\n")
	if out.Line < 1 || out.Line > len(lines) {
		return out
	}
	text := strings.TrimSpace(lines[out.Line-1])
	out.Wrong = fmt.Sprintf("%q can't be read: %s", clip(text), out.Wrong)
	key, value, ok := strings.Cut(text, "=")
	value, _, _ = strings.Cut(value, "#")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if ok && value != "" && !strings.ContainsAny(value, "\"'[{") {
		out.Expected = "words and quantities with a unit in quotes"
		out.Type = fmt.Sprintf("%s = %q", clip(key), clip(value))
	}
	return out
}
