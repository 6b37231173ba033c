package program

import (
	"os"
	"syscall"
)

// Ends are the signals that ask the program to end, and those that end one
// which does not listen: with a terminal in raw mode each has to be heard. A
// fault of the processor in our own code is none of them: it is a panic.
func Ends() []os.Signal {
	return append([]os.Signal{os.Interrupt, syscall.SIGHUP, syscall.SIGTERM, syscall.SIGQUIT, syscall.SIGABRT, syscall.SIGSEGV,
		syscall.SIGBUS, syscall.SIGFPE, syscall.SIGILL, syscall.SIGTRAP, syscall.SIGALRM}, moreEnds...)
}
