//go:build unix

package logger

import (
	"errors"
	"fmt"
	"os"
	"syscall"
)

// portLock is the hold that one program has on a port besides the library's
// TIOCEXCL: flock on the device node itself. TIOCEXCL does not stop root,
// and root's second Close takes it away; flock stops both, needs no folder
// for lock files, and goes by itself when a program is killed.
type portLock struct{ fd int }

// lockPort fails with errBusy, errNotSerial or what the system said.
func lockPort(path string) (*portLock, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.Mode()&os.ModeCharDevice == 0 {
		return nil, errNotSerial
	}
	fd, err := syscall.Open(path, syscall.O_RDONLY|syscall.O_NOCTTY|syscall.O_NONBLOCK|syscall.O_CLOEXEC, 0)
	if err != nil {
		return nil, &os.PathError{Op: "open", Path: path, Err: err}
	}
	lock := &portLock{fd: fd}
	// A node that knows no flock keeps TIOCEXCL alone.
	if err := syscall.Flock(fd, syscall.LOCK_EX|syscall.LOCK_NB); errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, errors.Join(errBusy, lock.release())
	}
	if foreignHold(path, lock) {
		return nil, errors.Join(errBusy, lock.release())
	}
	return lock, nil
}

func (l *portLock) release() error {
	if l == nil || l.fd < 0 {
		return nil
	}
	fd := l.fd
	l.fd = -1
	return syscall.Close(fd)
}

// descriptorMost is the end of what select can watch on all Unix systems,
// less the few descriptors that opening a port takes.
const descriptorMost = 1024 - 8

// descriptorsLeft looks whether the next descriptor is one that select takes;
// the library panics on others.
func descriptorsLeft() error {
	f, err := os.Open(os.DevNull)
	if err != nil {
		return tooManyFiles(err)
	}
	n := f.Fd()
	if err := f.Close(); err != nil {
		return tooManyFiles(err)
	}
	if n >= descriptorMost {
		return tooManyFiles(fmt.Errorf("the next descriptor is %d, serial ports work below %d", n, descriptorMost))
	}
	return nil
}
