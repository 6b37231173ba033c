package wholefile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"fillwright/internal/must"
)

func put(t *testing.T, path, text string) {
	t.Helper()
	must.Do(t, Replace(path, []byte(text)))
	got, err := os.ReadFile(path)
	must.Need(t, err == nil && string(got) == text, "%s holds %q, %v", path, got, err)
}

func link(t *testing.T, to, at string) {
	t.Helper()
	must.Do(t, os.Symlink(to, at))
}

// A link stays a link, whether what it names is there or not, and through
// another link; nothing is left beside the file.
func TestLinksAreFollowed(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	must.Do(t, os.Mkdir(in("real"), 0o755))
	link(t, "real/model.toml", in("first"))
	link(t, in("first"), in("second"))
	for _, text := range []string{"one", "two"} {
		put(t, in("second"), text)
	}
	for _, name := range []string{"first", "second"} {
		info, err := os.Lstat(in(name))
		must.Be(t, err == nil && info.Mode()&fs.ModeSymlink != 0, "%s is no link any more: %v", name, err)
	}
	all, err := os.ReadDir(in("real"))
	must.Be(t, err == nil && len(all) == 1 && all[0].Name() == "model.toml", "the folder holds %v, %v", all, err)
	link(t, in("b"), in("a"))
	link(t, in("a"), in("b"))
	err = Replace(in("a"), nil)
	must.Be(t, err != nil, "a link to itself was followed")
}

// What is no ordinary file stays as it is.
func TestNoFile(t *testing.T) {
	dir := t.TempDir()
	err := Replace(dir, []byte("x"))
	must.Be(t, errors.Is(err, ErrNoFile), "a folder: %v", err)
	err = Replace(os.DevNull, []byte("x"))
	must.Be(t, errors.Is(err, ErrNoFile), "a device: %v", err)
	err = Replace(filepath.Join(dir, "no", "x"), nil)
	must.Be(t, errors.Is(err, fs.ErrNotExist), "no folder: %v", err)
}

// New never touches what is there, not even through a link to nothing, and
// leaves nothing unfinished.
func TestNew(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	broken := errors.New("broken")
	write := func(err error) func(io.Writer) error {
		return func(w io.Writer) error {
			_, werr := io.WriteString(w, "text")
			return errors.Join(werr, err)
		}
	}
	err := New(path, write(broken))
	must.Be(t, errors.Is(err, broken), "got %v", err)
	_, err = os.Lstat(path)
	must.Be(t, errors.Is(err, fs.ErrNotExist), "an unfinished file is left: %v", err)
	must.Do(t, New(path, write(nil)))
	link(t, filepath.Join(dir, "elsewhere"), filepath.Join(dir, "link"))
	for _, there := range []string{path, filepath.Join(dir, "link")} {
		err := New(there, write(nil))
		must.Be(t, errors.Is(err, fs.ErrExist), "%s: %v", there, err)
	}
}
