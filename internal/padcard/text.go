package padcard

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fillwright/internal/plan"
)

// textWidth is that of a page of plain text.
const textWidth = 78

// Text is the card as plain text.
func (c *Card) Text() string {
	var b strings.Builder
	say := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	list := func(title string, lines []plan.Line) {
		if len(lines) == 0 {
			return
		}
		say("\n%s", strings.ToUpper(title))
		for _, l := range lines {
			b.WriteString(wrapped("  "+l.Name+": ", l.Text))
		}
	}
	say("CARD FOR THE PAD   %s", c.Vessel)
	b.WriteString(wrapped("Day: ", c.Day))
	if c.Unsaid != "" {
		b.WriteString(wrapped("Not said, taken wide: ", c.Unsaid))
	}
	b.WriteString("\n" + wrapped("", c.Verdict))
	list("limits", c.Facts)
	if c.NoGo {
		say("\nDo not fill on this day. %s", c.Again)
		for _, w := range c.Why {
			b.WriteString(wrapped("  - ", w))
		}
	}
	if len(c.Before) > 0 {
		say("\nBEFORE THE FIRST GAS")
		for _, l := range c.Before {
			b.WriteString(wrapped("  [ ] ", l))
		}
	}
	if len(c.Marks) > 0 {
		say("\nGAUGE AGAINST THE CLOCK, from the first gas")
		for _, m := range c.Marks {
			say("  %12s  not before %6s  %s", m.Gauge, m.NotBefore, m.Then)
		}
		b.WriteString(wrapped("  ", c.MarksNote))
	}
	list("stop", c.Stops)
	list("without a computer", c.Alarms)
	say("")
	for _, l := range c.Cautions {
		b.WriteString(wrapped("! ", l))
	}
	return b.String()
}

// wrapped breaks a text into lines, the later ones set in under the first.
func wrapped(before, text string) string {
	indent := strings.Repeat(" ", min(utf8.RuneCountInString(before), 8))
	var b strings.Builder
	line := before
	for _, word := range strings.Fields(text) {
		if utf8.RuneCountInString(line)+utf8.RuneCountInString(word) > textWidth && strings.TrimSpace(line) != "" {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line = indent
		}
		line += word + " "
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
	return b.String()
}
