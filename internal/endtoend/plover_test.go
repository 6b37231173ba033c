package endtoend

import (
	"os"
	"testing"

	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// plover reads one of the invented vessel's profiles.
func plover(t testing.TB, name string) *vessel.Profile {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := vessel.Parse(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// framesOf hands the frames in b to yield.
func framesOf(b []byte, yield func(wire.Frame)) {
	d := wire.Decoder{Aligned: true}
	d.Decode(b, yield)
}
