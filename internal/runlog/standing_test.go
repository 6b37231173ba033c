package runlog

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// handLog is a while on the pad with hand-held readings that are taken, taken
// back in a row, too late, or where none is left.
func handLog(seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 12))
	var l ploverLog
	l.start(wire.Texts{})
	l.hello(1)
	ms := uint32(1000)
	for range 80 {
		for range 3 {
			l.sample(ms, 409, 0, 0, 0, 20_000, 20_000)
			ms += 100
		}
		switch r.IntN(9) {
		case 0, 1, 2, 3, 4:
			l.entry(wire.EntrySurface, uint8(r.IntN(3)), 18_000+int32(r.IntN(4_000)))
		case 5, 6:
			l.entry(wire.EntryUndo, 0, 0)
		case 7:
			ms += uint32(r.IntN(200_000))
		}
	}
	l.sample(ms, 409, 0, 0, 0, 20_000, 20_000)
	return l.b
}

// The same hand-held readings stand for whoever reads the record: the live
// monitor shows the last of each station, learn is given them all, and a table
// has each in its cell.
func TestOneRecordOneStanding(t *testing.T) {
	p := vessel.Invented()
	taken := 0
	for seed := range uint64(6) {
		log := handLog(seed)
		fill := must.Get(ReadFill(write(t, "a.run", log), p, nil))(t)
		m := monitor.New(monitor.Config{Profile: p})
		r := readerOf(t, log)
		var live monitor.Snapshot
		for f, err := r.Next(); err == nil; f, err = r.Next() {
			live = m.Step(f)
		}
		cells := map[string]int{}
		for i := range p.Stations {
			lastK := math.NaN()
			for _, s := range fill.Surface {
				if s.Station == i {
					lastK = s.K
					cells[fmt.Sprintf("%.3f", s.K-273.15)]++
				}
			}
			if got := live.Stations[i].SurfaceK; !(math.Abs(got-lastK) < 1e-9 || math.IsNaN(got) && math.IsNaN(lastK)) {
				t.Errorf("seed %d: the monitor shows %.3f K last at %s, learn is given %.3f K", seed, got, p.Stations[i].Name, lastK)
			}
		}
		taken += len(fill.Surface)
		var out bytes.Buffer
		must.Do(t, must.Err(table.Export(&out, readerOf(t, log), p, nil, 0)))
		for cell, n := range cells {
			must.Be(t, strings.Count(out.String(), ","+cell) == n,
				"seed %d: %s °C stands %d times, and in %d cells", seed, cell, n, strings.Count(out.String(), ","+cell))
		}
	}
	must.Be(t, taken >= 50, "only %d readings stood: they prove little", taken)
}
