package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// hourLog is an hour of Plover's logger at 50 Hz.
func hourLog() []byte {
	var l ploverLog
	l.start(wire.Texts{})
	l.hello(1)
	for i := range 180_000 {
		l.sample(uint32(i*20), int32(819+i/100), 400_000, 300_000, 200_000, 20_000, 20_000)
	}
	return l.b
}

// Opening and reading a run log of an hour at 50 Hz.
func BenchmarkReadHour(b *testing.B) {
	log := hourLog()
	b.SetBytes(int64(len(log)))
	for b.Loop() {
		r, err := NewReader("a.run", bytes.NewReader(log), int64(len(log)), nil)
		for err == nil {
			_, err = r.Next()
		}
		if !errors.Is(err, io.EOF) {
			b.Fatal(err)
		}
	}
}

// Exporting it.
func BenchmarkExportHour(b *testing.B) {
	log, p := hourLog(), vessel.Invented()
	b.SetBytes(int64(len(log)))
	for b.Loop() {
		r, err := NewReader("a.run", bytes.NewReader(log), int64(len(log)), nil)
		if err == nil {
			_, err = table.Export(io.Discard, r, p, nil, 0)
		}
		must.Do(b, err)
	}
}

// Reading a CSV table of an hour at 10 Hz.
func BenchmarkCSVHour(b *testing.B) {
	var text strings.Builder
	text.WriteString("time_s,pressure_bar,gas_c,ambient_c,wall_sun_c\n")
	for i := range 36_000 {
		fmt.Fprintf(&text, "%.1f,%.3f,25.5,,40.25\n", float64(i)/10, float64(i)/1000)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		c, err := table.NewReader("a.csv", strings.NewReader(text.String()), nil)
		for err == nil {
			_, err = c.Next()
		}
		if !errors.Is(err, io.EOF) {
			b.Fatal(err)
		}
	}
}
