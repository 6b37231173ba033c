package runlog

import (
	"bytes"
	"errors"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// FuzzReader: whatever a file holds, it is refused with a typed error or read
// twice with the same frames, as many as its counts say.
func FuzzReader(f *testing.F) {
	f.Add(shortFill())
	f.Add(shortFill()[3:])
	f.Add(bytes.Join(testFrames(4), nil))
	f.Add([]byte("time_ms,pressure_counts/4095,gas_nv\n0,1,2\n10,2,\n"))
	f.Add([]byte("time_s,pressure_bar\n0,1\n"))
	f.Add([]byte{1, 2, 3, 0, 0})
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := NewReader("x.run", bytes.NewReader(b), int64(len(b)), nil)
		if err != nil {
			checkTyped(t, err)
			return
		}
		first, err := drain(r)
		if err != nil {
			checkTyped(t, err)
		} else if r.Kind() != FileCSV && uint64(len(first)) != r.Counts().Good {
			t.Fatalf("%d frames, counts %+v", len(first), r.Counts())
		}
		must.Do(t, r.Rewind())
		again, _ := drain(r)
		must.Need(t, bytes.Equal(encoded(first), encoded(again)), "a second reading differs")
	})
}

func checkTyped(t *testing.T, err error) {
	t.Helper()
	var fe *wrongfile.Error
	must.Need(t, errors.As(err, &fe), "error %v is not one of ours", err)
}

// FuzzOpenWriter: whatever a file holds, opening it for recording either
// leaves every byte of it alone, or keeps every byte in the log and the torn
// file together.
func FuzzOpenWriter(f *testing.F) {
	start := wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version})
	log := append(bytes.Clone(start), bytes.Join(testFrames(3), nil)...)
	f.Add(log)
	f.Add(log[:len(log)-1])
	f.Add(log[:len(log)-5])
	f.Add(start[:4])
	f.Add([]byte("time_s,pressure_bar\n0,1\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		path := write(t, "a.run", b)
		w, err := OpenWriter(path, wire.LogStart{})
		if err != nil {
			must.Need(t, bytes.Equal(read(t, path), b), "a refused file was changed")
			return
		}
		must.Do(t, w.Close())
		opened := w.Opened()
		kept := int64(len(b)) - opened.Cut
		must.Need(t, bytes.HasPrefix(read(t, path), b[:kept]), "bytes of the log changed")
		must.Need(t, opened.Cut <= 0 || bytes.Equal(read(t, opened.TornFile), b[kept:]), "the torn file does not hold what was cut")
	})
}
