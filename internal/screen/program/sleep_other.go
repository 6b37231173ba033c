//go:build !unix

package program

import "os"

var moreEnds []os.Signal

// onSleep does nothing: this system puts no program to sleep.
func onSleep(<-chan struct{}, func(), func()) (stop func()) { return func() {} }
