package logger

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"

	"go.bug.st/serial"
)

// Problem says why a logger could not be opened or was lost.
type Problem uint8

// The problems.
const (
	ProblemOther      Problem = iota
	ProblemMissing            // no such port or file
	ProblemBusy               // another program has the port
	ProblemDenied             // not allowed to use the port or file
	ProblemNotSerial          // it is something else than a serial port
	ProblemBaud               // the port does not do this speed
	ProblemDescriptor         // too many files are open in this program
	ProblemAddress            // not a TCP address
	ProblemRefused            // the computer is there, nobody listens
	ProblemUnreached          // the computer is not reached
	ProblemLost               // it was open and went away
)

// OpenError says why a logger could not be opened, and what to do.
type OpenError struct {
	Problem Problem
	Name    string   // port, address or file
	Detail  string   // what is wrong, without the name
	Hints   []string // what to type or do next, most useful first
	Err     error    // what the operating system said; may be nil
}

// Error is one line that says what is wrong, and a line for each hint.
func (e *OpenError) Error() string {
	var b strings.Builder
	b.WriteString(e.Short())
	for _, h := range e.Hints {
		b.WriteString("\n  ")
		b.WriteString(h)
	}
	return b.String()
}

// Short is the first line of Error.
func (e *OpenError) Short() string { return e.Name + ": " + e.Detail }

// Unwrap is what the operating system said.
func (e *OpenError) Unwrap() error { return e.Err }

// Short is an error of this package in one line, for a screen.
func Short(err error) string {
	var open *OpenError
	if errors.As(err, &open) {
		return open.Short()
	}
	if errors.Is(err, io.EOF) {
		return "the other side hung up"
	}
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}

// serialError turns what go.bug.st/serial or the system said about a port
// into an OpenError. who names the programs that hold the port, if known.
func serialError(name string, baud int, err error, who []string) *OpenError {
	e := &OpenError{Name: name, Err: err}
	switch serialProblem(err) {
	case ProblemMissing:
		e.missing()
	case ProblemBusy:
		e.busy(who)
	case ProblemDenied:
		e.denied()
	case ProblemNotSerial:
		e.Problem, e.Detail = ProblemNotSerial, "this is not a serial port"
		e.Hints = []string{"for the list of ports type: fillwright ports",
			"a recorded file is shown with: fillwright replay " + name}
	case ProblemBaud:
		e.Problem, e.Detail = ProblemBaud, fmt.Sprintf("the port does not do %d baud", baud)
		e.Hints = []string{"give the speed that the logger's firmware sets, for example: --baud 115200"}
	default:
		e.Problem, e.Detail = ProblemOther, "can't be opened: "+err.Error()
		e.Hints = []string{"unplug the logger and plug it in again, then type: fillwright ports"}
	}
	return e
}

func serialProblem(err error) Problem {
	var port *serial.PortError
	if errors.As(err, &port) {
		switch port.Code() {
		case serial.PortBusy:
			return ProblemBusy
		case serial.PortNotFound:
			return ProblemMissing
		case serial.PermissionDenied:
			return ProblemDenied
		case serial.InvalidSpeed:
			return ProblemBaud
		case serial.InvalidSerialPort:
			return invalidPortProblem(port.Error())
		}
	}
	switch {
	case errors.Is(err, errBaud):
		return ProblemBaud
	case errors.Is(err, errBusy), errors.Is(err, syscall.EBUSY):
		return ProblemBusy
	case errors.Is(err, errNotSerial), errors.Is(err, syscall.ENOTTY), errors.Is(err, syscall.EISDIR):
		return ProblemNotSerial
	// ENXIO, ENODEV and EIO: the node is there and the hardware behind it is not.
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENXIO),
		errors.Is(err, syscall.ENODEV), errors.Is(err, syscall.EIO), errors.Is(err, syscall.ENOTDIR):
		return ProblemMissing
	case errors.Is(err, fs.ErrPermission):
		return ProblemDenied
	}
	return ProblemOther
}

// invalidPortProblem looks at the text, for the library hides the cause of
// an invalid port. Settings that are refused at the last step are the speed:
// all others are the same for every port.
func invalidPortProblem(text string) Problem {
	switch {
	case strings.Contains(text, "configuring port"):
		return ProblemBaud
	case strings.Contains(text, syscall.EIO.Error()), strings.Contains(text, syscall.ENXIO.Error()),
		strings.Contains(text, syscall.ENODEV.Error()):
		return ProblemMissing
	}
	return ProblemNotSerial
}

func (e *OpenError) missing() {
	e.Problem, e.Detail = ProblemMissing, "there is no such port, or nothing is plugged into it"
	e.Hints = []string{"check the cable and the logger's power",
		"for the list of ports type: fillwright ports"}
}

func (e *OpenError) busy(who []string) {
	e.Problem, e.Detail = ProblemBusy, "another program is using the port"
	if len(who) > 0 {
		e.Detail += ": " + strings.Join(who, ", ")
	}
	e.Hints = []string{"close the other program; it may be another fillwright, a serial terminal or ModemManager",
		"to keep ModemManager off, put this line in /etc/udev/rules.d/99-fillwright.rules with the ids that fillwright ports shows, then plug in again:",
		`SUBSYSTEM=="tty", ATTRS{idVendor}=="2341", ATTRS{idProduct}=="0043", ENV{ID_MM_DEVICE_IGNORE}="1"`}
}

func (e *OpenError) denied() {
	e.Problem, e.Detail = ProblemDenied, "you are not allowed to use this port"
	e.Hints = []string{"to be allowed, type this, then log out and in again: sudo usermod -aG dialout $USER",
		"(some systems call the group uucp: ls -l " + e.Name + " shows it)",
		"or put this line in /etc/udev/rules.d/99-fillwright.rules with the ids that fillwright ports shows, then plug in again:",
		`SUBSYSTEM=="tty", ATTRS{idVendor}=="2341", ATTRS{idProduct}=="0043", MODE="0660", TAG+="uaccess"`}
}

func tooManyFiles(err error) *OpenError {
	return &OpenError{Problem: ProblemDescriptor, Name: "serial port", Err: err,
		Detail: "this program has too many files open",
		Hints:  []string{"close fillwright and start it again; if it comes back, report it"}}
}
