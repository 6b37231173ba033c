package alarm

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// Markers around the alarm table in README.md.
const (
	markdownBegin = "<!-- alarms: begin -->"
	markdownEnd   = "<!-- alarms: end -->"
)

// markdown is the alarm table for people, ending in a newline.
func markdown() string {
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

// TestMarkdown proves that each row has every column.
func TestMarkdown(t *testing.T) {
	lines := strings.Split(strings.TrimSuffix(markdown(), "\n"), "\n")
	must.Need(t, len(lines) == len(definitions)+2, "%d lines", len(lines))
	for _, l := range lines {
		must.Be(t, strings.Count(l, "|") == strings.Count(lines[0], "|") && !strings.Contains(l, "|  |"), "blank or lost column: %s", l)
	}
}

// TestReadme proves that the alarm table in README.md is the one in force.
func TestReadme(t *testing.T) {
	data := must.Get(os.ReadFile("../../README.md"))(t)
	_, rest, begin := strings.Cut(string(data), markdownBegin+"\n")
	block, _, end := strings.Cut(rest, markdownEnd)
	must.Need(t, begin && end, "README.md needs the alarm table between these two lines:\n%s\n%s%s", markdownBegin, markdown(), markdownEnd)
	must.Be(t, strings.TrimSpace(block) == strings.TrimSpace(markdown()),
		"README.md has another alarm table; put this between its marks:\n%s", markdown())
}
