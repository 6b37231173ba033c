package mimic

import (
	"strconv"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

func number(t testing.TB, text string) float64 {
	t.Helper()
	return must.Get(strconv.ParseFloat(text, 64))(t)
}

// run records a scene and gives its rows.
func run(t testing.TB, p *vessel.Profile, sc Scene, o Options) []Row {
	t.Helper()
	var rows []Row
	must.Do(t, Record(p, sc, o, func([]byte) error { return nil }, func(r Row) error {
		rows = append(rows, r)
		return nil
	}))
	return rows
}

// frames records a scene and gives its decoded frames.
func frames(t testing.TB, p *vessel.Profile, sc Scene, o Options) ([]wire.Frame, wire.Counts) {
	t.Helper()
	var dec wire.Decoder
	dec.Aligned = true
	var got []wire.Frame
	must.Do(t, Record(p, sc, o, func(b []byte) error {
		dec.Decode(b, func(f wire.Frame) { got = append(got, f.Clone()) })
		return nil
	}, nil))
	return got, dec.Counts()
}

func samples(t testing.TB, list []wire.Frame) []wire.Sample {
	t.Helper()
	var out []wire.Sample
	for _, f := range list {
		if f.Type != wire.TypeSample {
			continue
		}
		var s wire.Sample
		must.Do(t, wire.ParseSample(f.Body, &s))
		out = append(out, s)
	}
	return out
}

func hellos(t testing.TB, list []wire.Frame) []wire.Hello {
	t.Helper()
	var out []wire.Hello
	for _, f := range list {
		if f.Type != wire.TypeHello {
			continue
		}
		var h wire.Hello
		must.Do(t, wire.ParseHello(f.Body, &h))
		out = append(out, h)
	}
	return out
}
