package vessel

import (
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// TestTemplate: the template is the example with one line more, and says so
// until that line is gone, whatever else was changed.
func TestTemplate(t *testing.T) {
	p, err := Parse("template", []byte(Template()))
	must.Need(t, err == nil && p.Template, "the template gives %+v, %v", p, err)
	got := strings.Replace(Template(), templateLine, "", 1)
	must.Be(t, got == Example(), "the template is more than the example and its line")
	if e, err := Parse("example", []byte(Example())); err != nil || e.Template {
		t.Errorf("the example is a template: %v", err)
	}
	changed := strings.NewReplacer(`"Plover"`, `"Curlew"`, `onset = "54 °C"`, `onset = "52 °C"`).Replace(Template())
	p, err = Parse("changed", []byte(changed))
	must.Need(t, err == nil && p.Template, "changed: %+v, %v", p, err)
	still, all := Untouched(p)
	must.Be(t, !all && !slices.Contains(still, "onset") && !slices.Contains(still, "name") && slices.Contains(still, "pressure limit"),
		"still Plover's: %v, all: %v", still, all)
	notes := Check(p)
	must.Be(t, notes[0].Where == "[vessel] template" && strings.Contains(notes[0].Text, "pressure limit"), "the first remark is %+v", notes[0])
}

// TestUntouched: every number that matters counts for itself.
func TestUntouched(t *testing.T) {
	if still, all := Untouched(plover()); !all || len(still) != 6 {
		t.Errorf("Plover is touched: %v", still)
	}
	for what, change := range map[string]func(*Profile){
		"name": func(p *Profile) { p.Name = "Curlew" }, "volume": func(p *Profile) { p.Volume *= 1.01 },
		"wall thickness": func(p *Profile) { p.Wall.Thickness *= 1.01 }, "onset": func(p *Profile) { p.Resin.Onset++ },
		"pressure limit": func(p *Profile) { p.Limits.Pressure++ }, "target": func(p *Profile) { p.Fill.Target++ },
	} {
		p := plover()
		change(p)
		still, all := Untouched(p)
		must.Be(t, !all && len(still) == 5 && !slices.Contains(still, what), "with another %s: %v", what, still)
	}
}

// TestParseWithoutChannels: a profile without any channel is good for a table;
// one with some still needs its pressure.
func TestParseWithoutChannels(t *testing.T) {
	bare, _, _ := strings.Cut(Example(), "[[channel]]")
	must.Refuse(t, must.Err(Parse("bare", []byte(bare))), "one pressure channel")
	p, err := ParseWithoutChannels("bare", []byte(bare))
	must.Need(t, err == nil && len(p.Channels) == 0, "a table's profile without a channel: %+v, %v", p, err)
	if _, err := ParseWithoutChannels("some", []byte(bare+"[[channel]]\nindex = 1\nrole = \"gas\"\nkind = \"celsius\"\n")); err == nil {
		t.Error("channels without a pressure were taken")
	}
}
