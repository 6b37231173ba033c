package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// A disk that fails at random, taking parts of writes and losing what was not
// synced, ends up with every byte once and in order; and at no time does a
// power cut take anything that was synced. A naive model (one growing slice)
// says what must be there. The seed in the name reproduces a failure.
func TestDiskAgainstModel(t *testing.T) {
	for seed := range uint64(300) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) { simulate(t, seed) })
	}
}

func simulate(t *testing.T, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 2))
	w, m := memWriter(t, seed)
	d := &w.disk
	model := bytes.Clone(d.head)
	bad := rnd.Float64() * 0.6
	m.forgets = true
	m.fail = func(string) error {
		switch x := rnd.Float64(); {
		case x > bad:
			return nil
		case x > bad/2:
			return syscall.ENOSPC
		}
		return errBroken
	}
	safe := len(model)
	for range 200 {
		switch rnd.IntN(3) {
		case 0:
			s := wire.Sample{TimeMS: rnd.Uint32()}
			frame := wire.AppendSample(nil, 0, &s)
			model = append(model, frame...)
			d.pending = append(d.pending, frame...)
		case 1:
			err := d.write()
			must.Need(t, err != nil || bytes.HasPrefix(model, m.cache), "a write went to a wrong place")
		default:
			if d.write() == nil && d.sync() == nil {
				safe = len(model)
			}
		}
		must.Need(t, bytes.HasPrefix(m.durable, model[:safe]),
			"a power cut would take synced bytes: %d on the disk, %d were safe", len(m.durable), safe)
	}
	m.fail = nil
	must.Do(t, errors.Join(d.write(), d.sync()))
	must.Need(t, bytes.Equal(m.durable, model), "the disk has %d bytes, want %d", len(m.durable), len(model))
}

// After trouble the log is known again by its first bytes: another file in its
// place is left alone.
func TestDiskKnowsItsLog(t *testing.T) {
	w, m := memWriter(t, 1)
	d := &w.disk
	m.fail = func(op string) error {
		if op == "write" {
			return errBroken
		}
		return nil
	}
	d.pending = append(d.pending, testFrames(1)[1]...)
	if err := d.write(); !errors.Is(err, errBroken) {
		t.Fatal(err)
	}
	m.fail = nil
	other := bytes.Repeat([]byte("time_s,pressure_bar\n"), 9)
	m.cache = bytes.Clone(other)
	err := d.write()
	must.Need(t, err != nil && bytes.Equal(m.cache, other), "err %v, file %q", err, m.cache)
}

// A log that somebody cut or appended to during the trouble is gone on with at
// its end, with no frame spoilt.
func TestDiskAfterSomebodyElse(t *testing.T) {
	frames := testFrames(5)
	for name, change := range map[string]func([]byte) []byte{
		"cut in a frame":  func(b []byte) []byte { return b[:len(b)-3] },
		"appended a half": func(b []byte) []byte { return append(b, frames[2][:9]...) },
	} {
		t.Run(name, func(t *testing.T) {
			w, m := memWriter(t, 1)
			d := &w.disk
			d.pending = append(d.pending, frames[0]...)
			must.Do(t, errors.Join(d.write(), d.sync()))
			d.pending = append(d.pending, frames[1]...)
			must.Do(t, d.letGo())
			m.cache = change(m.cache)
			changed := bytes.Clone(m.cache)
			must.Do(t, errors.Join(d.write(), d.sync()))
			if !bytes.HasPrefix(m.durable, changed) || !bytes.HasSuffix(m.durable, append([]byte{0}, frames[1]...)) {
				t.Errorf("the log ends in %x", m.durable[len(m.durable)-40:])
			}
		})
	}
}
