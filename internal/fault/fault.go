// Package fault makes an error of a panic, so that what stands around it can
// still close the log and restore the terminal.
package fault

import (
	"fmt"
	"runtime/debug"
)

// Guard runs body; a panic in it becomes its error. where is in words: "the
// painter".
func Guard(where string, body func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = Of(where, r)
		}
	}()
	return body()
}

// Of is the error of a panic that was recovered in the same goroutine.
func Of(where string, panicked any) error {
	return fmt.Errorf("internal failure in %s: %v\n%s", where, panicked, debug.Stack())
}
