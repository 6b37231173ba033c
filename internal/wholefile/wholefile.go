// Package wholefile writes files that are there whole or not at all: a kill or
// a power cut at any moment leaves the old or the new one.
package wholefile

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"

	"fillwright/internal/wrongfile"
)

// ErrFolder is wrapped by the error of Replace when the file is in its place,
// but a power cut may still take it back: its folder can't be synced.
var ErrFolder = errors.New("its folder can't be synced to the disk")

// ErrNoFile is wrapped by the error of Replace for a folder, a device or the
// like.
var ErrNoFile = errors.New("is no ordinary file")

// Replace puts data in the place of path. It is written beside it, synced and
// moved there in one go, then the folder is synced. A link is followed: the
// file that it names is replaced, and need not be there. A file that is there
// hands its permissions on; a new one gets what the umask leaves of rw-r--r--.
func Replace(path string, data []byte) error {
	path, err := Target(path)
	if err != nil {
		return err
	}
	mode, err := modeOf(path)
	if err != nil {
		return err
	}
	f, err := beside(path)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if mode != 0 {
		err = errors.Join(err, f.Chmod(mode))
	}
	if err = errors.Join(err, f.Sync(), f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	if err := syncFolder(filepath.Dir(path)); err != nil {
		return fmt.Errorf("%w: %w", ErrFolder, err)
	}
	return nil
}

// New makes a file that must not be there yet (else the error is fs.ErrExist)
// and has fill write it. When that fails the unfinished file is removed.
func New(path string, fill func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if err = fill(f); err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// linksMost is more links than anybody lays one behind the other.
const linksMost = 40

// Target is the file that a path names in the end, whether it is there or not.
func Target(path string) (string, error) {
	for range linksMost {
		to, err := os.Readlink(path)
		if err != nil {
			return path, nil // no link, or nothing there
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	return "", &fs.PathError{Op: "follow", Path: path, Err: errors.New("too many links, one to the other")}
}

// modeOf is the permissions of a file that is there, 0 for one that is not.
func modeOf(path string) (fs.FileMode, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return 0, nil
	case err != nil:
		return 0, err
	case !info.Mode().IsRegular():
		return 0, fmt.Errorf("%s %w", path, ErrNoFile)
	}
	return info.Mode().Perm(), nil
}

// besideMost is how many names are tried for the file beside.
const besideMost = 100

// beside makes a file with a name of its own in the same folder.
func beside(path string) (f *os.File, err error) {
	for range besideMost {
		var b [6]byte
		if _, err := rand.Read(b[:]); err != nil {
			return nil, err
		}
		name := filepath.Join(filepath.Dir(path), fmt.Sprintf(".%s.%x", filepath.Base(path), b))
		f, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	return f, err
}

// syncFolder makes a rename last through a power cut. Windows has no such
// thing, and neither have some file systems.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) {
		err = nil
	}
	return errors.Join(err, f.Close())
}

// textMost is far more than any profile, offsets or model has.
const textMost = 1 << 20

// Read reads a small text file. The error is a *wrongfile.Error; missing says
// what to do where there is no such file.
func Read(path, missing string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &wrongfile.Error{File: path, What: "there is no such file", Do: missing}
	case err != nil:
	case info.IsDir():
		return nil, &wrongfile.Error{File: path, What: "is a folder", Do: "name a file in it"}
	case info.Size() > textMost:
		return nil, &wrongfile.Error{File: path, What: "is far too large for this kind of file", Do: "check the name"}
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(path)
	}
	if err != nil {
		return nil, &wrongfile.Error{File: path, What: "can't be read", Do: "check the folder and who may read there", Err: err}
	}
	return data, nil
}
