// Package archtest holds the project to its own plan: which package may import
// which, what the pure packages keep out, and what lies in the tree.
package archtest

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

const (
	root     = "../.."
	module   = "fillwright/"
	linesMax = 400 // of a Go file that is no test and no table of coefficients
)

// floorsOf reads the one-way street off the table in DEVELOPERS.md: the floor of
// each package. A row without a floor is on that of the row above.
func floorsOf(t *testing.T) map[string]int {
	t.Helper()
	text := must.Get(os.ReadFile(filepath.Join(root, "DEVELOPERS.md")))(t)
	floors, floor := map[string]int{}, -2
	for _, row := range regexp.MustCompile("(?m)^\\| *\\(?(−?\\d*)\\)? *\\| `([a-z/]+)` \\|").FindAllSubmatch(text, -1) {
		if n := strings.Replace(string(row[1]), "−", "-", 1); n != "" {
			floor = must.Get(strconv.Atoi(n))(t)
		}
		name := string(row[2])
		if name != "cmd/fillwright" {
			name = "internal/" + name
		}
		floors[name] = floor
	}
	must.Need(t, len(floors) > 40, "only %d packages have a floor in DEVELOPERS.md", len(floors))
	return floors
}

// pureMost is the highest floor without clock, goroutine, I/O and randomness.
const pureMost = 5

var impure = []string{"os", "net", "io/fs", "math/rand", "math/rand/v2", "crypto/rand", "os/exec", "os/signal", "syscall", "log", "log/slog", "runtime"}

// source is one parsed Go file.
type source struct {
	path string // from the root, with slashes
	pkg  string // folder
	ast  *ast.File
	fset *token.FileSet
	text string
}

func (s *source) isTest() bool { return strings.HasSuffix(s.path, "_test.go") }

// external says that the file is in a package x_test, which may look at
// siblings to check one against the other.
func (s *source) external() bool { return strings.HasSuffix(s.ast.Name.Name, "_test") }

func (s *source) imports() []string {
	var out []string
	for _, i := range s.ast.Imports {
		if p, err := strconv.Unquote(i.Path.Value); err == nil {
			out = append(out, p)
		}
	}
	return out
}

func sources(t *testing.T) []*source {
	t.Helper()
	var out []*source
	for _, path := range walk(t) {
		if filepath.Ext(path) != ".go" {
			continue
		}
		text := must.Get(os.ReadFile(filepath.Join(root, path)))(t)
		fset := token.NewFileSet()
		file := must.Get(parser.ParseFile(fset, path, text, parser.ParseComments))(t)
		slash := filepath.ToSlash(path)
		out = append(out, &source{path: slash, pkg: slash[:strings.LastIndex(slash, "/")], ast: file, fset: fset, text: string(text)})
	}
	must.Need(t, len(out) >= 20, "found only %d Go files: is %s the root?", len(out), root)
	return out
}

// walk lists the files of the tree from the root, without dot-folders.
func walk(t *testing.T) []string {
	t.Helper()
	var out []string
	must.Do(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		if d.IsDir() && rel != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "rapid") {
			return filepath.SkipDir
		}
		if !d.IsDir() {
			out = append(out, rel)
		}
		return nil
	}))
	return out
}

// TestFloors proves that every import goes down the street. Test files obey
// too; only a package x_test may look at packages of its own floor.
func TestFloors(t *testing.T) {
	floors := floorsOf(t)
	for _, s := range sources(t) {
		own, known := floors[s.pkg]
		if !known {
			t.Errorf("%s: package %s has no floor; give it one in DEVELOPERS.md", s.path, s.pkg)
			continue
		}
		for _, p := range s.imports() {
			if !strings.HasPrefix(p, module) {
				continue
			}
			p = strings.TrimPrefix(p, module)
			floor, known := floors[p]
			switch {
			case !known:
				t.Errorf("%s imports %s, which has no floor", s.path, p)
			case p == "internal/must" && !s.isTest():
				t.Errorf("%s imports %s, which is for tests", s.path, p)
			case s.isTest() && s.external() && floor <= own:
			case floor >= own:
				t.Errorf("%s (floor %d) imports %s (floor %d)", s.path, own, p, floor)
			}
		}
	}
}

// clocks are what package time knows of this moment and of this place. Dates
// and lengths of time are no clock.
var clocks = []string{"Now", "Since", "Until", "After", "AfterFunc", "Sleep", "Tick", "NewTicker", "NewTimer", "Local", "LoadLocation"}

// TestPure proves that from monitor down there is no clock, goroutine, I/O or
// randomness, so that a replay computes what the live run computed.
func TestPure(t *testing.T) {
	floors := floorsOf(t)
	for _, s := range sources(t) {
		if floor, known := floors[s.pkg]; !known || floor < 0 || floor > pureMost || s.isTest() {
			continue
		}
		for _, p := range s.imports() {
			must.Be(t, !slices.Contains(impure, p) && !strings.HasPrefix(p, "net/"), "%s imports %s", s.path, p)
		}
		ast.Inspect(s.ast, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				t.Errorf("%s starts a goroutine", s.fset.Position(n.Pos()))
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && x.Obj == nil && slices.Contains(clocks, n.Sel.Name) {
					t.Errorf("%s asks a clock: time.%s", s.fset.Position(n.Pos()), n.Sel.Name)
				}
			}
			return true
		})
	}
}

// TestTopLevel proves that nothing lies at the root but what the plan has.
func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "cmd", "firmware-protocol", "go.mod", "go.sum", "internal", "testdata"}
	entries := must.Get(os.ReadDir(root))(t)
	var got []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got = append(got, e.Name())
		}
	}
	must.Be(t, slices.Equal(got, want), "at the top level are %q, want %q", got, want)
}

// TestLength proves that no file has outgrown one noun. Tests and tables of
// coefficients may be longer.
func TestLength(t *testing.T) {
	for _, s := range sources(t) {
		if s.isTest() || strings.Contains(filepath.Base(s.path), "coefficients") {
			continue
		}
		n := strings.Count(s.text, "\n")
		must.Be(t, n <= linesMax, "%s has %d lines", s.path, n)
	}
}

// TestNothingLeftUndone proves that no comment puts work off and that no test
// leaves itself out. The words are put together so that this file is not found.
func TestNothingLeftUndone(t *testing.T) {
	words := []string{"TO" + "DO", "FIX" + "ME", "X" + "XX", "not implemented"}
	for _, s := range sources(t) {
		for _, group := range s.ast.Comments {
			for _, w := range words {
				must.Be(t, !strings.Contains(group.Text(), w), "%s: %s", s.fset.Position(group.Pos()), w)
			}
		}
		ast.Inspect(s.ast, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if f, ok := call.Fun.(*ast.SelectorExpr); ok && s.isTest() && strings.HasPrefix(f.Sel.Name, "Skip") && len(f.Sel.Name) <= len("SkipNow") {
				x, ok := f.X.(*ast.Ident)
				must.Be(t, !ok || x.Name != "t" && x.Name != "b" && x.Name != "tb", "%s: a test that leaves itself out", s.fset.Position(call.Pos()))
			}
			return true
		})
	}
}

// TestPackageComments proves that each package says what it is for.
func TestPackageComments(t *testing.T) {
	said, seen := map[string]int{}, map[string]bool{}
	for _, s := range sources(t) {
		if s.external() || s.isTest() && s.pkg != "internal/archtest" {
			continue
		}
		seen[s.pkg] = true
		if s.ast.Doc != nil {
			said[s.pkg]++
		}
	}
	for p := range seen {
		must.Be(t, said[p] == 1, "%s has %d package comments, want 1", p, said[p])
	}
}
