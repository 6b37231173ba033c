//go:build linux || darwin

package runlog

import (
	"errors"
	"os"
	"syscall"
)

// errQuota is what a full quota gives.
const errQuota = syscall.EDQUOT

// FreeBytes is how many bytes an ordinary user can still write on the disk
// that holds path.
func FreeBytes(path string) (uint64, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(path, &s); err != nil {
		return 0, err
	}
	return s.Bavail * uint64(s.Bsize), nil
}

// lock takes the file for this process until it is closed. The error is
// ErrLocked when another one has it.
func lock(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return ErrLocked
	}
	return err
}

// syncFolder gets a new file's name onto the disk.
func syncFolder(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, syscall.EINVAL) {
		err = nil // a file system that syncs no folders
	}
	return errors.Join(err, d.Close())
}

// nameless says whether an open file has no name any more.
func nameless(info os.FileInfo) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && s.Nlink == 0
}
