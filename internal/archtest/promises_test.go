package archtest

import (
	"fillwright/internal/must"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What README.md promises under faults is what tests prove: every test that it
// names there is in the tree.
func TestPromisesAreTests(t *testing.T) {
	data := must.Get(os.ReadFile(filepath.Join(root, "README.md")))(t)
	_, section, found := strings.Cut(string(data), "### What can be wrong with the logger")
	section, _, ended := strings.Cut(section, "\n## ")
	if !found || !ended {
		t.Fatal("README.md has no section on what can be wrong with the logger")
	}
	var code strings.Builder
	for _, s := range sources(t) {
		if s.isTest() {
			code.WriteString(s.text)
		}
	}
	named := regexp.MustCompile("`(Test[A-Za-z]+)`").FindAllStringSubmatch(section, -1)
	if len(named) < 15 {
		t.Errorf("only %d tests are named", len(named))
	}
	for _, n := range named {
		if !strings.Contains(code.String(), "func "+n[1]+"(") {
			t.Errorf("README.md names %s, which there is not", n[1])
		}
	}
}
