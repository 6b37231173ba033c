//go:build !linux && !darwin && !windows

package runlog

import (
	"errors"
	"os"
)

var errQuota = errors.New("quota exceeded")

var errUnsupported = errors.New("not known on this system")

// FreeBytes is not known on this system.
func FreeBytes(string) (uint64, error) { return 0, errUnsupported }

func lock(*os.File) error { return errUnsupported }

func syncFolder(string) error { return nil }

// nameless is not known here.
func nameless(os.FileInfo) bool { return false }
