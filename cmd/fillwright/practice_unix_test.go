//go:build unix

package main

import (
	"os"
	"strings"
	"testing"
	"time"

	"fillwright/internal/must"
)

// keys types them one after the other.
func (s *started) keys(t testing.TB, keys string) {
	t.Helper()
	for _, k := range keys {
		must.Do(t, must.Err(s.pty.WriteString(string(k))))
	}
}

// TestPractice proves that the demo waits for the operator's hand, that keys
// turn the pretended valves, that readings can be typed meanwhile, and that at
// the end the truth is told, with what became of the alarms.
func TestPractice(t *testing.T) {
	t.Parallel()
	s := start(t, 110, 32, nil, "watch", "--demo", "--practice", "--scene", "rushed")
	s.until(t, "all 6 good")
	s.until(t, "vent 16/16")
	s.keys(t, "o")
	s.until(t, "The vent is open: shut it first.")
	s.keys(t, "s44,5\r")
	s.until(t, "Surface sun 44.5")
	s.keys(t, "xoooooo")
	s.until(t, "supply 6/16")
	s.until(t, "filling")
	s.until(t, "ABORT")
	s.keys(t, "ax")
	s.until(t, "both shut")
	s.keys(t, strings.Repeat("v", 16))
	s.until(t, "vent 16/16")
	s.until(t, " vented  0:0")
	s.keys(t, "q")
	s.until(t, "of this practice")
	must.Equal(t, s.end(t), codeDone, "exit code")
	told := s.vt.String()
	for _, want := range []string{"Fill 1, 0:", "hottest wall, truly", "least left to onset", "above the advised ramp", "supply shut after", "seen after"} {
		must.Be(t, strings.Contains(told, want), "the account does not say %q:\n%s", want, told)
	}
}

// TestPracticeOnTwoMachines proves that the valve may be on one machine and the
// watch on another: the gauge answers to the keys, and the truth is told there.
func TestPracticeOnTwoMachines(t *testing.T) {
	t.Parallel()
	valve := start(t, 110, 32, nil, "mimic", "--pty", "--link", "port", "--practice")
	valve.until(t, "vent 16/16")
	profile := t.TempDir() + "/plover.toml"
	var out, errs strings.Builder
	if code := run([]string{"profile", "new", "--example", profile}, &out, &errs); code != codeDone {
		t.Fatal(errs.String())
	}
	watch := start(t, 110, 32, nil, "watch", "--port", valve.cmd.Dir+"/port", "--vessel", profile, "--no-log")
	watch.until(t, "all 6 good")
	valve.keys(t, "xooooo")
	valve.until(t, "supply 5/16")
	watch.until(t, "filling")
	valve.keys(t, "x")
	watch.until(t, "holding")
	valve.keys(t, "q")
	valve.until(t, "y ends, any other key stays")
	valve.keys(t, "y")
	valve.until(t, "left under pressure")
	must.Equal(t, valve.end(t), codeDone, "exit code")
	watch.keys(t, "q")
	time.Sleep(100 * time.Millisecond) // the question is read before its answer
	watch.keys(t, "y")
	code := watch.end(t)
	must.Be(t, code == codeDone || code == codeFailed, "the watch ended with %d", code)
}

// TestPracticeRefuses proves that a practice wants a terminal and its own hand.
func TestPracticeRefuses(t *testing.T) {
	for _, args := range [][]string{
		{"watch", "--demo", "--practice", "--follow"}, {"watch", "--demo", "--practice", "--plain"},
		{"watch", "--port", os.DevNull, "--vessel", "x.toml", "--practice"},
		{"mimic", "--offline", "--log", "x.fill", "--practice"}, {"mimic", "--pty", "--practice", "--follow"},
	} {
		var out, errs strings.Builder
		code := run(args, &out, &errs)
		must.Be(t, code == codeWrong && strings.Contains(errs.String(), "--practice"), "%v: exit code %d, %s", args, code, errs.String())
	}
}
