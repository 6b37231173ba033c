package archtest

import (
	"go/ast"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// What DEVELOPERS.md and the page of the model say is in a file is declared there: each `file.go:Name`
// by that name, each `file.go` and each package of a path is in the tree. So
// somebody who follows the table "Where is …" never looks in vain.
func TestWhereIs(t *testing.T) {
	text := string(must.Get(os.ReadFile(filepath.Join(root, "DEVELOPERS.md")))(t))
	pages := text + string(must.Get(os.ReadFile(filepath.Join(root, "internal/thermal/README.md")))(t))
	declared, files := map[string]map[string]bool{}, map[string]bool{}
	for _, s := range sources(t) {
		file := strings.TrimPrefix(s.path, "internal/")
		declared[file] = declares(s.ast)
		files[filepath.Base(file)] = true
	}
	first := strings.Index(text, "\n## ")
	must.Be(t, strings.HasPrefix(text[first:], "\n## Where is …"), "the first heading of DEVELOPERS.md is not Where is …")
	named := regexp.MustCompile("`([a-z/]+/[a-z_]+\\.go):(\\w+)`").FindAllStringSubmatch(pages, -1)
	must.Be(t, len(named) >= 60, "only %d names with their files", len(named))
	for _, n := range named {
		must.Be(t, declared[n[1]][n[2]], "%s is not declared in internal/%s", n[2], n[1])
	}
	for _, n := range regexp.MustCompile("`([a-z/]+/)?([a-z_]+\\.go)`").FindAllStringSubmatch(pages, -1) {
		known := files[n[2]]
		if n[1] != "" {
			known = declared[n[1]+n[2]] != nil
		}
		must.Be(t, known, "there is no file %s%s", n[1], n[2])
	}
}

// declares lists what a file has at its top: functions and methods, types,
// constants and variables.
func declares(f *ast.File) map[string]bool {
	out := map[string]bool{}
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			out[d.Name.Name] = true
		case *ast.GenDecl:
			for _, s := range d.Specs {
				switch s := s.(type) {
				case *ast.TypeSpec:
					out[s.Name.Name] = true
				case *ast.ValueSpec:
					for _, n := range s.Names {
						out[n.Name] = true
					}
				}
			}
		}
	}
	return out
}

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
