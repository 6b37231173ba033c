package screen

import (
	"math"
	"strconv"
	"strings"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/phase"
	"fillwright/internal/screen/canvas"
)

// word is a verdict as the operator reads it from ten metres.
type word struct {
	big  string // always shown whole
	tail string // follows it, large where there is room
	role canvas.Role
}

var verdictWords = [...]word{
	advise.VerdictUnknown: {"KEEP SHUT", "", canvas.Caution},
	advise.VerdictReady:   {"READY", "", canvas.Strong},
	advise.VerdictFill:    {"FILL", "", canvas.Strong},
	advise.VerdictEase:    {"EASE OFF", "", canvas.Caution},
	advise.VerdictHold:    {"KEEP SHUT", "", canvas.Strong},
	advise.VerdictTopUp:   {"MAY TOP UP", "", canvas.Strong},
	advise.VerdictNoStart: {"DO NOT START", "", canvas.Caution},
	advise.VerdictStop:    {"SHUT", "THE SUPPLY NOW", canvas.Abort},
	advise.VerdictVent:    {"VENT", "FROM A DISTANCE", canvas.Abort},
}

var (
	wordNoData  = word{"NO DATA", "", canvas.Caution}
	wordWaiting = word{"DO NOT START", "NO DATA YET", canvas.Strong}
	wordShut    = word{"SHUT", "THE SUPPLY", canvas.Caution}
	wordVenting = word{"EMPTYING", "", canvas.Strong} // not like VENT, the order
	wordEnded   = word{"ENDED", "", canvas.Strong}    // FILL would be read first
)

// stale says whether the newest data is too old to act on, paused picture or not.
func (v *view) stale() bool { return !(v.ageS <= oldAfterS) || !v.now.Link.Up }

// word is the verdict to show. Advice to put gas in is not shown as good on
// old data; advice to stop or to wait is.
func (v *view) word() word {
	if !v.started() {
		return wordWaiting
	}
	verdict := v.now.Advice.Verdict
	if int(verdict) >= len(verdictWords) {
		verdict = advise.VerdictUnknown
	}
	w := verdictWords[verdict]
	switch {
	case v.apart():
		return wordNoData // whoever watches there may have data: no order of here is worth anything
	case verdict == advise.VerdictVent && !v.aborting():
		w.role = canvas.Caution // as its alarm
		return w
	case w.role == canvas.Abort:
	case v.stale() && (verdict.AsksForGas() || verdict == advise.VerdictUnknown || v.now.Phase == phase.Venting):
		return v.wordOld()
	case v.now.Phase == phase.Venting:
		return word{wordVenting.big, "", w.role} // KEEP SHUT would read as: shut the vent
	case v.afterFill():
		return wordEnded
	case v.notReady():
		return word{"DO NOT START", strconv.Itoa(v.toDoCount()) + " TO DO", canvas.Strong}
	case v.now.Phase == phase.Filling && (verdict == advise.VerdictHold || verdict == advise.VerdictUnknown):
		return wordShut // the supply is open
	}
	return w
}

// wordOld is what to do while nothing new comes; the lack of data stands beside it.
func (v *view) wordOld() word {
	switch {
	case v.now.Phase == phase.Vented:
		return word{"DO NOT START", wordNoData.big, canvas.Caution}
	case v.now.Phase == phase.Holding:
		return word{"KEEP SHUT", wordNoData.big, canvas.Caution}
	case v.now.Phase != phase.Filling:
		return wordNoData
	case v.ageS <= blindAfterS:
		return word{"SHUT", "NO DATA", canvas.Caution} // a word that counts down is waited for
	}
	return verdictWords[advise.VerdictStop] // the monitor itself is silent
}

// afterFill says whether the fill that ended is what the operator must know of
// first: until every check for another one is done.
func (v *view) afterFill() bool {
	switch v.now.Advice.Verdict {
	case advise.VerdictReady:
		return v.fillOver() && (v.now.Ready == nil || v.toDoCount() > 0)
	case advise.VerdictNoStart:
		return v.fillOver()
	}
	return false
}

// aborting says whether an abort is the case now.
func (v *view) aborting() bool {
	for i := range v.now.Alarms {
		if a := &v.now.Alarms[i]; a.Level == alarm.LevelAbort && a.Present() {
			return true
		}
	}
	return false
}

// notReady says whether the wall allows a fill that the list does not.
func (v *view) notReady() bool {
	return v.now.Advice.Verdict == advise.VerdictReady && v.toDoCount() > 0
}

// shape is the sign that goes with the colour of the verdict.
func (v *view) shape(r canvas.Role) string {
	switch {
	case v.replay != nil && r == canvas.Strong:
		return "R" // nothing of this is now
	case r == canvas.Abort && v.flash:
		return v.g.AbortOff
	case r == canvas.Abort:
		return v.g.Abort
	case r == canvas.Caution:
		return v.g.Caution
	}
	return " "
}

// verdict draws the word as large as it goes, and beside it how fast.
func (v *view) verdict(rows, w int) []canvas.Row {
	word := v.headline()
	shape := v.shape(word.role)
	lines, tail := v.letters(word, rows, w)
	out := make([]canvas.Row, rows)
	for i := range out {
		out[i] = canvas.RowOf(word.role, shape+" "+lines[i]).Add(word.role, tailAt(tail, i, rows))
		for _, beside := range v.beside(i, rows) {
			if out[i].Width()+beside.Width() < w-2 {
				out[i] = out[i].Flush(beside, w-2) // the word never gives way
				break
			}
		}
		out[i] = out[i].Fit(w-2).Add(canvas.Text, " "+shape)
		if word.role != canvas.Strong {
			out[i] = out[i].All(word.role)
		}
	}
	return out
}

// letters draws the word as large as leaves room for how fast, which is never
// cut from 80 columns on.
func (v *view) letters(word word, rows, w int) (lines []string, tail string) {
	room := v.wordRoom(rows, w)
	if rate := v.rate(); rate != "" && rows >= 3 && v.replay == nil {
		lines, tail = bigWord(word, rows, room-canvas.Cells(rate), v.g.Big)
		if !strings.HasPrefix(lines[rows/2], plainMark) {
			return lines, tail
		}
	}
	return bigWord(word, rows, room, v.g.Big)
}

// plainMark stands before a word without large letters.
const plainMark = ">>> "

// tailAt sets the small words on the middle row.
func tailAt(tail string, i, rows int) string {
	if tail == "" || i != rows/2 {
		return ""
	}
	return "  " + tail
}

// bigWord draws a verdict in rows lines and w cells: the largest letters that
// fit, at last plain text. tail is what did not get large letters.
func bigWord(word word, rows, w int, ink canvas.Ink) (lines []string, tail string) {
	full := strings.TrimSpace(word.big + " " + word.tail)
	if rows < 3 {
		return plainWord(full, rows, ""), ""
	}
	if ink.Segments && rows < 5 {
		return plainWord(spaced(full, w), rows, ""), ""
	}
	for _, size := range [...]canvas.BigSize{canvas.BigFiveWide, canvas.BigThreeWide, canvas.BigFive, canvas.BigThree} {
		if size.Rows <= rows && canvas.BigWidth(full, size) <= w {
			return middle(canvas.BigText(full, size, ink), rows), ""
		}
		if size.Rows <= rows && canvas.BigWidth(word.big, size)+2+canvas.Cells(word.tail) <= w {
			return middle(canvas.BigText(word.big, size, ink), rows), word.tail
		}
	}
	if canvas.BigWidth(word.big, canvas.BigThree) <= w { // the reason says the rest
		return middle(canvas.BigText(word.big, canvas.BigThree, ink), rows), ""
	}
	return plainWord(full, rows, plainMark), ""
}

// spaced sets blanks between the letters, if they fit in w cells.
func spaced(s string, w int) string {
	if wide := strings.Join(strings.Split(s, ""), " "); canvas.Cells(wide) <= w {
		return wide
	}
	return s
}

// plainWord is a word without large letters, on the middle row.
func plainWord(s string, rows int, before string) []string {
	lines := make([]string, rows)
	lines[rows/2] = before + s
	return lines
}

// middle sets lines in the middle of rows.
func middle(lines []string, rows int) []string {
	out := make([]string, rows)
	at := (rows - len(lines)) / 2
	for i := range out {
		out[i] = strings.Repeat(" ", canvas.Cells(lines[0]))
		if i >= at && i-at < len(lines) {
			out[i] = lines[i-at]
		}
	}
	return out
}

// replayMark says on the row of the verdict that nothing of this is now.
const replayMark = " REPLAY"

// wordRoom is what the large word may take of w cells: a replay's mark has its
// room on the same row.
func (v *view) wordRoom(rows, w int) int {
	if v.replay != nil && rows >= 3 {
		return w - 5 - len(replayMark)
	}
	return w - 4
}

// beside is what stands right of the verdict: how fast, and since when. The
// first that fits is taken.
func (v *view) beside(i, rows int) []canvas.Row {
	rate := canvas.RowOf(canvas.Strong, v.rate())
	if v.replay != nil {
		rate = nil
	}
	replay := canvas.RowOf(canvas.Strong, replayMark)
	switch {
	case rows == 1 && v.replay != nil:
		return []canvas.Row{replay, canvas.RowOf(canvas.Strong, " R")}
	case rows == 1 || i == rows/2:
		return []canvas.Row{rate}
	case i != 0:
		return nil
	case v.replay != nil:
		return []canvas.Row{replay.Add(canvas.Label, "  "+v.phase()), replay}
	case v.started():
		return []canvas.Row{canvas.RowOf(canvas.Label, v.phase())}
	}
	return nil
}

// rate says how fast to fill, where the verdict is about filling.
func (v *view) rate() string {
	a := &v.now.Advice
	if !v.started() || v.stale() || !a.Verdict.AsksForGas() || math.IsNaN(a.RampPaS) || v.afterFill() || v.notReady() {
		return ""
	}
	before := " at most "
	if a.Verdict == advise.VerdictEase {
		before = " down to "
	}
	return before + v.clean(v.u.RampColumn(a.RampPaS))
}

// phase is what the vessel does, and since when.
func (v *view) phase() string {
	doing := v.now.Phase.String()
	if v.unsaid() {
		doing = "losing gas" // nobody vents it, for all that is known
	}
	return doing + " " + canvas.Right(clock(sinceS(v.now.TimeS, v.now.PhaseSince)), 5)
}

// ageText prints an age: tenths up to a minute.
func ageText(s float64) string {
	if math.IsNaN(s) || s < 60 {
		return oneDecimal(s) + " s"
	}
	return clock(s)
}

func oneDecimal(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "--"
	}
	return strconv.FormatFloat(x, 'f', 1, 64)
}
