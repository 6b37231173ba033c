package vessel

import (
	"fmt"
	"slices"
	"strings"

	"fillwright/internal/quantity"
)

// Defaults of a ratiometric sensor: the common 0.5 to 4.5 V on 5 V
// (common practice, no source).
const (
	DefaultZero   = quantity.Voltage(0.5)
	DefaultSpan   = quantity.Voltage(4.5)
	DefaultSupply = quantity.Voltage(5)
)

// A ratiometric sensor must keep this share of its supply free at either end:
// only then a broken wire can be told from an empty or a full vessel.
const railRoom = 0.04

var (
	pressureKinds = []Kind{KindRatiometric, KindLoop, KindGauge}
	thermoKinds   = []Kind{KindK, KindT, KindJ, KindN, KindE}
	tempKinds     = append(slices.Clone(thermoKinds), KindCelsius)
	allKinds      = append(slices.Clone(pressureKinds), tempKinds...)
)

// roleKinds says which kinds can serve a role.
var roleKinds = []struct {
	role  Role
	kinds []Kind
	one   bool // at most one channel may have the role
}{
	{RolePressure, pressureKinds, true},
	{RoleGas, tempKinds, false}, // a second one at the other end
	{RoleWall, tempKinds, false},
	{RoleColdJunction, []Kind{KindCelsius}, true},
	{RoleAmbient, tempKinds, true},
	{RoleSupply, allKinds, true}, // one pressure and one temperature
}

// Thermocouple says whether the kind is a thermocouple letter.
func (k Kind) Thermocouple() bool { return slices.Contains(thermoKinds, k) }

// Pressure says whether a channel of the kind reads a pressure.
func (k Kind) Pressure() bool { return slices.Contains(pressureKinds, k) }

func readChannels(d *Document, p *Profile) []Channel {
	list := d.List("channel")
	if len(list) > ChannelsMost {
		list[ChannelsMost].Problem("index", fmt.Sprintf("is channel number %d", ChannelsMost+1),
			fmt.Sprintf("at most %d channels", ChannelsMost), "")
	}
	channels := make([]Channel, 0, len(list))
	for _, s := range list {
		c := readChannel(s, p)
		checkTaken(s, c, channels)
		channels = append(channels, c)
	}
	checkRoles(list, channels)
	return channels
}

func readChannel(s *Section, p *Profile) Channel {
	c := Channel{Index: s.Whole("index", 0, ChannelsMost-1, "index = 0")}
	c.Role = choose(s, "role", Role(s.Text("role", `role = "pressure"`)), roles())
	c.Kind = choose(s, "kind", Kind(s.Text("kind", `kind = "K"`)), allKinds)
	for _, r := range roleKinds {
		if r.role == c.Role && c.Kind != "" && !slices.Contains(r.kinds, c.Kind) {
			s.Problem("kind", fmt.Sprintf("%q can't serve the role %q", c.Kind, c.Role),
				"one of "+quoted(r.kinds), fmt.Sprintf("kind = %q", r.kinds[0]))
		}
	}
	readStationOf(s, &c, p)
	readSensor(s, &c, p)
	c.End = choose(s, "end", End(s.TextOr("end", `end = "far"`)), ends)
	if c.End != EndNone && c.Role != RoleGas {
		s.Problem("end", "is only for gas probes", "no such key here", "")
	}
	c.Compensated = s.Bool("compensated")
	if c.Compensated && !c.Kind.Thermocouple() {
		s.Problem("compensated", "is only for thermocouples", "no such key here", "")
	}
	return c
}

func roles() []Role {
	all := make([]Role, len(roleKinds))
	for i, r := range roleKinds {
		all[i] = r.role
	}
	return all
}

// choose gives word if it is in the list, "" and a problem if it is not.
func choose[T ~string](s *Section, key string, word T, list []T) T {
	if word == "" || slices.Contains(list, word) {
		return word
	}
	names := make([]string, len(list))
	for i, w := range list {
		names[i] = string(w)
	}
	example := Nearest(string(word), names)
	if example == "" {
		example = names[0]
	}
	s.Problem(key, fmt.Sprintf("%q is not known", clip(string(word))), "one of "+quoted(list), line(key, example))
	return ""
}

func quoted[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, w := range list {
		words[i] = fmt.Sprintf("%q", string(w))
	}
	return strings.Join(words, ", ")
}

// readStationOf reads where a wall sensor sits.
func readStationOf(s *Section, c *Channel, p *Profile) {
	c.Station = s.TextOr("station", `station = "sun"`)
	names := make([]string, len(p.Stations))
	for i, st := range p.Stations {
		names[i] = st.Name
	}
	example := line("station", names[0])
	switch {
	case c.Role != RoleWall && c.Role != "" && s.Has("station"):
		s.Problem("station", fmt.Sprintf("is only for wall sensors, and the role here is %q", c.Role), "no such key here", "")
	case c.Role != RoleWall:
	case !s.Has("station") && len(names) == 1:
		c.Station = names[0]
	case !s.Has("station"):
		s.Problem("station", "is missing", "the station that the wall sensor sits on: "+quoted(names), example)
	case c.Station != "" && p.StationIndex(c.Station) < 0:
		s.Problem("station", fmt.Sprintf("%q is not a station of this profile", clip(c.Station)), "one of "+quoted(names), example)
	}
}

// readSensor reads what a pressure sensor needs beside its kind.
func readSensor(s *Section, c *Channel, p *Profile) {
	scaled := c.Kind == KindRatiometric || c.Kind == KindLoop
	if c.Kind == KindRatiometric {
		readRatiometric(s, c)
	}
	if scaled {
		c.FullScale = Quantity(s, "full_scale", quantity.ParsePressure, Range[quantity.Pressure]{1e4, 1e9, "100 bar"})
		if c.Role == RolePressure && c.FullScale < p.Fill.Target {
			s.Problem("full_scale", fmt.Sprintf("is %v, below the target %v", c.FullScale, p.Fill.Target),
				"a sensor that reads beyond the target", `full_scale = "100 bar"`)
		}
	}
	if c.Kind == "" {
		for _, key := range []string{"zero", "span", "supply", "full_scale"} {
			s.Has(key) // the kind is the mistake, not these
		}
		return
	}
	for _, key := range []string{"zero", "span", "supply", "full_scale"} {
		allowed := c.Kind == KindRatiometric || c.Kind == KindLoop && key == "full_scale"
		if !allowed && s.Has(key) {
			s.Problem(key, fmt.Sprintf("does not belong to the kind %q", c.Kind), "no such key here", "")
		}
	}
}

func readRatiometric(s *Section, c *Channel) {
	r := Range[quantity.Voltage]{0, 30, "5 V"}
	r.Least = 1
	c.Supply = QuantityOr(s, "supply", quantity.ParseVoltage, r, DefaultSupply)
	r.Least, r.Example = 0, "0.5 V"
	c.Zero = QuantityOr(s, "zero", quantity.ParseVoltage, r, DefaultZero)
	r.Example = "4.5 V"
	c.Span = QuantityOr(s, "span", quantity.ParseVoltage, r, DefaultSpan)
	room := c.Supply * railRoom
	if c.Zero < room {
		s.Problem("zero", fmt.Sprintf("is %v, too near to 0 V: a broken wire would look like an empty vessel", c.Zero),
			fmt.Sprintf("the output at zero pressure, at least %v", room), `zero = "0.5 V"`)
	}
	if c.Span > c.Supply-room {
		s.Problem("span", fmt.Sprintf("is %v, too near to the supply of %v", c.Span, c.Supply),
			fmt.Sprintf("the output at full scale, at most %v", c.Supply-room), `span = "4.5 V"`)
	}
	if c.Span <= c.Zero {
		s.Problem("span", fmt.Sprintf("is %v, not above the zero of %v", c.Span, c.Zero),
			"the output at full scale", `span = "4.5 V"`)
	}
}

// checkTaken refuses what another channel has already.
func checkTaken(s *Section, c Channel, earlier []Channel) {
	for _, e := range earlier {
		if c.Index >= 0 && e.Index == c.Index {
			s.Problem("index", fmt.Sprintf("%d is taken by an earlier channel", c.Index), "an index of its own", "")
		}
		if c.Role == RoleWall && e.Role == RoleWall && e.Station == c.Station && c.Station != "" {
			s.Problem("station", fmt.Sprintf("%q has a wall sensor already", c.Station),
				"one wall sensor a station: give a second one a [[station]] of its own", "")
		}
		if c.Role == RoleGas && e.Role == RoleGas && c.End == e.End {
			s.Problem("end", "is that of the gas probe before it", "two gas probes lie at two ends", `end = "far"`)
		}
		for _, r := range roleKinds {
			if r.one && c.Role == r.role && e.Role == r.role && (c.Role != RoleSupply || c.Kind.Pressure() == e.Kind.Pressure()) {
				s.Problem("role", fmt.Sprintf("%q is taken by an earlier channel", c.Role), "one channel with this role", "")
			}
		}
	}
}

func hasRole(channels []Channel, r Role) bool {
	return slices.ContainsFunc(channels, func(c Channel) bool { return c.Role == r })
}

const typePressure = `[[channel]] and below it index = 0, role = "pressure", kind = "ratiometric", full_scale = "100 bar"`

// wantPressure asks for the one channel that no logger can do without.
func wantPressure(d *Document, channels []Channel) {
	if !hasRole(channels, RolePressure) {
		d.Problem("[[channel]]", "with the role \"pressure\" is missing", "one pressure channel",
			typePressure)
	}
}

// checkRoles looks at the channels together.
func checkRoles(list []*Section, channels []Channel) {
	for i, c := range channels {
		if c.Kind.Thermocouple() && !c.Compensated && !hasRole(channels, RoleColdJunction) {
			list[i].Problem("kind", fmt.Sprintf("%q is a thermocouple, and no channel has the role \"cold_junction\"", c.Kind),
				"a cold junction, or compensated = true if the logger adds it itself",
				`[[channel]] and below it index = 4, role = "cold_junction", kind = "celsius"`)
			return
		}
	}
}
