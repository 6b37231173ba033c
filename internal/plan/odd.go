package plan

import "fillwright/internal/quantity"

// oddK is by how much a reading has to lie on the wrong side of another to be asked
// about: what two thermometers and a hand differ by (common practice, no source).
const oddK = 1.5

// Odd asks for another look at readings that hardly go together; "" where they do. They
// are taken as they are: a clear night leaves a wall colder than the air.
func (d *Day) Odd(u quantity.System) string {
	which, than, overK := d.odd()
	if which == "" {
		return ""
	}
	return "the sunny side was read " + apartText(u, d.WallSunK, overK) + " COLDER than the " + than + ": read both again"
}

// odd names two readings that hardly go together, and the one that is the higher with
// its temperature.
func (d *Day) odd() (which, than string, overK float64) {
	sunny := d.Light != LightShade
	switch {
	case sunny && d.Air.Said && d.WallSunK < d.Air.Value-oddK:
		return "the sunny side and the air", "air", d.Air.Value
	case sunny && d.WallSunK < d.WallShadeK-oddK:
		return "the sunny side and the shaded one", "shaded one", d.WallShadeK
	}
	return "", "", 0
}
