package vessel

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2/unstable"
	"pgregory.net/rapid"

	"fillwright/internal/must"
)

// What would keep the reader of TOML busy for minutes is refused before it is
// read, in one short line that says what there is too much of.
func TestTooMuchToRead(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"a megabyte":        {strings.Repeat("#", 1<<20), "1048576 bytes"},
		"tables":            {many("[t%d]\n", 4000), "tables"},
		"tables of a list":  {strings.Repeat("[[a]]\n", 9000), "tables"},
		"inline tables":     {"a = [" + strings.Repeat("{},", 9000) + "]", "tables"},
		"keys":              {strings.Repeat("[a]\n"+many("a%d=1\n", 50), 165), "keys"},
		"keys of a table":   {many("a%d=1\n", 300), "keys in one table"},
		"values":            {"a = [" + strings.Repeat("1,", 9000) + "]", "values in lists"},
		"lists in lists":    {"a = " + strings.Repeat("[", 9000), "brackets"},
		"tables in tables":  {strings.Repeat("a={", 9000), "tables"},
		"a name of names":   {strings.Repeat("a.", 9000) + "a = 1", "parts in one name"},
		"behind a string":   {"a = \"\"\"x\"\"\"\"\"\n" + strings.Repeat("[[a]]\n", 9000), "tables"},
		"behind a quote":    {"a = 'x\n" + strings.Repeat("[[a]]\n", 9000), "tables"},
		"behind a string 2": {"a = 'it\\'\n" + strings.Repeat("[[a]]\n", 9000), "tables"},
		"behind a string 3": {"a = \"\\\\\"\n" + strings.Repeat("[[a]]\n", 9000), "tables"},
	} {
		_, err := ReadDocument("x.toml", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		s := err.Error()
		must.Be(t, !strings.Contains(s, "\n") && len(s) <= 200, "%s: not one short line: %q", name, s)
	}
}

func many(form string, n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, form, i)
	}
	return b.String()
}

// The profiles of the project and the longest file of offsets are far from any
// limit, and nothing in strings and remarks is counted.
func TestEnoughToRead(t *testing.T) {
	plover := must.Get(os.ReadFile("../../testdata/plover.toml"))(t)
	marks := strings.Repeat("[{=.,", 4000)
	for name, text := range map[string]string{
		"profile": string(plover),
		"offsets": strings.Repeat("[[history]]\nboard=\"0\"\nchannel=0\noffset=\"0 K\"\n", 1400),
		"strings": `a = "` + marks + `"` + "\nb = '" + marks + "' # " + marks,
		"texts":   `a = """` + marks + "\n\\\"\"\"" + `"""` + "\nb = '''\n" + marks + `'''`,
	} {
		wrong, _ := CheckSize([]byte(text))
		must.Be(t, wrong == "", "%s: %s", name, wrong)
	}
}

// Whatever the text, nothing that the reader of TOML comes to is left out of
// the count.
func TestCountsNoLessThanTheReader(t *testing.T) {
	parts := []string{"[a]\n", "[[a]]\n", "a = 1\n", "a.b = ", "{a = 1}", "[1, 2]", `"x"`, `'x'`, `"""x"""`, `'''x'''`, `\`, `"`, `'`, "#", "\n", " ", ",", "[", "]", "{", "}", "=", "\r\n"}
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(strings.Join(rapid.SliceOf(rapid.SampledFrom(parts)).Draw(t, "parts"), ""))
		c := counter{text: text, fresh: true}
		for c.at < len(c.text) {
			c.next()
		}
		var p unstable.Parser
		p.Reset(text)
		tables, keys := 0, 0
		for p.NextExpression() {
			switch n := p.Expression(); n.Kind {
			case unstable.Table, unstable.ArrayTable:
				tables++
			case unstable.KeyValue:
				keys++
			}
		}
		must.Need(t, c.tables >= tables && c.keys >= keys, "%q: %d tables and %d keys, counted %d and %d", text, tables, keys, c.tables, c.keys)
	})
}

// However long the names and values of a damaged file, its error stays on a
// few lines that can be read.
func TestErrorsStayShort(t *testing.T) {
	long := strings.Repeat("n", 60_000)
	for name, text := range map[string]string{
		"table": "[" + long + "]\n", "key": "[vessel]\n" + long + " = 1\n", "twice": "[" + long + "]\n[" + long + "]\n",
		"value": "[vessel]\nname = " + long + "\n", "text": "[vessel]\nname = \"" + long + "\"\n",
		"many": "[vessel]\n" + many("k%d = 1\n", 250),
	} {
		_, err := Parse("x.toml", []byte(text))
		if err == nil {
			t.Errorf("%s: taken", name)
			continue
		}
		lines := strings.Split(err.Error(), "\n")
		must.Be(t, len(lines) <= ProblemsMost+1, "%s: %d lines", name, len(lines))
		for _, l := range lines {
			must.Be(t, len(l) <= 500, "%s: a line of %d bytes: %.200s", name, len(l), l)
		}
	}
}
