package screen

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fillwright/internal/monitor"
	"fillwright/internal/quantity"
	"fillwright/internal/screen/canvas"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// promptKind is what is being asked.
type promptKind uint8

const (
	promptNone promptKind = iota
	promptSurface
	promptRemark
	promptQuit
	promptRemind
	promptTarget
)

// prompt is an open question at the foot of the screen. It hides neither
// verdict nor alarms, and esc leaves it without a trace.
type prompt struct {
	kind    promptKind
	station int
	text    string
	doubt   string                    // the text that was already doubted: enter again takes it
	hint    string                    // what was wrong, or what to type
	mark    int                       // the mark that a remark belongs to
	what    int                       // of remindOf
	far     bool                      // the vessel is under pressure: nobody reads it by touch
	touch   func(station int) float64 // a pretended thermometer; nil: a real one
	under   *prompt                   // what was being typed when quitting was asked for; nil: nothing
}

const (
	promptTextMost = 60 // runes
	// A reading that lies this far from the estimate is asked for again: it is
	// more often a slip (a digit, °C for °F) than a wall that far off.
	doubtK = 15.0
	// What a hand-held probe can find on a vessel in the open. Common practice, no source.
	surfaceLeastC, surfaceMostC = -60.0, 150.0
)

// typed takes a printable rune.
func (p *prompt) typed(r rune) {
	if r >= ' ' && r != 0x7f && canvas.CellWidth(r) == 1 && len([]rune(p.text)) < promptTextMost {
		p.text += string(r)
	}
}

// rubOut takes the last rune back.
func (p *prompt) rubOut() {
	if r := []rune(p.text); len(r) > 0 {
		p.text = string(r[:len(r)-1])
	}
}

// surfaceEntry checks what was typed. A wrong or doubtful reading gives a hint
// and no entry.
func (p *prompt) surfaceEntry(u quantity.System, s *monitor.Snapshot, stations int) (wire.Entry, bool) {
	if strings.TrimSpace(p.text) == "" {
		p.hint = "Type the reading, such as " + exampleReading(u) + ", then enter. Esc leaves."
		return wire.Entry{}, false
	}
	t, err := u.ParseTemperature(p.text)
	if err != nil {
		p.hint = "Not a temperature: " + quoted(p.text) + wrongOf(err) + ". Type a number in " + u.TemperatureUnit() + ", such as " + exampleReading(u) + "."
		return wire.Entry{}, false
	}
	c := t.C()
	if !(c >= surfaceLeastC && c <= surfaceMostC) {
		p.hint = fmt.Sprintf("%s is not possible here: %s to %s. Check the number and the unit.", u.Temperature(float64(t)),
			u.Temperature(float64(quantity.Celsius(surfaceLeastC))), u.Temperature(float64(quantity.Celsius(surfaceMostC))))
		return wire.Entry{}, false
	}
	if p.station < 0 || p.station >= stations {
		p.hint = "No such station. Tab chooses one."
		return wire.Entry{}, false
	}
	if off := estimateOff(s, p.station, float64(t)); math.Abs(off) > doubtK && p.doubt != p.text {
		p.doubt = p.text
		p.hint = "That is " + u.Difference(math.Abs(off)) + " from the estimate. Enter again if it is right."
		return wire.Entry{}, false
	}
	return wire.Entry{Kind: wire.EntrySurface, Station: uint8(p.station), Value: int32(math.Round(c * 1000))}, true
}

// wrongOf is what is wrong with a text, where it can be said in few words.
func wrongOf(err error) string {
	var bad *quantity.ParseError
	if errors.As(err, &bad) && strings.Contains(bad.Wrong, "comma") {
		return " " + bad.Wrong
	}
	return ""
}

// estimateOff is how far a reading lies above the estimated outer skin; 0 if
// there is no estimate.
func estimateOff(s *monitor.Snapshot, station int, k float64) float64 {
	if station >= len(s.Stations) || math.IsNaN(s.Stations[station].OuterK) {
		return 0
	}
	return k - s.Stations[station].OuterK
}

func exampleReading(u quantity.System) string {
	return u.TemperatureNumber(float64(quantity.Celsius(41.5)))
}

func quoted(s string) string { return strconv.Quote(s) }

// remarkText is the text of an entry about a mark, no longer than an entry may be.
func remarkText(mark int, remark string) string {
	text := "mark " + strconv.Itoa(mark)
	if remark = strings.TrimSpace(remark); remark != "" {
		text += ": " + remark
	}
	for len(text) > wire.EntryTextMost {
		r := []rune(text)
		text = string(r[:len(r)-1])
	}
	return text
}

// touched tells what the pretended thermometer of a practice reads at the station.
func (p *prompt) touched(u quantity.System) string {
	if p.touch == nil {
		return ""
	}
	k := p.touch(p.station)
	if math.IsNaN(k) {
		return "The pretended thermometer reads nothing yet. "
	}
	return "The pretended thermometer reads " + u.Temperature(k) + ". "
}

// rows draws the prompt in at most n rows; the question first.
func (p *prompt) rows(n, w int, u quantity.System, stations []string, g *canvas.Glyphs) []canvas.Row {
	var ask canvas.Row
	hint := p.hint
	switch p.kind {
	case promptSurface:
		name := "?"
		if p.station < len(stations) {
			name = canvas.Clean(stations[p.station], g.ASCII)
		}
		ask = canvas.RowOf(canvas.Strong, " Surface ").Add(canvas.Text, "station ").Add(canvas.Strong, "["+name+"]").
			Add(canvas.Text, "  reading ").Add(canvas.Strong, p.text+"_").Add(canvas.Text, " "+canvas.Clean(u.TemperatureUnit(), g.ASCII))
		if hint == "" {
			hint = p.touched(u) + "Tab: next station. Enter saves, esc leaves."
			if p.far {
				hint = "From a distance only: do not go near. " + hint
			}
		}
	case promptRemark:
		ask = canvas.RowOf(canvas.Strong, " Mark "+strconv.Itoa(p.mark)+" is saved. ").Add(canvas.Text, "Remark: ").Add(canvas.Strong, p.text+"_")
		if hint == "" {
			hint = "Enter adds the remark, esc leaves without."
		}
	case promptRemind:
		ask = canvas.RowOf(canvas.Strong, " Remind ").Add(canvas.Text, "of ").Add(canvas.Strong, "["+canvas.Clean(remindOf[p.what], g.ASCII)+"]").
			Add(canvas.Text, "  every ").Add(canvas.Strong, p.text+"_").Add(canvas.Text, " min")
		if hint == "" {
			hint = "Minutes, or with words: 5 call in. 0 ends it. Tab: next. Esc leaves."
		}
	case promptTarget:
		ask = canvas.RowOf(canvas.Strong, " Target ").Add(canvas.Text, "of this fill ").Add(canvas.Strong, p.text+"_").
			Add(canvas.Text, " "+u.PressureUnit())
		if hint == "" {
			hint = "For this session; the profile stays. Enter takes it, esc leaves."
		}
	case promptQuit:
		return p.quitRows(n, w, g)
	}
	if n == 1 {
		if p.hint != "" {
			return []canvas.Row{canvas.RowOf(canvas.Strong, canvas.Cut(" "+canvas.Clean(p.hint, g.ASCII), w, g.More))}
		}
		return []canvas.Row{ask}
	}
	return []canvas.Row{ask, canvas.RowOf(canvas.Text, canvas.Cut(" "+canvas.Clean(hint, g.ASCII), w, g.More))}
}

// quitRows asks before the watch over a vessel under pressure ends.
func (p *prompt) quitRows(n, w int, g *canvas.Glyphs) []canvas.Row {
	short := " " + g.Caution + " Quit? y / n "
	long := " " + g.Caution + " " + p.hint + " Quit all the same? y quits, any other key stays. "
	if n == 1 {
		if canvas.Cells(long) > w {
			long = short
		}
		return []canvas.Row{canvas.RowOf(canvas.Caution, long)}
	}
	return []canvas.Row{
		canvas.RowOf(canvas.Caution, canvas.Cut(" "+g.Caution+" "+p.hint+" ", w, g.More)),
		canvas.RowOf(canvas.Caution, " Quit all the same?  y quits, any other key stays "),
	}
}

// targetEntry checks a new target pressure. A wrong one gives a hint and no
// entry; one above the profile's is asked for twice, for a slip there lets the
// advice go on where it was meant to end.
func (p *prompt) targetEntry(u quantity.System, v *vessel.Profile) (wire.Entry, bool) {
	limit, planned := float64(v.Limits.Pressure), float64(v.Fill.Target)
	example := u.PressureNumber(planned)
	target, err := u.ParsePressure(p.text)
	pa := float64(target)
	switch {
	case err != nil && wrongOf(err) != "":
		p.hint = quoted(p.text) + wrongOf(err) + ". Esc leaves."
	case err != nil:
		p.hint = "Type the target in " + u.PressureUnit() + ", such as " + example + ", then enter. Esc leaves."
	case !(pa > 0) || pa > limit:
		p.hint = fmt.Sprintf("Above 0 and at most %s, the vessel's limit. Esc leaves.", u.Pressure(limit))
	case pa > planned && p.doubt != p.text:
		p.doubt = p.text
		p.hint = "That is above the profile's target, " + u.Pressure(planned) + ". Enter again if it is meant."
	default:
		return wire.Entry{Kind: wire.EntryTarget, Value: int32(math.Round(pa))}, true
	}
	return wire.Entry{}, false
}
