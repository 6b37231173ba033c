package screen

import (
	"fmt"
	"strings"

	"fillwright/internal/screen/canvas"
)

// action is what a key does.
type action uint8

const (
	actNone action = iota
	actAcknowledge
	actSurface
	actUndo
	actMark
	actHelp
	actQuit
	actUnits
	actWindow
	actLook
	actPause
	actPlay
	actStep
	actSlower
	actFaster
	actSuspend
	actReady
	actAlarms
	actConfirm1 // the items confirmed by hand, in their order
	actConfirm2
	actConfirm3
	actRemind
	actTarget
	actPin
	actNext
	actRedraw
	actVentSaid
	actSecondLook
	actValveOpen
	actValveClose
	actValveShut
	actValveVent
)

// binding ties keys to an action. The same table is matched against the keys,
// drawn as the row of keys, and printed as the help.
type binding struct {
	keys   string // separated by blanks, as Bubble Tea names them
	act    action
	short  string // on the row of keys; empty: not there
	long   string // in the help
	replay bool   // only in a replay
	live   bool   // only at a live fill
	hand   bool   // only where the valves are pretended
}

// bindings are in the order in which the row of keys shows them, and keeps
// them in a narrow window. None is dangerous: a slip of the finger costs nothing.
var bindings = [...]binding{
	{keys: "o", act: actValveOpen, short: "open", long: "practice: open the pretended supply by a step", hand: true},
	{keys: "c", act: actValveClose, short: "close", long: "practice: close by a step what is open", hand: true},
	{keys: "x", act: actValveShut, short: "shut", long: "practice: shut supply and vent at once", hand: true},
	{keys: "v", act: actValveVent, short: "vent", long: "practice: open the pretended vent by a step", hand: true},
	{keys: "?", act: actHelp, short: "help", long: "this help; again for the next page, esc closes"},
	{keys: "a", act: actAcknowledge, short: "seen", long: "acknowledge: you have seen the alarms; they stay while they last", live: true},
	{keys: "s", act: actSurface, short: "surface", long: "enter a hand-held surface reading of a station", live: true},
	{keys: "r", act: actReady, short: "ready", long: "the list before the fill in full, and the account of the last fill"},
	{keys: "i", act: actAlarms, short: "alarms", long: "the alarms in full: cause, what follows, what to do, in what time"},
	{keys: "q ctrl+c", act: actQuit, short: "quit", long: "quit; asks first while under pressure"},
	{keys: "v", act: actVentSaid, short: "venting", long: "say that the vessel is being vented, within a minute; else gas that leaves fast is an alarm; again takes it back", live: true},
	{keys: "space", act: actPlay, short: "play/pause", long: "play or pause the replay", replay: true},
	{keys: "n", act: actNext, short: "next", long: "jump to the next event", replay: true},
	{keys: "-", act: actSlower, short: "slower", long: "half the speed", replay: true},
	{keys: "+ =", act: actFaster, short: "faster", long: "twice the speed", replay: true},
	{keys: "right", act: actStep, short: "step", long: "pause, and one input on: the arrow key", replay: true},
	{keys: "m", act: actMark, short: "mark", long: "mark this moment in the record, with a remark if you like", live: true},
	{keys: "u", act: actUnits, short: "units", long: "units: bar and °C, psi and °F, kPa and °C"},
	{keys: "w", act: actWindow, short: "window", long: "how much of the past the chart shows"},
	{keys: "l", act: actLook, short: "look", long: "look: plain, bright sun, night"},
	{keys: "p", act: actPause, short: "pause", long: "pause the picture; the watch, the verdict and the alarms go on"},
	{keys: "t", act: actRemind, short: "remind", long: "be reminded every few minutes: to re-wet, to move the shade, of words of your own", live: true},
	{keys: "g", act: actTarget, short: "target", long: "a new target pressure for this session, at most the vessel's limit", live: true},
	{keys: "f", act: actPin, short: "pin", long: "pin the forecast of this moment into the chart, to see what comes of it; again unpins it"},
	{keys: "1", act: actConfirm1, long: "before the fill: people clear, confirm or take back", live: true},
	{keys: "2", act: actConfirm2, long: "before the fill: relief valve fitted, confirm or take back", live: true},
	{keys: "3", act: actConfirm3, long: "before the fill: vent line tested, confirm or take back", live: true},
	{keys: "ctrl+l", act: actRedraw, long: "draw the whole screen anew"},
	{keys: "k", act: actSecondLook, long: "a leak was called: look a second time, a minute long, and take it back if it is ruled out", live: true},
	{keys: "z", act: actUndo, short: "undo", long: "take the last surface reading back", live: true},
	{keys: "ctrl+z", act: actSuspend},
}

// mode is what the keys work on.
type mode struct {
	replay bool
	hand   bool // pretended valves are in the operator's hand
	second bool // it follows a watch elsewhere
}

func (m Model) mode() mode {
	return mode{m.opt.Replay != nil, m.opt.Valves != nil, m.opt.Second != nil}
}

// offered says whether a binding holds in this mode. In a practice the hand on
// the pretended vent says by itself that it is being vented.
func (b *binding) offered(in mode) bool {
	live := !in.replay && !in.second
	return (live || !b.live) && (in.replay || !b.replay) && (in.hand || !b.hand) && !(in.hand && b.act == actVentSaid)
}

// actionOf finds what a key does in this mode.
func actionOf(key string, in mode) action {
	if key == " " {
		key = "space"
	}
	for i := range bindings {
		b := &bindings[i]
		for _, k := range strings.Fields(b.keys) {
			if k == key && b.offered(in) {
				return b.act
			}
		}
	}
	return actNone
}

// keyRowFor is the row of keys in w cells; whole items only. In a practice it
// begins with how the pretended valves stand.
func keyRowFor(w int, in mode, valves string) canvas.Row {
	r := canvas.RowOf(canvas.Text, " ")
	if valves != "" {
		r = r.Add(canvas.Text, " ").Add(canvas.Strong, canvas.Left(valves, valveCells)).Add(canvas.Text, " ")
	}
	for i := range bindings {
		b := &bindings[i]
		if b.short == "" || !b.offered(in) {
			continue
		}
		key := strings.Fields(b.keys)[0]
		if r.Width()+canvas.Cells(key)+canvas.Cells(b.short)+3 > w {
			break
		}
		r = r.Add(canvas.Text, " ").Add(canvas.Strong, key).Add(canvas.Label, " "+b.short+" ")
	}
	return r
}

// valveCells is room for the longest word about the valves, so that the keys
// beside it stay where they are.
const valveCells = len("supply 16/16")

// helpLines is the help, made from the bindings; then the signs of the screen.
func helpLines(g *canvas.Glyphs, in mode) []string {
	var out []string
	for i := range bindings {
		if b := &bindings[i]; b.long != "" && b.offered(in) {
			out = append(out, fmt.Sprintf("  %-6s %s", strings.Fields(b.keys)[0], canvas.Clean(b.long, g.ASCII)))
		}
	}
	return append(out,
		"  "+canvas.Left(g.Abort, 6)+" abort: act at once",
		"  "+canvas.Left(g.Caution, 6)+" caution: be ready to act",
		"  "+canvas.Left(g.Advisory, 6)+" note: good to know",
		"  "+canvas.Left(g.Past, 6)+" past: an alarm that is over; it orders nothing",
		"  "+canvas.Left("--", 6)+" not known; the reason stands beside it",
		"  "+canvas.Left("?", 6)+" after a value: old, not to be relied on",
		"  "+canvas.Left(g.PlusMinus, 6)+" band: the true value lies within it 19 times in 20",
		"  if shut now, coasts to: the hottest the wall still gets if the supply is shut now",
		"  ramp now, ramp at most: how fast the pressure rises, and how fast it may",
		"  shut in: how long the supply may stay open at this ramp, for target or wall",
		"  "+canvas.Left(g.Here, 6)+" the station whose wall may be hottest",
		"  MARGIN onset of softening, less the hottest wall, less its band",
	)
}

// helpPage is one page of a leaf in rows lines; ok is false past the last.
func helpPage(title, key string, lines []canvas.Row, page, rows, w int) (out []canvas.Row, ok bool) {
	each := max(rows, 1)
	if each > 1 {
		each-- // a line for the title
	}
	if page*each >= len(lines) {
		return nil, false
	}
	pages := (len(lines) + each - 1) / each
	out = make([]canvas.Row, 0, rows)
	if rows > 1 {
		out = append(out, canvas.RowOf(canvas.Strong, fmt.Sprintf("%s page %d of %d", title, page+1, pages)).
			Add(canvas.Label, "   "+key+" next, esc closes; watching goes on"))
	}
	for _, line := range lines[page*each : min((page+1)*each, len(lines))] {
		out = append(out, line.Fit(w))
	}
	return out, true
}
