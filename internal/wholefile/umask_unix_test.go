//go:build unix

package wholefile

import (
	"io"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// A new file obeys the umask; one that is replaced keeps its permissions.
func TestPermissions(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o077))
	dir := t.TempDir()
	mode := func(name string) os.FileMode {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return info.Mode().Perm()
	}
	put(t, filepath.Join(dir, "a"), "one")
	if err := New(filepath.Join(dir, "b"), func(io.Writer) error { return nil }); err != nil {
		t.Fatal(err)
	}
	if mode("a") != 0o600 || mode("b") != 0o600 {
		t.Errorf("with umask 077: %v, %v", mode("a"), mode("b"))
	}
	if err := os.Chmod(filepath.Join(dir, "a"), 0o664); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "a"), "two")
	if mode("a") != 0o664 {
		t.Errorf("it had 0664 and has %v", mode("a"))
	}
}
