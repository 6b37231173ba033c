package screen

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/checklist"
	"fillwright/internal/lines"
	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// largeSizes are windows in which the pressure is large.
var largeSizes = [...][2]int{{52, 12}, {60, 20}, {76, 20}, {80, 24}, {100, 30}, {124, 30}, {132, 40}, {160, 45}, {200, 60}}

// digitsAt draws a number as large as a window does.
func digitsAt(v *view, number string) []string {
	size := canvas.BigThree
	if v.plan.rows[secNumbers] >= 8 {
		size = canvas.BigFiveWide
	}
	return canvas.BigText(number, size, v.g.Big)
}

// TestRampIsAsLargeAsThePressure: at every size where the pressure is large the
// present and the advised ramp are, in the same rows.
func TestRampIsAsLargeAsThePressure(t *testing.T) {
	for _, name := range []string{"filling", "ease", "top-up", "abort-stop"} {
		m, _ := modelAt(t, name)
		for _, size := range largeSizes {
			m.w, m.h = size[0], size[1]
			v := m.picture()
			must.Need(t, v.plan.rows[secNumbers] >= 4, "%v: the numbers are not large", size)
			text := strings.Split(ansi.Strip(v.String()), "\n")
			first := v.plan.rows[secVerdict] + v.plan.rows[secReason] + v.plan.rows[secAlarms] + 1
			for _, meter := range []meter{v.margin(), v.pressure(), v.ramp(), v.most()} {
				for i, line := range digitsAt(v, meter.number) {
					if short := digitsAt(v, rounded(meter.number, meter.up))[i]; !strings.Contains(text[first+i], strings.TrimRight(line, " ")) && !strings.Contains(text[first+i], strings.TrimRight(short, " ")) {
						t.Fatalf("%s at %v: %s %s is not in large digits:\n%s", name, size, meter.label, meter.number, strings.Join(text, "\n"))
					}
				}
			}
		}
	}
}

// TestRateStandsBesideTheWord: from 80 columns on the verdict's own number is
// whole, beside the large word, in every unit.
func TestRateStandsBesideTheWord(t *testing.T) {
	for _, name := range []string{"filling", "ease", "top-up", "ready"} {
		m, _ := modelAt(t, name)
		for i := range m.live.Ready {
			m.live.Ready[i].State = checklist.Yes
		}
		for _, m.units = range []quantity.System{quantity.SystemBarC, quantity.SystemPSIF} {
			for m.w = 80; m.w < 220; m.w += 4 {
				for _, m.h = range []int{24, 45} {
					v := m.picture()
					beside := strings.Split(ansi.Strip(v.String()), "\n")[v.plan.rows[secVerdict]/2]
					rate := strings.TrimSpace(v.Rate())
					must.Need(t, rate != "" && strings.Contains(beside, rate), "%s at %dx%d, %s: %q lacks %q", name, m.w, m.h, m.units, beside, rate)
				}
			}
		}
	}
}

// TestRoundedToTheSideOfCare: where decimals find no room, what is there is
// never shown as more room, nor a pressure as less.
func TestRoundedToTheSideOfCare(t *testing.T) {
	for _, c := range []struct {
		number string
		up     bool
		want   string
	}{{"12.9", false, "12"}, {"-3.1", false, "-4"}, {"100.2", true, "101"}, {"-104.2", true, "-104"}, {"--", true, "--"}, {"7", false, "7"}} {
		must.Equal(t, rounded(c.number, c.up), c.want, "%s", c.number)
	}
}

// TestOldNumbersAreNotLarge: without data no measured number is drawn large; it
// stands small, as what it was.
func TestOldNumbersAreNotLarge(t *testing.T) {
	for _, size := range largeSizes {
		m, _ := modelAt(t, "stale")
		m.w, m.h = size[0], size[1]
		v := m.picture()
		text := ansi.Strip(v.String())
		for _, meter := range []meter{v.margin(), v.pressure(), v.ramp()} {
			digits := digitsAt(v, meter.number)
			must.Be(t, !strings.Contains(text, strings.TrimSpace(digits[len(digits)/2])), "%v: %s is large:\n%s", size, meter.label, text)
			must.Be(t, strings.Contains(text, "was "+meter.number), "%v: what %s was is not told:\n%s", size, meter.label, text)
		}
	}
}

// TestOneBlockBehindTheWord: every cell of a signal's rows has its ground, in
// every look; a plain word has none.
func TestOneBlockBehindTheWord(t *testing.T) {
	for _, sit := range situations() {
		for _, size := range sizes {
			m := modelIn(sit, newFakeFeed(), Options{}, size[0], size[1])
			v := m.picture()
			want := roleOf(v.shownWord())
			rows := v.plan.rows[secVerdict]
			f := canvas.FrameOf(v.lines(), m.w, m.h, m.palettes[m.look], 0)
			for i := range rows * m.w {
				_, got := f.At(i%m.w, i/m.w)
				signal := got == canvas.Abort || got == canvas.Caution
				must.Need(t, signal == (want != canvas.Strong) && (!signal || got == want),
					"%s at %v: cell %d of row %d has role %d, the word %d", sit.name, size, i%m.w, i/m.w, got, want)
			}
		}
	}
}

// TestPastAlarmIsNoOrder: an abort that is over has no colour under whatever
// stands now, says when it was, and asks for nothing.
func TestPastAlarmIsNoOrder(t *testing.T) {
	for _, from := range []string{"filling", "vent", "over", "ready"} {
		m, _ := modelAt(t, from)
		m.live.Level = alarm.LevelAbort
		m.live.Alarms = []alarm.Active{{Name: alarm.Blind, Level: alarm.LevelAbort, State: alarm.StateLatched, SinceS: 62, EndS: 71, First: true,
			Cause: wording.Words(definitionsByName[alarm.Blind].Was)}}
		for _, size := range sizes {
			m.w, m.h = size[0], size[1]
			v := m.picture()
			for _, r := range v.lines() {
				for _, s := range r {
					must.Need(t, s.Role != canvas.Abort, "%s at %v: red: %q", from, size, s.Text)
				}
			}
			text := strings.Join(strings.Fields(ansi.Strip(v.String())), " ")
			if strings.Contains(text, "Shut the supply now") || !strings.Contains(text, "1:02 to 1:11: It was filled without") || !strings.Contains(text, "ABORT") {
				t.Errorf("%s at %v: %s", from, size, text)
			}
		}
		line := lines.PlainAlarm(m.live.Alarms[0], quantity.SystemBarC)
		must.Be(t, !strings.Contains(line, "Shut") && strings.Contains(line, "past 1:02 to 1:11"), "plain: %q", line)
		m.leaf, m.help = leafAlarms, 0
		text := m.View()
		must.Be(t, !strings.Contains(text, "Shut the supply") && !strings.Contains(text, "Within 5 s"), "leaf: %s", text)
		must.Be(t, !m.wantsFlash(), "it flashes")
	}
}

// TestWhatIsNowStandsFirst: a caution that is the case stands above an abort
// that is over.
func TestWhatIsNowStandsFirst(t *testing.T) {
	m, _ := modelAt(t, "abort-over")
	m.live.Alarms = append(m.live.Alarms, alarm.Active{Name: alarm.SensorIll, Level: alarm.LevelCaution, State: alarm.StateAcknowledged, Cause: wording.Words("x"), Do: "y"})
	all := m.picture().standing()
	must.Be(t, all[0].Name == alarm.SensorIll, "%+v", all)
}

// TestInferredGasIsMarked: a gas temperature that no probe reads says so, large
// window or plain line.
func TestInferredGasIsMarked(t *testing.T) {
	for _, sensors := range []func(r []probe.Reading) []probe.Reading{
		func(r []probe.Reading) []probe.Reading { r[1].Health = probe.HealthOpen; return r },
		func(r []probe.Reading) []probe.Reading {
			return slices.DeleteFunc(r, func(r probe.Reading) bool { return r.Role == vessel.RoleGas })
		},
	} {
		m, _ := modelAt(t, "filling")
		m.live.Sensors, m.live.BeadK = sensors(m.live.Sensors), nan
		for _, size := range [][2]int{{80, 24}, {100, 30}, {140, 40}} {
			m.w, m.h = size[0], size[1]
			text := m.picture().String()
			must.Be(t, strings.Contains(text, "inferred"), "%v: %s", size, text)
		}
		line := lines.PlainLine(m.live, quantity.SystemBarC)
		must.Be(t, strings.Contains(line, "°C inferred"), "plain: %q", line)
	}
	m, _ := modelAt(t, "filling")
	text := m.picture().String()
	must.Be(t, !strings.Contains(text, "inferred"), "with a probe: %s", text)
}

// TestColourOfVent goes with the alarm that calls for it now.
func TestColourOfVent(t *testing.T) {
	for name, want := range map[string]canvas.Role{"abort-vent": canvas.Abort, "leak-called": canvas.Caution, "gas-loss": canvas.Caution} {
		m, _ := modelAt(t, name)
		w := m.picture().Word()
		must.Be(t, w.Big == "VENT" && roleOf(w) == want, "%s: %+v", name, w)
		m.live.Link.AgeS = 9 // without data the order stands
		w = m.picture().Word()
		must.Be(t, w.Big == "VENT" && roleOf(w) == want, "%s without data: %+v", name, w)
	}
}

// TestVentKeys: v says that it is vented, again takes it back; k asks for a
// second look.
func TestVentKeys(t *testing.T) {
	m, feed := modelAt(t, "leak-called")
	m, _ = press(m, "v")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryConfirm, Text: "vent"})
	m.live.VentSaid = true
	feed.entries = nil
	m, _ = press(m, "v")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryWithdraw, Text: "vent"})
	feed.entries = nil
	_, _ = press(m, "k")
	oneEntry(t, feed, wire.Entry{Kind: wire.EntryWithdraw, Text: "leak"})
}

// TestEndedSaysToLookAtAGauge, whatever stands against another fill.
func TestEndedSaysToLookAtAGauge(t *testing.T) {
	for _, v := range []advise.Verdict{advise.VerdictReady, advise.VerdictNoStart} {
		m, _ := modelAt(t, "over")
		m.live.Advice.Verdict = v
		why := m.picture().Why()
		must.Be(t, strings.HasPrefix(why, "The pressure reads 0.0 bar. Look at a second gauge") && !math.IsNaN(m.live.PressurePa), "%s: %q", v, why)
	}
}
