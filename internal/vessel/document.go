package vessel

import (
	"bytes"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Document is a TOML text in which every key knows its line, and every key
// that nobody asked for is a mistake. The files of the project are read
// through it so that they complain alike: ask for tables and values, then
// call Err.
type Document struct {
	sections []*Section
	asked    []string // tables that may be there
	problems FileError
}

// Section is one table of a Document, or one element of a table list.
type Section struct {
	doc     *Document
	name    string // "resin", "channel"; "" before the first header
	list    bool
	line    int // 0: not in the file
	entries []*entry
	asked   []string
}

type entry struct {
	key  string
	line int
	kind unstable.Kind
	text string // strings unquoted, other values as written
	used bool
}

// ReadDocument reads a TOML text. file is only a name for messages. The
// error, if any, is a *FileError.
func ReadDocument(file string, data []byte) (*Document, error) {
	d := &Document{problems: FileError{File: file}}
	if wrong, expected := CheckSize(data); wrong != "" {
		d.problems.add(Problem{Wrong: wrong, Expected: expected})
		return nil, d.problems.err()
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	var whole map[string]any
	if err := toml.Unmarshal(data, &whole); err != nil {
		d.problems.add(syntaxProblem(data, err))
		return nil, d.problems.err()
	}
	if err := d.walk(data); err != nil {
		d.problems.add(syntaxProblem(data, err))
		return nil, d.problems.err()
	}
	return d, nil
}

// walk collects tables and keys with their lines.
func (d *Document) walk(data []byte) error {
	var p unstable.Parser
	p.Reset(data)
	at := d.open("", false, 0)
	for p.NextExpression() {
		n := p.Expression()
		switch n.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, line := keyPath(&p, n)
			at = d.open(strings.Join(path, "."), n.Kind == unstable.ArrayTable, line)
		case unstable.KeyValue:
			d.keep(&p, at, n)
		}
	}
	return p.Error()
}

func (d *Document) open(name string, list bool, line int) *Section {
	if !list {
		for _, s := range d.sections {
			if s.name == name && !s.list {
				return s
			}
		}
	}
	s := &Section{doc: d, name: name, list: list, line: line}
	d.sections = append(d.sections, s)
	return s
}

// keep files a key under its table; dotted keys and inline tables are the
// same thing as a table header.
func (d *Document) keep(p *unstable.Parser, at *Section, n *unstable.Node) {
	path, line := keyPath(p, n)
	for _, part := range path[:len(path)-1] {
		at = d.open(join(at.name, part), false, line)
	}
	key, v := path[len(path)-1], n.Value()
	if v.Kind == unstable.InlineTable {
		d.keepAll(p, d.open(join(at.name, key), false, line), v)
		return
	}
	if v.Kind == unstable.Array && v.Child().Valid() && v.Child().Kind == unstable.InlineTable {
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.InlineTable {
				d.keepAll(p, d.open(join(at.name, key), true, line), it.Node())
			}
		}
		return
	}
	e := &entry{key: key, line: line, kind: v.Kind, text: string(v.Data)}
	at.entries = append(at.entries, e)
}

func (d *Document) keepAll(p *unstable.Parser, at *Section, inline *unstable.Node) {
	for it := inline.Children(); it.Next(); {
		if it.Node().Kind == unstable.KeyValue {
			d.keep(p, at, it.Node())
		}
	}
}

func join(table, key string) string {
	if table == "" {
		return key
	}
	return table + "." + key
}

func keyPath(p *unstable.Parser, n *unstable.Node) (path []string, line int) {
	for it := n.Key(); it.Next(); {
		if line == 0 {
			line = p.Shape(it.Node().Raw).Start.Line
		}
		path = append(path, clip(printable(string(it.Node().Data))))
	}
	return path, line
}

// Table gives the table [name]. A missing one gives an empty Section, and a
// problem if the table is required; example is its first line, to type.
func (d *Document) Table(name string, required bool, example string) *Section {
	d.asked = append(d.asked, name)
	var found *Section
	for _, s := range d.sections {
		if s.name != name {
			continue
		}
		if s.list {
			d.problems.add(Problem{Line: s.line, Where: "[[" + name + "]]", Wrong: "is a list",
				Expected: "one table, in single brackets", Type: "[" + name + "]"})
		}
		found = s
	}
	if found != nil {
		return found
	}
	if required {
		d.problems.add(Problem{Where: "[" + name + "]", Wrong: "is missing",
			Expected: "this table", Type: "[" + name + "] and below it " + example})
	}
	return &Section{doc: d, name: name}
}

// List gives the tables [[name]] in the order of the file.
func (d *Document) List(name string) []*Section {
	d.asked = append(d.asked, name)
	var all []*Section
	for _, s := range d.sections {
		if s.name != name {
			continue
		}
		if !s.list {
			d.problems.add(Problem{Line: s.line, Where: "[" + name + "]", Wrong: "is a single table",
				Expected: "a list, in double brackets", Type: "[[" + name + "]]"})
		}
		all = append(all, s)
	}
	return all
}

// Problem adds a problem of the document as a whole.
func (d *Document) Problem(where, wrong, expected, example string) {
	d.problems.add(Problem{Where: where, Wrong: wrong, Expected: expected, Type: example})
}

// Err is nil or a *FileError with everything found, unknown tables and keys
// included. Call it last.
func (d *Document) Err() error {
	for _, s := range d.sections {
		if !slices.Contains(d.asked, s.name) {
			s.unknown(d.asked)
			continue
		}
		for _, e := range s.entries {
			if !e.used {
				s.unknownKey(e)
			}
		}
	}
	return d.problems.err()
}

// unknown complains of a table that nobody asked for.
func (s *Section) unknown(tables []string) {
	if s.name == "" {
		for _, e := range s.entries {
			s.doc.problems.add(Problem{Line: e.line, Where: e.key, Wrong: "stands outside of every table",
				Expected: "keys below a table such as [" + tables[0] + "]", Type: "[" + tables[0] + "]"})
		}
		return
	}
	near := Nearest(s.name, tables)
	if near != "" {
		near = "[" + near + "]"
	}
	s.doc.problems.add(Problem{Line: s.line, Where: "[" + s.name + "]", Wrong: "is not a known table",
		Expected: "one of " + strings.Join(tables, ", "), Type: near})
}

func (s *Section) unknownKey(e *entry) {
	near := Nearest(e.key, s.asked)
	if near != "" {
		near += " = …"
	}
	s.doc.problems.add(Problem{Line: e.line, Where: s.where(e.key), Wrong: "is not a known key",
		Expected: "one of " + strings.Join(s.asked, ", "), Type: near})
}
