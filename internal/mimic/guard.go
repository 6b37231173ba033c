package mimic

import (
	"fmt"
	"runtime/debug"
)

// guarded runs the body of a goroutine; a panic becomes its error. A pretended
// logger may run beside a screen, whose terminal must not be left raw.
func guarded(body func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("mimic: internal failure: %v\n%s", r, debug.Stack())
		}
	}()
	return body()
}
