package alarm

import (
	"fmt"
	"strings"
)

// Markers around the alarm table in README.md.
const (
	MarkdownBegin = "<!-- alarms: begin -->"
	MarkdownEnd   = "<!-- alarms: end -->"
)

// Markdown is the alarm table for people, ending in a newline.
func Markdown() string {
	var b strings.Builder
	b.WriteString("| alarm | level | group | on, off delay | dead-band | latches | hidden by | cause | if nothing is done | do | within |\n")
	b.WriteString("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for i := range definitions {
		d := &definitions[i]
		fmt.Fprintf(&b, "| `%s` | %s | %s | %g s, %g s | %s | %s | %s | %s | %s | %s | %g s |\n",
			d.Name, d.Level, d.Group, d.OnDelayS, d.OffDelayS, d.deadBand(), d.latches(), d.hiddenBy(),
			d.Cause, d.Consequence, d.Do, d.RespondS)
	}
	return b.String()
}

func (d *Definition) deadBand() string {
	switch d.Unit {
	case "":
		return "–"
	case "Pa":
		return fmt.Sprintf("%g bar", d.DeadBand/1e5)
	case "K":
		return fmt.Sprintf("%g °C", d.DeadBand)
	case "of the ramp", "of the cool side":
		return fmt.Sprintf("%g %%", d.DeadBand*100)
	}
	return fmt.Sprintf("%g %s", d.DeadBand, d.Unit)
}

func (d *Definition) latches() string {
	if d.Latching {
		return "yes"
	}
	return "no"
}

func (d *Definition) hiddenBy() string {
	if len(d.HiddenBy) == 0 {
		return "–"
	}
	return "`" + strings.Join(d.HiddenBy, "`, `") + "`"
}
