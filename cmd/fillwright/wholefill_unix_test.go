//go:build unix

package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"fillwright/internal/mimic"
	"fillwright/internal/mimic/port"
	"fillwright/internal/must"
	"fillwright/internal/vessel"
)

// hand is a pretended operator whose valve the test holds. A fill shuts at the
// target by itself, as a person would shut it.
type hand struct {
	valve    atomic.Pointer[mimic.Valve]
	targetPa float64
}

func (h *hand) turn(a mimic.Action, barPerMin float64) {
	h.valve.Store(&mimic.Valve{Action: a, RampPaS: barPerMin * 1e5 / 60})
}

// Command implements mimic.Operator.
func (h *hand) Command(v mimic.View) mimic.Valve {
	valve := *h.valve.Load()
	if valve.Action == mimic.Fill && v.PressurePa >= h.targetPa {
		h.turn(mimic.Shut, 0)
		return mimic.Valve{}
	}
	return valve
}

// pad is a pretended vessel behind a pseudo-terminal, faster than life.
func pad(t testing.TB, speed, rateHz float64) (path, profile string, h *hand) {
	t.Helper()
	profile = must.Get(filepath.Abs("../../testdata/plover.toml"))(t)
	text := must.Get(os.ReadFile(profile))(t)
	p := must.Get(vessel.Parse(profile, text))(t)
	scene := must.Get(mimic.FindScene("calm"))(t)
	h = &hand{targetPa: float64(p.Fill.Target) + 0.8e5} // a slow hand: the target is seen to be reached
	h.turn(mimic.Open, 0)
	device := must.Get(mimic.NewDevice(p, scene, mimic.Options{Seed: 3, Operator: h, Speed: speed, RateHz: rateHz, WaitForHost: true}))(t)
	ctx, cancel := context.WithCancel(context.Background())
	path, wait, err := port.PTY(ctx, device, "")
	must.Do(t, err)
	t.Cleanup(func() {
		cancel()
		err := ended(wait())
		must.Be(t, err == nil, "%v", err)
	})
	return path, profile, h
}

func (s *started) typed(t testing.TB, keys string) {
	t.Helper()
	must.Do(t, must.Err(s.pty.WriteString(keys)))
}

// TestWholeFill goes key by key from the readiness list to the vented vessel,
// on a pseudo-terminal with an emulator, ten times faster than life; what
// the operator needs is on the screen at each step, and the record has it all.
func TestWholeFill(t *testing.T) {
	port, profile, h := pad(t, 10, 20)
	h.targetPa = 20.8e5
	s := start(t, 160, 45, nil, "watch", "--port", port, "--vessel", profile, "--log", "whole.fill", "--speed", "10")
	t.Cleanup(func() { // after a failure: it must not go on looking for its port
		if s.cmd.ProcessState == nil {
			_ = s.cmd.Process.Kill() // it may have ended by itself
			_ = s.cmd.Wait()
		}
	})
	step := func(keys string, wants ...string) {
		t.Helper()
		s.typed(t, keys)
		for _, want := range wants {
			s.until(t, want)
		}
	}
	// Before the fill.
	step("", "vented", "BEFORE THE FILL", "no offsets file was given", "press 1 when it is so", "at most")
	step("1", "Confirmed: people clear")
	step("2", "Confirmed: relief valve fitted")
	step("3", "Confirmed: vent line tested", "9 of 11 ready")
	step("3", "Taken back: vent line tested", "8 of 11 ready")
	step("3", "9 of 11 ready")
	step("r", "BEFORE THE FILL page 1 of", "confirmed; 3 takes it back", "sensors alive and plausible      all 6", "GB free")
	step("\x1b", "SENSORS  all 6 good")
	step("s\t22.5\r", "Surface shade 22.5 °C saved", "8 of 11 ready") // somebody was there: people clear is taken back
	step("1", "9 of 11 ready")
	step("z", "taken back")
	step("s\t120\r\r", "not used: sun, air and gas")
	step("z", "taken back")
	// The fill.
	h.turn(mimic.Fill, 24)
	step("", "filling", "filling began with", "shut in", "target then in")
	step("g20\r", "Target 20.0 bar from now on")
	step("f", "pinned at")
	step("mgust\r", "Remark saved")
	step("u", "PRESSURE  psi", "psi/min")
	step("uu", "PRESSURE  bar")
	step("?", "HELP page 1 of")
	step("\x1b", "MODEL")
	step("q", "The vessel is under pressure", "Quit all the same?")
	step("n", "seen")
	step("", "NOTE    new", "Shut the supply.")
	step("i", "ALARMS page 1 of 1", "filling on wastes gas and margin", "Within 15 s.")
	step("\x1b", "SENSORS")
	step("a", "NOTE    seen")
	// The hold.
	step("", "holding", "stood", "left", "settles at")
	step("t1\r", "Reminder every 1:00: re-wet from a distance")
	step("", "none seen", "re-wet from a distance. Do it, then accept it.")
	step("a", "Alarms seen")
	// The vent.
	h.turn(mimic.Vent, 18)
	step("f", "unpinned")
	step("", "Let it vent", "gas falls to", "under pressure")
	step("", "LAST FILL", "hottest", "fastest ramp", "aborts", "leak        none seen") // at ten times life a busy machine is a late logger
	step("r", "BEFORE THE FILL page 1 of", "press 1 when it is so")
	step("\x1b", "SENSORS")
	step("q")
	must.Equal(t, s.end(t), codeDone, "exit code")
	var out, errs strings.Builder
	code := run([]string{"replay", s.cmd.Dir + "/whole.fill"}, &out, &errs)
	blind := strings.Count(out.String(), ", blind: ") > 0 && strings.Count(out.String(), "ALARM ABORT") == strings.Count(out.String(), ", blind: ")
	if code != codeDone && !(code == codeAbort && blind) || errs.Len() > 0 { // blind: a busy machine is a late logger
		t.Fatalf("the replay ended with %d and said %q", code, errs.String())
	}
	for _, want := range []string{"confirmed: people-clear", "confirmation taken back: vent-line", "surface shade read 22.5 °C", "surface sun read 120.0 °C, not used",
		"surface reading taken back", "mark: mark 1: gust", "acknowledged: all alarms", "target 20.0 bar", "reminder every 60 s: re-wet from a distance"} {
		must.Be(t, strings.Contains(out.String(), want), "the record lacks %q", want)
	}
}
