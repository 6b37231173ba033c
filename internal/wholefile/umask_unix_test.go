//go:build unix

package wholefile

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"fillwright/internal/must"
)

// A new file obeys the umask; one that is replaced keeps its permissions.
func TestPermissions(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o077))
	dir := t.TempDir()
	mode := func(name string) os.FileMode {
		info := must.Get(os.Stat(filepath.Join(dir, name)))(t)
		return info.Mode().Perm()
	}
	put(t, filepath.Join(dir, "a"), "one")
	must.Do(t, New(filepath.Join(dir, "b"), func(io.Writer) error { return nil }))
	must.Be(t, mode("a") == 0o600 && mode("b") == 0o600, "with umask 077: %v, %v", mode("a"), mode("b"))
	must.Do(t, os.Chmod(filepath.Join(dir, "a"), 0o664))
	put(t, filepath.Join(dir, "a"), "two")
	must.Be(t, mode("a") == 0o664, "it had 0664 and has %v", mode("a"))
}
