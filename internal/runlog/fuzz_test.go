package runlog

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// FuzzCSV: whatever a table holds, it either gives frames whose times rise and
// whose values a sensor can have, or a wrongfile.Error; no frame after an error, and doubts that can be
// read.
func FuzzCSV(f *testing.F) {
	f.Add("time_s,pressure_bar,gas_c,wall_sun_c,surface_shade_c\n0,1,20,,30\n1.5,2,,21,\n")
	f.Add("time_min;pressure_psi;note\n# x\n0;\"1\";\"a\"\"b\"\n")
	f.Add("\xef\xbb\xbftime_ms\tpressure_mpa\r\n-5\t1e1\r\n")
	f.Add("time_s,pressure_bar\n0,1,5\n")
	f.Add("time_s,pressure_bar\n0,1\n0,1\n")
	f.Add("time_s;pressure_bar;gas_c;ambient_c;wall_sun_c;supply_c\n0,0;1,5;20,5;;21;9\n1,5;2;1.2;3;4;\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := NewCSV("x.csv", strings.NewReader(text), nil)
		last, n := int64(-1), 0
		for err == nil {
			var frame wire.Frame
			if frame, err = c.Next(); err != nil || frame.Type != wire.TypeSample {
				continue
			}
			var s wire.Sample
			must.Do(t, wire.ParseSample(frame.Body, &s))
			must.Need(t, int64(s.TimeMS) > last && (n != 0 || s.TimeMS == 0), "time %d after %d", s.TimeMS, last)
			last, n = int64(s.TimeMS), n+1
			checkValues(t, &s, c.Channels())
		}
		var fe *wrongfile.Error
		must.Need(t, errors.Is(err, io.EOF) || errors.As(err, &fe), "error %v", err)
		must.Need(t, n <= strings.Count(text, "\n")+1, "%d samples of %q", n, text)
		if c == nil {
			return
		}
		for _, d := range c.survey(nil).Doubts {
			must.Need(t, d.Column != "" && d.What != "" && d.Do != "", "%q draws the doubt %+v", text, d)
		}
		_, again := c.Next()
		must.Need(t, again == err, "after %v came %v", err, again)
	})
}

func checkValues(t *testing.T, s *wire.Sample, channels []vessel.Channel) {
	for i, ch := range channels {
		v := s.Values[i]
		least, most := int32(-273_150), int32(1_500_000)
		if ch.Kind == vessel.KindGauge {
			least, most = -120_000, 200_000_000
		}
		must.Need(t, v == wire.ValueMissing || v >= least && v <= most, "channel %d has %d", i, v)
	}
}

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

func drain(s Source) ([]wire.Frame, error) {
	var all []wire.Frame
	for {
		f, err := s.Next()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
		all = append(all, f.Clone())
	}
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
