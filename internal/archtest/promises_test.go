package archtest

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// What README.md promises under faults is what tests prove: every test that it
// names there is in the tree.
func TestPromisesAreTests(t *testing.T) {
	data := must.Get(os.ReadFile(filepath.Join(root, "README.md")))(t)
	_, section, found := strings.Cut(string(data), "### What can be wrong with the logger")
	section, _, ended := strings.Cut(section, "\n## ")
	must.Need(t, found && ended, "README.md has no section on what can be wrong with the logger")
	var code strings.Builder
	for _, s := range sources(t) {
		if s.isTest() {
			code.WriteString(s.text)
		}
	}
	named := regexp.MustCompile("`(Test[A-Za-z]+)`").FindAllStringSubmatch(section, -1)
	must.Be(t, len(named) >= 15, "only %d tests are named", len(named))
	for _, n := range named {
		must.Be(t, strings.Contains(code.String(), "func "+n[1]+"("), "README.md names %s, which there is not", n[1])
	}
}
