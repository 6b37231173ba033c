package screen

import (
	"strings"

	"fillwright/internal/alarm"
	"fillwright/internal/headline"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/wording"
)

// roleOf is the role of a large word.
func roleOf(w headline.Word) canvas.Role {
	switch w.Level {
	case alarm.LevelAbort:
		return canvas.Abort
	case alarm.LevelCaution:
		return canvas.Caution
	}
	return canvas.Strong
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
	word := v.shownWord()
	role := roleOf(word)
	shape := v.shape(role)
	lines, tail := v.letters(word.Order, rows, w)
	out := make([]canvas.Row, rows)
	for i := range out {
		out[i] = canvas.RowOf(role, shape+" "+lines[i]).Add(role, tailAt(tail, i, rows))
		for _, beside := range v.beside(i, rows) {
			if out[i].Width()+beside.Width() < w-2 {
				out[i] = out[i].Flush(beside, w-2) // the word never gives way
				break
			}
		}
		out[i] = out[i].Fit(w-2).Add(canvas.Text, " "+shape)
		if role != canvas.Strong {
			out[i] = out[i].All(role)
		}
	}
	return out
}

// letters draws the word as large as leaves room for how fast, which is never
// cut from 80 columns on.
func (v *view) letters(word wording.Order, rows, w int) (lines []string, tail string) {
	room := v.wordRoom(rows, w)
	if rate := v.Rate(); rate != "" && rows >= 3 && v.replay == nil {
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
func bigWord(word wording.Order, rows, w int, ink canvas.Ink) (lines []string, tail string) {
	full := word.String()
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
		if size.Rows <= rows && canvas.BigWidth(word.Big, size)+2+canvas.Cells(word.Tail) <= w {
			return middle(canvas.BigText(word.Big, size, ink), rows), word.Tail
		}
	}
	if canvas.BigWidth(word.Big, canvas.BigThree) <= w { // the reason says the rest
		return middle(canvas.BigText(word.Big, canvas.BigThree, ink), rows), ""
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
	rate := canvas.RowOf(canvas.Strong, v.Rate())
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
	case v.Started():
		return []canvas.Row{canvas.RowOf(canvas.Label, v.phase())}
	}
	return nil
}

// phase is what the vessel does, and since when.
func (v *view) phase() string {
	doing := v.Now.Phase.String()
	if v.Unsaid() {
		doing = "losing gas" // nobody vents it, for all that is known
	}
	return doing + " " + canvas.Right(clock(sinceS(v.Now.TimeS, v.Now.PhaseSince)), 5)
}

// reason says why, in the words of the advice; old data comes first.
func (v *view) reason(rows, w int) []canvas.Row {
	r := canvas.Strong
	if v.Word().Level == alarm.LevelAbort {
		r = canvas.Abort
	}
	var out []canvas.Row
	for _, line := range canvas.Wrap(v.notNow()+v.rateApart(w)+v.clean(v.Why()), w-4, rows, v.g.More) {
		out = append(out, canvas.RowOf(r, "  "+line))
	}
	for i := 0; i < rows && r == canvas.Abort; i++ {
		if i == len(out) {
			out = append(out, nil)
		}
		out[i] = out[i].Fit(w).All(r)
	}
	return out
}

// shownWord is the large word: of a replay just that, for nobody who looks at
// it from afar may take a recorded order for one.
func (v *view) shownWord() headline.Word {
	w := v.Word()
	if v.replay != nil {
		w.Order = wording.Order{Big: "REPLAY"}
	}
	return w
}

// notNow begins the reason of a replay: what was the large word.
func (v *view) notNow() string {
	if v.replay == nil {
		return ""
	}
	return "Recorded: " + v.Order() + ". "
}

// rateApart is how fast, where there is no room for it beside the large word.
func (v *view) rateApart(w int) string {
	rate, rows := strings.Join(strings.Fields(v.Rate()), " "), v.plan.rows[secVerdict]
	if v.replay != nil || rate == "" {
		return "" // a replay has said it
	}
	lines, tail := v.letters(v.Word().Order, rows, w)
	word := canvas.Cells(tailAt(tail, rows/2, rows)) + canvas.Cells(lines[rows/2])
	if 2+word+canvas.Cells(v.Rate()) < w-2 {
		return ""
	}
	return strings.ToUpper(rate[:1]) + rate[1:] + ". "
}
