package runlog

import (
	"os"
	"syscall"
	"unsafe"
)

// errQuota is what a full disk gives: ERROR_DISK_FULL.
const errQuota = syscall.Errno(112)

const (
	lockfileFailImmediately = 1
	lockfileExclusive       = 2
	errorLockViolation      = syscall.Errno(33)
	lockHigh                = 1 << 30 // far behind any log: locks on Windows bar reading
)

var (
	kernel32      = syscall.NewLazyDLL("kernel32.dll")
	lockFileEx    = kernel32.NewProc("LockFileEx")
	diskFreeSpace = kernel32.NewProc("GetDiskFreeSpaceExW")
)

// FreeBytes is how many bytes this user can still write on the disk that
// holds path.
func FreeBytes(path string) (uint64, error) {
	p, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return 0, err
	}
	var free uint64
	ok, _, err := diskFreeSpace.Call(uintptr(unsafe.Pointer(p)), uintptr(unsafe.Pointer(&free)), 0, 0)
	if ok == 0 {
		return 0, err
	}
	return free, nil
}

// lock takes the file for this process until it is closed. The error is
// ErrLocked when another one has it.
func lock(f *os.File) error {
	at := syscall.Overlapped{OffsetHigh: lockHigh}
	ok, _, err := lockFileEx.Call(f.Fd(), lockfileExclusive|lockfileFailImmediately, 0, 1, 0, uintptr(unsafe.Pointer(&at)))
	if ok != 0 {
		return nil
	}
	if err == errorLockViolation {
		return ErrLocked
	}
	return err
}

// syncFolder does nothing: Windows keeps a new file's name with the file.
func syncFolder(string) error { return nil }

// nameless is not known here.
func nameless(os.FileInfo) bool { return false }
