package screen

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/leak"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// oddSizes are windows that nobody would choose.
var oddSizes = [...][2]int{{20, 6}, {20, 10}, {30, 8}, {40, 12}, {44, 50}, {52, 14}, {61, 19}, {75, 23}, {79, 24},
	{80, 10}, {80, 25}, {99, 26}, {123, 27}, {124, 26}, {131, 45}, {300, 100}, {19, 5}, {8, 3}, {1, 1}, {200, 4}, {5, 60}}

// pictures calls f for every situation, size, set of glyphs and system of units.
func pictures(t *testing.T, f func(t *testing.T, sit situation, m Model, out string)) {
	t.Helper()
	all := append(append([][2]int{}, sizes[:]...), oddSizes[:]...)
	for _, sit := range situations() {
		m := modelIn(sit, newFakeFeed(), Options{}, 80, 24)
		for i, size := range all {
			for j, ascii := range []bool{false, true} {
				m.w, m.h, m.glyphs, m.units = size[0], size[1], canvas.GlyphsFor(ascii), quantity.System((i+j)%3)
				// Not View: its fall-back would hide a fault.
				f(t, sit, m, m.picture().String())
			}
		}
	}
}

// TestEveryPictureFillsItsWindow: exactly as many lines as the window has, each
// exactly as wide, whatever happens; a line too many would push the verdict out.
func TestEveryPictureFillsItsWindow(t *testing.T) {
	pictures(t, func(t *testing.T, sit situation, m Model, out string) {
		lines := strings.Split(out, "\n")
		must.Need(t, len(lines) == m.h, "%s %dx%d: %d lines", sit.name, m.w, m.h, len(lines))
		for i, line := range lines {
			got := ansi.StringWidth(line)
			must.Need(t, got == m.w, "%s %dx%d line %d is %d wide: %q", sit.name, m.w, m.h, i, got, line)
		}
	})
}

// TestASCIIMeansASCII: with the ASCII option nothing else is written.
func TestASCIIMeansASCII(t *testing.T) {
	pictures(t, func(t *testing.T, sit situation, m Model, out string) {
		for _, r := range out {
			must.Need(t, !m.glyphs.ASCII || r <= '~', "%s %dx%d has %q", sit.name, m.w, m.h, r)
		}
	})
}

// TestWhatMayNeverBeDropped: verdict, margin, pressure and the worst alarm are
// there at every size from 20×6 up.
func TestWhatMayNeverBeDropped(t *testing.T) {
	pictures(t, func(t *testing.T, sit situation, m Model, out string) {
		if m.w < 20 || m.h < 6 {
			return
		}
		text := ansi.Strip(out)
		v := m.picture()
		for _, want := range []string{"MARGIN", "PRESSURE"} {
			must.Need(t, strings.Contains(text, want), "%s %dx%d lost %s:\n%s", sit.name, m.w, m.h, want, text)
		}
		word := v.shownWord()
		lines, _ := v.letters(word.Order, v.plan.rows[secVerdict], m.w)
		for i, line := range lines {
			if got := strings.Split(text, "\n")[i]; !strings.Contains(got, strings.TrimRight(canvas.FirstCells(line, m.w-4), " ")) {
				t.Fatalf("%s %dx%d lost the verdict %q:\n%s", sit.name, m.w, m.h, word.Big, text)
			}
		}
		if all := v.standing(); len(all) > 0 {
			level, _, _ := v.alarmLook(&all[0])
			must.Need(t, strings.Contains(text, level+" "), "%s %dx%d lost the worst alarm:\n%s", sit.name, m.w, m.h, text)
		}
	})
}

// TestNothingJumps: other values, of other widths, leave every label where it was.
func TestNothingJumps(t *testing.T) {
	labels := []string{"MARGIN", "PRESSURE", "RAMP", "shut in", "if shut", "now", "gas", "WALL", "AHEAD", "SENSORS", "Plover", "session", "help"}
	for _, size := range sizes {
		m := modelIn(situations()[2], newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1])
		before := places(m.picture().String(), labels)
		s := m.live
		s.PressurePa, s.RampPaS, s.MarginK, s.HottestK = bar(123.4), barMin(-104.2), -12.4, degC(-8)
		s.GasK, s.BandK, s.TimeS, s.Outlook.ToLimitS = degC(-101.2), 12.3, 4000, 3999
		s.Outlook.CoastPeakK, s.Outlook.SettlePa, s.Advice.TargetInS = nan, nan, nan
		m.live = s
		after := places(m.picture().String(), labels)
		for _, label := range labels {
			must.Be(t, before[label] == after[label], "%v: %q moved from %v to %v", size, label, before[label], after[label])
		}
	}
}

// places finds line and cell of each label.
func places(picture string, labels []string) map[string][2]int {
	out := map[string][2]int{}
	for y, line := range strings.Split(picture, "\n") {
		for _, label := range labels {
			if at := strings.Index(line, label); at >= 0 {
				out[label] = [2]int{y, utf8.RuneCountInString(line[:at])}
			}
		}
	}
	return out
}

// TestPlanDropsTheLeastFirst: a larger window never shows less of what comes
// before in the order of importance.
func TestPlanDropsTheLeastFirst(t *testing.T) {
	for w := 20; w < 200; w += 7 {
		before := newPlan(w, 6, 2)
		for h := 7; h < 70; h++ {
			p := newPlan(w, h, 2)
			for _, s := range [...]section{secVerdict, secReason, secNumbers, secWall, secKeys, secCaution} {
				must.Be(t, p.rows[s] >= before.rows[s],
					"%dx%d: section %d has %d rows, at one row less it had %d", w, h, s, p.rows[s], before.rows[s])
			}
			used := 0
			for s, n := range p.rows {
				if section(s) != secChart || !p.side {
					used += n
				}
			}
			must.Be(t, used <= h, "%dx%d: the plan takes %d rows", w, h, used)
			before = p
		}
	}
}

// TestOldValuesAreMarked: while data is stale no measured number stands
// without its mark, in any colour depth.
func TestOldValuesAreMarked(t *testing.T) {
	var stale situation
	for _, sit := range situations() {
		if sit.name == "stale" {
			stale = sit
		}
	}
	advice := regexp.MustCompile(`(advised|ramp.*) at most +\d`)
	for _, size := range sizes {
		m := modelIn(stale, newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1])
		text := m.picture().String()
		for _, measured := range []string{"43.7", "41.6", "46.9", "26.1", "44.1"} {
			for rest := text; ; {
				before, after, found := strings.Cut(rest, measured)
				if !found {
					break
				}
				must.Be(t, strings.HasPrefix(after, "?") || strings.HasSuffix(before, "was "), "%v: %s stands unmarked:\n%s", size, measured, text)
				rest = after
			}
		}
		must.Be(t, strings.Contains(text, "OLD") && !advice.MatchString(text), "%v does not say that the data is old:\n%s", size, text)
		w := m.picture().Word()
		must.Be(t, w.Big == "SHUT" && w.Tail == "NO DATA", "%v: old data still asks for gas", size)
	}
}

// TestUnknownIsNeverANumber: nothing known gives dashes and no digits where
// values would be, and never a verdict to put gas in.
func TestUnknownIsNeverANumber(t *testing.T) {
	m := modelIn(until("nothing", 0, func(s *monitor.Snapshot) { *s = monitor.Unknown() }), newFakeFeed(), Options{Depth: canvas.DepthNone}, 100, 30)
	text := m.picture().String()
	for _, wrong := range []string{"NaN", "Inf", "nan", "-273", " 0.0"} {
		must.Be(t, !strings.Contains(text, wrong), "shows %q:\n%s", wrong, text)
	}
	must.Be(t, strings.Contains(text, "Do not start"), "does not say to wait:\n%s", text)
}

// TestIllPressureIsNotShown: even a number that is still there is not shown
// when its sensor is ill, and the reason is.
func TestIllPressureIsNotShown(t *testing.T) {
	sit := until("ill", 82, func(s *monitor.Snapshot) { s.Sensors[0].Health = probe.HealthFrozen })
	m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, 40, 16)
	text := m.picture().String()
	must.Be(t, !strings.Contains(text, "27.0") && strings.Contains(text, "value frozen"), "ill pressure:\n%s", text)
}

// TestSecondProbeWhereThereIsRoom: a second gas probe stands beside the first on a
// wide screen, and nothing gives way to it on a small one.
func TestSecondProbeWhereThereIsRoom(t *testing.T) {
	sit := until("two probes", 30, func(s *monitor.Snapshot) { s.BeadK, s.SecondK, s.AmbientK = degC(41.1), degC(61.7), degC(21.3) })
	for _, size := range [][2]int{{80, 40}, {110, 60}} {
		out := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1]).picture().String()
		must.Be(t, strings.Contains(out, "41.1") && strings.Contains(out, "21.3") && strings.Contains(out, "61.7") == (size[0] > 80),
			"%v:\n%s", size, out)
	}
}

// TestEveryNumberDoesNotPanic feeds the screen what no fill should give.
func TestEveryNumberDoesNotPanic(t *testing.T) {
	for _, x := range []float64{nan, math.Inf(1), math.Inf(-1), 1e300, -1e300, 0, math.Copysign(0, -1), 1e-300} {
		sit := until("absurd", 30, func(s *monitor.Snapshot) {
			s.TimeS, s.PhaseSince, s.PressurePa, s.TargetPa, s.RampPaS, s.BeadK, s.SecondK, s.GasK, s.GasBandK = x, x, x, x, x, x, x, x, x
			s.AmbientK, s.HottestK, s.BandK, s.MarginK, s.GasMassKg = x, x, x, x, x
			s.Advice = advise.Advice{Verdict: 200, RampPaS: x, PeakK: x, TargetInS: x, WaitS: x}
			s.Outlook = advise.Outlook{CoastPeakK: x, CoastPeakBandK: x, ToLimitS: x, SettlePa: x, HoldLimitS: x, Path: []advise.Point{{InS: x, HottestK: x}, {InS: x, HottestK: x}}}
			s.Leak = leak.Verdict{RateKgS: x, BandKgS: x, Significant: true}
			s.Stations = []monitor.Station{{Name: "\x1b[31m漢字\n", OuterK: x, InnerK: x, HottestK: x, BandK: x}}
			s.Hottest, s.Link.AgeS, s.Link.SampleHz = 7, x, x
			s.Alarms = []alarm.Active{{Name: "n", Level: 3, State: 99, SinceS: x, Cause: wording.Words("c\x07"), Do: strings.Repeat("w ", 300)}}
			s.Sensors = []probe.Reading{{Health: 77}}
			s.Events = []monitor.Event{{TimeS: x, Text: wording.Words("e\x1b]0;x\x07")}}
		})
		for _, size := range append(append([][2]int{}, sizes[:]...), oddSizes[:]...) {
			m := modelIn(sit, newFakeFeed(), Options{Depth: canvas.DepthNone}, size[0], size[1])
			out := m.picture().String()
			must.Need(t, !strings.ContainsAny(out, "\x1b\x07"), "%v %v: control characters got through: %q", x, size, out)
			got := strings.Count(out, "\n") + 1
			must.Need(t, got == size[1], "%v %v: %d lines", x, size, got)
		}
	}
}

// TestVerdictsCanBeLarge: every verdict has a drawing, each of its signs.
func TestVerdictsCanBeLarge(t *testing.T) {
	words := []wording.Order{wording.KeepShut, wording.ReadyToFill, wording.Fill, wording.EaseOff, wording.MayTopUp, wording.DoNotStart,
		wording.ShutNow, wording.Vent, wording.ShutSupply, wording.ShutNoData, wording.NoData, wording.DoNotStartYet, wording.DoNotStartOld,
		wording.KeepShutNoData, wording.Emptying, wording.Ended, wording.ToDo("11")}
	for _, w := range words {
		for _, r := range w.Big + w.Tail {
			must.Be(t, canvas.BigWidth(string(r), canvas.BigFive) >= 1, "%q of %q has no drawing", r, w.Big)
		}
	}
}

// TestCurveSignsAreOneCell: the chart's signs, in both sets.
func TestCurveSignsAreOneCell(t *testing.T) {
	for _, s := range fmt.Sprint(unicodeSigns, asciiSigns) {
		must.Be(t, canvas.CellWidth(s) == 1, "%q is not one cell wide", s)
	}
}

// TestColourNeedsAWord: no abort or caution ink without its word or its shape
// on the same line, so that monochrome loses nothing.
func TestColourNeedsAWord(t *testing.T) {
	for _, sit := range situations() {
		for l := range canvas.Looks {
			m := modelIn(sit, newFakeFeed(), Options{Look: l}, 100, 30)
			v := m.picture()
			for y, r := range v.lines() {
				line := ""
				signal := false
				for _, s := range r {
					line += s.Text
					signal = signal || (s.Role == canvas.Abort || s.Role == canvas.Caution) && strings.TrimSpace(s.Text) != ""
				}
				reason := y >= v.plan.rows[secVerdict] && y < v.plan.rows[secVerdict]+v.plan.rows[secReason]
				wrapped := strings.HasPrefix(line, "          ")
				if signal && !reason && !wrapped && !strings.ContainsAny(line, v.g.Abort+v.g.AbortOff+v.g.Caution) {
					t.Errorf("%s, look %s: colour without a shape: %q", sit.name, l, line)
				}
			}
		}
	}
}

// TestQuietWhenNormal: a calm fill has no signal colour at all (ISA-101).
func TestQuietWhenNormal(t *testing.T) {
	for _, sit := range situations() {
		if sit.name != "ready" && sit.name != "filling" && sit.name != "hold" && sit.name != "top-up" {
			continue
		}
		m := modelIn(sit, newFakeFeed(), Options{}, 140, 40)
		for _, r := range m.picture().lines() {
			for _, s := range r {
				must.Be(t, s.Role != canvas.Abort && s.Role != canvas.Caution, "%s: %q is in a signal colour", sit.name, s.Text)
			}
		}
	}
}

// TestHowFastIsAlwaysSaid: where a verdict asks for another ramp, the picture
// says which, beside the word or in the reason, from 40 columns up.
func TestHowFastIsAlwaysSaid(t *testing.T) {
	for _, name := range []string{"ease", "filling", "ready", "top-up"} {
		m, _ := modelAt(t, name)
		for w := 40; w < 220; w += 3 {
			m.w, m.h = w, 30
			text := m.picture().String()
			if !strings.Contains(text, "at most ") && !strings.Contains(text, "own to ") && !strings.Contains(text, "At most ") {
				t.Fatalf("%s at %d columns does not say how fast:\n%s", name, w, text)
			}
		}
	}
}
