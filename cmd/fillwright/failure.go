package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"fillwright/internal/logger"
	"fillwright/internal/plan"
	"fillwright/internal/quantity"
	"fillwright/internal/wrongfile"
)

// Exit codes.
const (
	codeDone   = 0
	codeFailed = 1
	codeWrong  = 2 // the command line or a file
	codeAbort  = 3 // a replay raised an abort, or a plan is a no-go
)

// usageError says what is wrong with a command line.
type usageError struct {
	what  string
	hints []string
}

func usage(format string, a ...any) *usageError { return &usageError{what: fmt.Sprintf(format, a...)} }

// hint adds a line that says what to type.
func (e *usageError) hint(lines ...string) *usageError {
	e.hints = append(e.hints, lines...)
	return e
}

// Error is a line that says what is wrong, and a line for each hint.
func (e *usageError) Error() string {
	return strings.Join(append([]string{e.what}, e.hints...), "\n  ")
}

// errAbort ends a replay that raised an abort; its lines have said so.
var errAbort = errors.New("an abort was raised")

// report prints an error for people and gives the exit code.
func report(w io.Writer, err error) int {
	switch {
	case err == nil:
		return codeDone
	case errors.Is(err, errAbort), errors.Is(err, errNoGo):
		return codeAbort
	}
	// An error about the error has no place to go.
	_, _ = fmt.Fprintf(w, "fillwright: %s\n", short(err.Error()))
	return codeOf(err)
}

// An error is read on a terminal: the first lines of it say what to do.
const (
	errorLinesMost   = 16
	failureLinesMost = 60  // of an internal failure, which brings the place in the program
	errorLineMost    = 500 // characters
)

// short is an error's text as far as anybody reads it.
func short(text string) string {
	most := errorLinesMost
	if strings.Contains(text, "internal failure") {
		most = failureLinesMost
	}
	lines := strings.Split(text, "\n")
	if n := len(lines) - most; n > 0 {
		lines = append(lines[:most], fmt.Sprintf("and %d lines more", n))
	}
	for i, l := range lines {
		if r := []rune(l); len(r) > errorLineMost {
			lines[i] = string(r[:errorLineMost]) + "…"
		}
	}
	return strings.Join(lines, "\n")
}

// codeOf tells a wrong command line or file from a failure on the way.
func codeOf(err error) int {
	var (
		line  *usageError
		file  *wrongfile.Error
		value *quantity.ParseError
		open  *logger.OpenError
		day   *plan.DayError
		other *plan.OtherVesselError
	)
	switch {
	case errors.As(err, &line), errors.As(err, &file), errors.As(err, &value), errors.As(err, &day), errors.As(err, &other):
		return codeWrong
	case errors.As(err, &open) && open.Problem == logger.ProblemAddress:
		return codeWrong
	}
	return codeFailed
}
