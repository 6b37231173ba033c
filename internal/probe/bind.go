package probe

import (
	"fmt"
	"math"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// BindError says why a profile's channel and a logger's do not go together.
type BindError struct {
	Channel int // index on the logger
	Role    vessel.Role
	Kind    vessel.Kind
	Wrong   string
	Do      string
}

// Error is one line for people.
func (e *BindError) Error() string {
	return fmt.Sprintf("channel %d (%s, %s): %s; %s", e.Channel, e.Role, e.Kind, e.Wrong, e.Do)
}

// WireKind says what a logger sends for each kind of sensor.
func WireKind(k vessel.Kind) wire.Kind {
	switch k {
	case vessel.KindRatiometric:
		return wire.KindCounts
	case vessel.KindLoop:
		return wire.KindMicroampere
	case vessel.KindGauge:
		return wire.KindPascal
	case vessel.KindCelsius:
		return wire.KindMilliCelsius
	}
	return wire.KindNanovolt
}

var wireKindWords = map[wire.Kind]string{
	wire.KindNanovolt:     "thermocouple emf in nanovolt",
	wire.KindMilliCelsius: "temperature in millidegrees Celsius",
	wire.KindCounts:       "converter counts",
	wire.KindMicroampere:  "loop current in microampere",
	wire.KindPascal:       "gauge pressure in pascal",
}

func wireKindWord(k wire.Kind) string {
	if w, ok := wireKindWords[k]; ok {
		return w
	}
	return fmt.Sprintf("values of an unknown kind %d", k)
}

// kindFor names the profile kind that fits what the logger sends.
var kindFor = map[wire.Kind]string{
	wire.KindNanovolt:     `kind = "K" (or T, J, N, E)`,
	wire.KindMilliCelsius: `kind = "celsius"`,
	wire.KindCounts:       `kind = "ratiometric"`,
	wire.KindMicroampere:  `kind = "loop"`,
	wire.KindPascal:       `kind = "gauge"`,
}

// Hello binds the profile's channels to the logger's table by index. The
// errors (*BindError) name the channels that can't be read; those stay
// HealthUnbound, the others work. A hello that repeats what is known changes
// nothing; one of another board forgets all readings and takes that board's
// offsets.
func (b *Bank) Hello(h *wire.Hello) []error {
	if !b.bound || h.Board != b.board {
		b.Forget()
	}
	b.board, b.bound = h.Board, true
	var errs []error
	for i := range b.sensors {
		n, r := &b.sensors[i], &b.readings[i]
		at, err := place(&n.channel, h)
		n.at = at
		if err != nil {
			errs = append(errs, err)
			r.set(math.NaN(), HealthUnbound, b.nowS)
			n.seenS = math.NaN()
			continue
		}
		n.scale = float64(h.Channels[at].Scale)
		if r.Health == HealthUnbound {
			r.Health = HealthUnknown
		}
		n.offset, err = b.offset(&n.channel)
		r.Offset = n.offset.Offset
		if err != nil {
			errs = append(errs, err)
		}
	}
	return errs
}

// place finds a channel in the logger's table; -1 and an error if it is not
// there or sends something else.
func place(c *vessel.Channel, h *wire.Hello) (int, error) {
	bad := func(do, wrong string, args ...any) (int, error) {
		return -1, &BindError{c.Index, c.Role, c.Kind, fmt.Sprintf(wrong, args...), do}
	}
	n := min(max(h.N, 0), len(h.Channels))
	for i := range n {
		row := &h.Channels[i]
		if int(row.Index) != c.Index {
			continue
		}
		if want := WireKind(c.Kind); row.Kind != want {
			do := "change the logger's channel"
			if k, ok := kindFor[row.Kind]; ok {
				do = "write " + k + " in the profile, or change the logger's channel"
			}
			return bad(do, "the logger sends %s, but this kind needs %s", wireKindWord(row.Kind), wireKindWord(want))
		}
		if row.Kind == wire.KindCounts && row.Scale <= 0 {
			return bad("set the logger to send the count of a full reading, 4095 for 12 bits",
				"the logger gives %d as the count of a full reading", row.Scale)
		}
		return i, nil
	}
	return bad("check index in the profile's [[channel]], or set the channel up on the logger",
		"the logger has no channel %d; it has %s", c.Index, indexList(h, n))
}

func indexList(h *wire.Hello, n int) string {
	if n == 0 {
		return "none"
	}
	text := ""
	for i := range n {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprint(h.Channels[i].Index)
	}
	return text
}

// offset looks up the channel's correction on this board.
func (b *Bank) offset(c *vessel.Channel) (Offset, error) {
	o, ok := b.offsets.Find(b.board, c.Index)
	if !ok {
		return Offset{}, nil
	}
	if o.Pressure != c.Kind.Pressure() {
		return Offset{}, &BindError{c.Index, c.Role, c.Kind, "its offset " + o.text() + " is of another quantity, and is not applied",
			"correct the offsets file, or find the offsets again"}
	}
	return o, nil
}
