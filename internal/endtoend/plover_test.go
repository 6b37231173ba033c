package endtoend

import (
	"os"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// plover reads one of the invented vessel's profiles.
func plover(t testing.TB, name string) *vessel.Profile {
	t.Helper()
	data := must.Get(os.ReadFile("../../testdata/" + name))(t)
	p := must.Get(vessel.Parse(name, data))(t)
	return p
}

// framesOf hands the frames in b to yield.
func framesOf(b []byte, yield func(wire.Frame)) {
	d := wire.Decoder{Aligned: true}
	d.Decode(b, yield)
}
