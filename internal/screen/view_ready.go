package screen

import (
	"math"
	"slices"
	"strconv"

	"fillwright/internal/checklist"
	"fillwright/internal/headline"
	"fillwright/internal/screen/canvas"
)

// readyWords are the marks of the list; the column is as wide as the widest.
var readyWords = [...]string{checklist.Unknown: "TO DO", checklist.Yes: "ready", checklist.No: "TO DO"}

const readyTitleCells = 33 // the longest title, and two blanks

// readyCount is how many items are ready.
func (v *view) readyCount() int { return len(v.Now.Ready) - v.ToDoCount() }

func (v *view) readyText() string {
	return strconv.Itoa(v.readyCount()) + " of " + strconv.Itoa(len(v.Now.Ready)) + " ready"
}

// readyRow is one item: whether it is ready, what it is, what was found.
func (v *view) readyRow(item *checklist.Item, w int) canvas.Row {
	mark, r, why := readyWords[min(int(item.State), len(readyWords)-1)], canvas.Text, item.Why.In(v.Units)
	if item.State != checklist.Yes {
		r = canvas.Strong
	}
	if item.Hand {
		why = "press " + v.handKey(item) + " when it is so"
		if item.State == checklist.Yes {
			why = "confirmed; " + v.handKey(item) + " takes it back"
		}
		if v.replay != nil || v.Second {
			why = item.Why.In(v.Units)
		}
	}
	out := canvas.RowOf(r, "  "+canvas.Left(mark, 6)+canvas.Left(v.clean(item.Title), readyTitleCells))
	return out.Add(canvas.Label, canvas.Cut(v.clean(why), max(w-out.Width()-1, 0), v.g.More))
}

// handKey is the key of an item that is confirmed by hand.
func (v *view) handKey(item *checklist.Item) string {
	n := 0
	for i := range v.Now.Ready {
		if v.Now.Ready[i].Hand {
			n++
		}
		if v.Now.Ready[i].Name == item.Name {
			break
		}
	}
	return strconv.Itoa(n)
}

// readyRows is the list in at most n rows: what is open first.
func (v *view) readyRows(n, w int) []canvas.Row {
	list := slices.Clone(v.Now.Ready)
	slices.SortStableFunc(list, func(a, b checklist.Item) int {
		return readyRank(&a) - readyRank(&b)
	})
	out := []canvas.Row{canvas.RowOf(canvas.Label, "BEFORE THE FILL  ").Add(canvas.Strong, v.readyText())}
	if v.planned != nil && n > 2 {
		out = append(out, v.planned.row(v, w))
	}
	if hands := v.openHands(); n-1 < len(list)-v.readyCount() && len(hands) > 1 && v.replay == nil && !v.Second {
		// Too low for all that is open: what waits for a key shares a row.
		out = append(out, v.handsRow(hands, w))
		list = slices.DeleteFunc(list, func(i checklist.Item) bool { return i.Hand && i.State != checklist.Yes })
	}
	for i := range list {
		if len(out) == n-1 && len(list)-i > 1 {
			text := "  +" + strconv.Itoa(len(list)-i) + " more, all ready"
			if readyRank(&list[i]) == 0 {
				text = "  +" + strconv.Itoa(len(list)-i) + " more: r shows all"
			}
			return append(out, canvas.RowOf(canvas.Label, text))
		}
		out = append(out, v.readyRow(&list[i], w))
	}
	return out
}

// openHands are the items that still wait for a key.
func (v *view) openHands() []*checklist.Item {
	var out []*checklist.Item
	for i := range v.Now.Ready {
		if item := &v.Now.Ready[i]; item.Hand && item.State != checklist.Yes {
			out = append(out, item)
		}
	}
	return out
}

// handsRow is all of them in one row, each with its key.
func (v *view) handsRow(items []*checklist.Item, w int) canvas.Row {
	out := canvas.RowOf(canvas.Strong, "  "+canvas.Left(readyWords[checklist.Unknown], 6)).Add(canvas.Label, "press")
	for _, item := range items {
		out = out.Add(canvas.Strong, " "+v.handKey(item)).Add(canvas.Text, " "+v.clean(item.Title))
	}
	return out.Fit(w)
}

func readyRank(i *checklist.Item) int {
	if i.State == checklist.Yes {
		return 1
	}
	return 0
}

// aboveChart is what takes the chart's room before and after a fill.
func (v *view) aboveChart(rows, w int) []canvas.Row {
	var all []canvas.Row
	switch {
	case v.Now.Ready == nil || v.pin != nil:
		return nil
	case v.FillOver():
		all = v.summaryRows(w)
	default:
		all = v.readyRows(rows, w)
	}
	return all[:min(len(all), rows)]
}

// summaryRows is the account of the last fill, the most important first.
func (v *view) summaryRows(w int) []canvas.Row {
	s := &v.Now.Summary
	if !s.Begun {
		return []canvas.Row{canvas.RowOf(canvas.Label, "LAST FILL  none in this session")}
	}
	head := "LAST FILL  "
	if !s.Done {
		head = "THIS FILL  "
	}
	text := func(label, value string) canvas.Row {
		return canvas.RowOf(canvas.Label, "  "+canvas.Left(label, 12)).Add(canvas.Text, canvas.Cut(v.clean(value), max(w-15, 0), v.g.More))
	}
	u := v.Units
	at := clock(math.Max(s.PeakS, 0))
	if s.PeakStation != "" {
		at = s.PeakStation + ", at " + at
	}
	alarms := count(s.Aborts, "abort") + ", " + count(s.Cautions, "caution") + ", " + count(s.Advisories, "note")
	if s.AbortFirst != "" {
		alarms += "; first abort: " + s.AbortFirst
	}
	leak := canvas.Row{}
	leak = append(leak.Add(canvas.Label, "  "+canvas.Left("leak", 12)), v.leakOf(&s.Leak, s.LeakSeen, true)...)
	return []canvas.Row{
		canvas.RowOf(canvas.Label, head).Add(canvas.Strong, clock(s.EndS-s.BeginS)).
			Add(canvas.Label, "  filled "+clock(s.FillS)+", stood "+clock(s.HoldS)),
		text("hottest", u.TemperatureNumber(s.PeakK)+" ±"+u.DifferenceNumber(s.PeakBandK)+" "+u.TemperatureUnit()+"  "+at+
			"  least margin "+headline.Margin(u, s.MarginLeastK)),
		text("pressure", u.Pressure(s.PressureMostPa)+"  fastest ramp "+u.Ramp(s.RampMostPaS)),
		text("alarms", alarms),
		leak,
		text("gas", u.Temperature(s.GasLeastK)+" to "+u.Temperature(s.GasMostK)),
	}
}

func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return strconv.Itoa(n) + " " + what
}

// readyLeaf is the list in full and the account of the last fill, which goes
// first while it is new.
func (v *view) readyLeaf(w int) []canvas.Row {
	var out []canvas.Row
	if v.Now.Ready == nil {
		out = append(out, canvas.RowOf(canvas.Text, "  The list is for before the fill, while the vessel is vented."))
	}
	if v.planned != nil && v.Now.Ready != nil {
		out = append(out, v.planned.row(v, w))
	}
	for i := range v.Now.Ready {
		out = append(out, v.readyRow(&v.Now.Ready[i], w))
	}
	for _, r := range v.Now.Reminders {
		out = append(out, canvas.RowOf(canvas.Text, "  Reminder every "+clock(r.EveryS)+", next in "+
			clock(math.Max(r.DueS-v.Now.TimeS, 0))+": "+v.clean(r.What)))
	}
	if v.FillOver() {
		return append(v.summaryRows(w), out...)
	}
	return append(out, v.summaryRows(w)...)
}
