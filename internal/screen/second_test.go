package screen

import (
	"math"
	"strings"
	"testing"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/must"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// way is a second screen's way to the watch that it follows.
type way float64

func (w way) LateS() float64 { return float64(w) }

// noData is what stands large where nothing is of now.
var noData = headline.Word{Order: wording.NoData, Level: alarm.LevelCaution}

// secondAt is a second screen on a situation, that far behind.
func secondAt(t *testing.T, name string, lateS float64) (Model, *fakeFeed) {
	t.Helper()
	feed := newFakeFeed()
	return modelIn(situationNamed(t, name), feed, Options{Depth: canvas.DepthNone, Second: way(lateS)}, 80, 24), feed
}

// TestSecondScreenEntersNothing proves that a second screen says what it is, has
// no key that enters anything, and quits without a question.
func TestSecondScreenEntersNothing(t *testing.T) {
	m, feed := secondAt(t, "filling", 0.1)
	text := m.View()
	must.Be(t, strings.Contains(text, "SECOND SCREEN") && !strings.Contains(text, "NO DATA"), "%v", text)
	for i := range bindings {
		b := &bindings[i]
		if b.act == actQuit || b.act == actSuspend || b.hand || b.replay {
			continue
		}
		for _, key := range strings.Fields(b.keys) {
			next, _ := press(m, strings.TrimPrefix(key, "ctrl+"))
			must.Be(t, !b.live || next.prompt.kind == promptNone, "%s opens a prompt", key)
		}
	}
	must.Be(t, len(feed.entries) == 0, "entered: %+v", feed.entries)
	_, cmd := press(m, "q")
	must.Be(t, quits(cmd), "asks before it quits, though nothing ends with it")
}

// TestSecondScreenWithoutData proves that what is not of now is NO DATA on a
// second screen: no order, and no advice; an abort that stood is told as past.
func TestSecondScreenWithoutData(t *testing.T) {
	for _, late := range []float64{1.5, 30, math.Inf(1)} {
		m, _ := secondAt(t, "filling", late)
		text := m.View()
		must.Be(t, strings.Contains(text, m.picture().Why()[:20]) && m.picture().Word() == noData && m.picture().Rate() == "", "%g s late:\n%s", late, text)
	}
	m, _ := secondAt(t, "abort-stop", 12)
	text := m.View()
	if m.picture().Word() != noData || !strings.Contains(text, "Nothing has come from the watch for 12.0 s") ||
		!strings.Contains(strings.Join(strings.Fields(text), " "), "Last known there: SHUT THE SUPPLY NOW") {
		t.Error(text)
	}
	m, _ = secondAt(t, "abort-stop", 0.1)
	must.Be(t, m.picture().Word() != noData, "an abort that is of now is not shown")
}
