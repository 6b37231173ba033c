//go:build unix

package program

import (
	"os"
	"os/signal"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

var moreEnds = []os.Signal{syscall.SIGUSR1, syscall.SIGUSR2, syscall.SIGXCPU, syscall.SIGVTALRM}

// foregroundLook is how often a program that goes on in the background looks
// whether it has the terminal again.
const foregroundLook = 100 * time.Millisecond

// onSleep refuses to be put to sleep, and tells when the program goes on after
// it was stopped all the same (SIGSTOP can't be refused). The end of done, or
// calling stop, ends it.
func onSleep(done <-chan struct{}, refused, awake func()) (stop func()) {
	got := make(chan os.Signal, 4)
	signal.Notify(got, syscall.SIGTSTP, syscall.SIGCONT)
	go func() {
		for {
			select {
			case <-done:
				return
			case s := <-got:
				switch {
				case s == syscall.SIGTSTP:
					go refused()
				case inFront(done):
					go awake()
				}
			}
		}
	}()
	return func() { signal.Stop(got) }
}

// inFront waits until the program has the terminal: whoever sets its mode from
// the background is stopped. It is false when done came first.
func inFront(done <-chan struct{}) bool {
	look := time.NewTicker(foregroundLook)
	defer look.Stop()
	for {
		group, err := unix.IoctlGetInt(int(os.Stdin.Fd()), unix.TIOCGPGRP)
		if err != nil || group == unix.Getpgrp() {
			return true
		}
		select {
		case <-done:
			return false
		case <-look.C:
		}
	}
}
