package vessel

import (
	"fmt"
	"strings"

	"fillwright/internal/quantity"
)

// Note is advice on a profile that is allowed but looks unusual.
type Note struct {
	Where string // "[limits] reserve"
	Text  string // what stands out and why it matters
	Do    string // what to do about it
}

// hotDay is what a light-coloured wall in the sun can reach on a hot day
// before any gas flows: 35 °C in the shade and about 10 °C on top (common
// practice, no source).
const hotDay = quantity.Temperature(318.15)

// Check gives remarks on a profile for the one who wrote it. None of them
// stops a fill.
func Check(p *Profile) []Note {
	var notes []Note
	say := func(where, do, format string, args ...any) {
		notes = append(notes, Note{Where: where, Text: fmt.Sprintf(format, args...), Do: do})
	}
	checkTemplate(p, say)
	checkVessel(p, say)
	checkThermal(p, say)
	checkSensors(p, say)
	checkPlies(p, say)
	return notes
}

type sayFunc func(where, do, format string, args ...any)

func checkTemplate(p *Profile, say sayFunc) {
	still, all := Untouched(p)
	switch {
	case p.Template:
		text := "this is still the template, and watches no logger"
		if len(still) > 0 {
			text += "; still Plover's: " + strings.Join(still, ", ")
		}
		say("[vessel] template", "Put your vessel's numbers in, then delete the line template = true.", "%s", text)
	case all:
		say("[vessel] name", "Put your vessel's numbers in before any real fill.", "all numbers that matter are those of Plover, a vessel that does not exist")
	}
}

func checkVessel(p *Profile, say sayFunc) {
	if r := float64(p.Volume) / p.cylinderM3(); r > 1.05 || r < 0.6 {
		say("[vessel] volume", "Measure the volume with water again, and the diameter and length inside.",
			"the volume is %.2f times that of a cylinder of this diameter and length; a sphere has 0.67", r)
	}
	if p.Water > p.Volume/2 {
		say("[vessel] water", "Check the amount of water.",
			"water takes %.0f %% of the vessel; pressure rises fast in what is left", 100*float64(p.Water/p.Volume))
	}
	if p.Fill.Target > p.Limits.Pressure*0.95 {
		say("[fill] target", "Lower the target, or ask whether the limit is right.",
			"the target %v is within 5 %% of the limit %v; warming after the fill may go past it", p.Fill.Target, p.Limits.Pressure)
	}
	if p.Wall.Thickness < 1e-3 {
		say("[wall] thickness", "Fill slowly, and measure the thickness.",
			"a wall of %v follows the gas within seconds", p.Wall.Thickness)
	}
}

func checkThermal(p *Profile, say sayFunc) {
	if p.Wall.Material != "" {
		say("[wall] material", "Give measured density, specific heat and conductivity, or learn from fills with wall sensors.",
			"handbook values for %s stand in; a real laminate can differ by a fifth", p.Wall.Material)
	}
	if p.Limits.Reserve < 3 {
		say("[limits] reserve", "Keep 5 °C or more in hand.",
			"a reserve of %v is less than thermocouples and the wall estimate are often wrong by", p.Limits.Reserve)
	}
	room := p.Resin.Onset - quantity.Temperature(p.Limits.Reserve) - hotDay
	if room < 10 {
		say("[resin] onset", "Fill in the shade or in the cool of the day, and shade the wall beforehand.",
			"onset less reserve leaves %v above a wall that stands in the sun on a hot day (%v)", quantity.Difference(room), hotDay)
	}
	if p.Resin.Midpoint == p.Resin.Onset {
		say("[resin] midpoint", "Check that onset is not the midpoint from a data sheet.",
			"midpoint and onset are the same; a resin softens some degrees below its midpoint")
	}
	if p.Limits.Reaction < 2 {
		say("[limits] reaction", "Time yourself and the valve from alarm to shut.",
			"a reaction of %v is quick for a person and a valve", p.Limits.Reaction)
	}
}

func checkSensors(p *Profile, say sayFunc) {
	if len(p.Channels) == 0 {
		say("[[channel]]", "For a watch type "+typePressure+", and one each for gas, ambient and wall as fillwright profile new shows them.",
			"there is none: the profile is good for CSV files, which bring their own columns; a live watch needs a channel for each sensor")
		return
	}
	if _, ok := p.ChannelOf(RoleGas); !ok {
		say("[[channel]] role", "Add a gas thermocouple.",
			"no channel reads the gas; without it a fill is blind and fillwright will call for a stop")
	}
	if _, ok := p.ChannelOf(RoleAmbient); !ok {
		say("[[channel]] role", "Add an ambient sensor in the shade.",
			"no channel reads the ambient; the wall's outside is guessed with a wider band")
	}
	for _, st := range p.Stations {
		if _, ok := p.WallChannel(st.Name); !ok {
			say("[[station]] "+st.Name, "Learn from fills with a wall sensor there, and enter surface readings by hand.",
				"station %q has no wall sensor; its temperature is an estimate only", st.Name)
		}
	}
	c, ok := p.ChannelOf(RolePressure)
	if ok && c.FullScale > 0 && c.FullScale < p.Limits.Pressure {
		say("[[channel]] full_scale", "Use a sensor that reads beyond the vessel's limit.",
			"the pressure sensor ends at %v, below the vessel's limit %v", c.FullScale, p.Limits.Pressure)
	}
	if ok && c.FullScale > 5*p.Limits.Pressure {
		say("[[channel]] full_scale", "Use a sensor with a smaller range.",
			"the pressure sensor reads to %v, far beyond the limit %v; small changes are lost in it", c.FullScale, p.Limits.Pressure)
	}
}
