package table

import (
	"strings"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// makeHello makes the one Hello of a table.
func (c *Reader) makeHello() {
	h := wire.Hello{Protocol: wire.Version, N: len(c.channels)}
	for i, ch := range c.channels {
		kind := wire.KindMilliCelsius
		if ch.Kind == vessel.KindGauge {
			kind = wire.KindPascal
		}
		h.Channels[i] = wire.Channel{Index: uint8(i), Kind: kind}
		copy(h.Channels[i].Label[:], label(ch))
	}
	if len(c.ahead) > 1 {
		h.RateMHz = uint32(max(1, 1e6/c.ahead[1].ms))
	}
	c.feed(wire.AppendHello(c.bytes[:0], c.seq, &h))
	c.seq++
}

// label is a channel's role in at most wire.LabelMost ASCII bytes.
func label(ch vessel.Channel) string {
	s := string(ch.Role)
	if ch.Station != "" {
		s += " " + ch.Station
	}
	return strings.Map(func(r rune) rune {
		if r > 126 || r < 32 {
			return '?'
		}
		return r
	}, s)
}

func (c *Reader) makeRow(row *moment) {
	s := wire.Sample{TimeMS: uint32(row.ms), N: len(c.channels), Values: row.values}
	c.feed(wire.AppendSample(c.bytes[:0], c.seq, &s))
	c.seq++
	for i, v := range row.surface {
		if v != wire.ValueMissing {
			c.feed(wire.AppendEntry(c.bytes[:0], c.host, wire.Entry{Kind: wire.EntrySurface, Station: uint8(i), Value: v}))
			c.host++
		}
	}
}

func (c *Reader) feed(encoded []byte) {
	c.bytes = encoded
	c.dec.Aligned = true
	c.dec.Decode(encoded, c.queue.Push)
}
