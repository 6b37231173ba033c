package vessel

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// Each unusual value draws a remark at its place; the example draws only
// that it is nobody's, and the one on hot days, which its low onset deserves.
func TestCheck(t *testing.T) {
	tests := []struct {
		name  string
		make  func(p *Profile)
		where string
		text  string
	}{
		{"volume", func(p *Profile) { p.Volume *= 1.5 }, "[vessel] volume", "1.50 times"},
		{"water", func(p *Profile) { p.Water = p.Volume * 3 / 4 }, "[vessel] water", "75 %"},
		{"target", func(p *Profile) { p.Fill.Target = p.Limits.Pressure }, "[fill] target", "within 5 %"},
		{"thin", func(p *Profile) { p.Wall.Thickness = 0.5e-3 }, "[wall] thickness", "0.5 mm"},
		{"handbook", func(p *Profile) { p.Wall.Material = "glass-epoxy" }, "[wall] material", "glass-epoxy"},
		{"reserve", func(p *Profile) { p.Limits.Reserve = 2 }, "[limits] reserve", "2 °C"},
		{"midpoint", func(p *Profile) { p.Resin.Midpoint = p.Resin.Onset }, "[resin] midpoint", "same"},
		{"reaction", func(p *Profile) { p.Limits.Reaction = 1 }, "[limits] reaction", "1 s"},
		{"no gas", func(p *Profile) { p.Channels[1].Role = "" }, "[[channel]] role", "blind"},
		{"no ambient", func(p *Profile) { p.Channels[5].Role = "" }, "[[channel]] role", "ambient"},
		{"no wall", func(p *Profile) { p.Channels[3].Role = "" }, "[[station]] shade", "estimate"},
		{"short sensor", func(p *Profile) { p.Channels[0].FullScale = 45e5 }, "[[channel]] full_scale", "45 bar"},
		{"long sensor", func(p *Profile) { p.Channels[0].FullScale = 400e5 }, "[[channel]] full_scale", "400 bar"},
	}
	usual := Check(plover())
	must.Be(t, len(usual) == 2 && usual[0].Where == "[vessel] name" && usual[1].Where == "[resin] onset" && strings.Contains(usual[1].Text, "4 °C"),
		"the example draws %+v", usual)
	for _, tt := range tests {
		p := plover()
		tt.make(p)
		found := false
		for _, n := range Check(p) {
			found = found || n.Where == tt.where && strings.Contains(n.Text, tt.text) && n.Do != ""
		}
		must.Be(t, found, "%s: no remark at %s in %+v", tt.name, tt.where, Check(p))
	}
}

// Derived figures, worked by hand for the example: a cylinder of 90 mm by
// 1.6 m has a side of 0.4524 m², and 1480 × 1050 × 0.0028 = 4351.2.
func TestDerived(t *testing.T) {
	p := plover()
	p.Water = 0.2e-3
	must.Near(t, "gas volume", p.GasVolumeM3(), 0.010, 1e-12)
	must.Near(t, "area", p.InnerAreaM2(), 0.45239, 1e-5)
	must.Near(t, "area heat", p.WallAreaHeatJM2K(), 4351.2, 1e-9)
	// Hemispherical ends of the same overall length: side π d (L − d) and a sphere π d².
	d, l := float64(p.InnerDiameter), float64(p.Length)
	must.Near(t, "domed area", math.Pi*d*(l-d)+math.Pi*d*d, p.InnerAreaM2(), 1e-12)
}

// The supply may have one pressure sensor and one thermometer, and no two of
// either.
func TestSupplyChannels(t *testing.T) {
	more := func(kinds ...string) error {
		text := Example()
		for i, k := range kinds {
			text += fmt.Sprintf("\n[[channel]]\nindex = %d\nrole = \"supply\"\nkind = %q\n", 6+i, k)
		}
		_, err := Parse("a.toml", []byte(text))
		return err
	}
	for _, kinds := range [][]string{{"gauge"}, {"K"}, {"celsius"}, {"gauge", "celsius"}, {"T", "gauge"}} {
		err := more(kinds...)
		must.Be(t, err == nil, "%v: %v", kinds, err)
	}
	for _, kinds := range [][]string{{"gauge", "gauge"}, {"K", "celsius"}, {"gauge", "K", "gauge"}} {
		must.Refuse(t, more(kinds...), "taken by an earlier channel")
	}
}

// Look-ups find what is there and say when there is nothing.
func TestLookups(t *testing.T) {
	p := plover()
	must.Be(t, p.StationIndex("sun") == 0 && p.StationIndex("shade") == 1 && p.StationIndex("moon") == -1, "StationIndex")
	if c, ok := p.ChannelOf(RoleGas); !ok || c.Index != 1 {
		t.Error("ChannelOf gas", c, ok)
	}
	if _, ok := p.ChannelOf(RoleSupply); ok {
		t.Error("ChannelOf supply")
	}
	if c, ok := p.ChannelAt(5); !ok || c.Role != RoleAmbient {
		t.Error("ChannelAt 5", c, ok)
	}
	if _, ok := p.ChannelAt(9); ok {
		t.Error("ChannelAt 9")
	}
	if c, ok := p.WallChannel("shade"); !ok || c.Index != 3 {
		t.Error("WallChannel shade", c, ok)
	}
	if _, ok := p.WallChannel("moon"); ok {
		t.Error("WallChannel moon")
	}
}
