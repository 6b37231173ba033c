package runlog

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// texted is a frame of a text, as a session writes it behind the LogStart.
func texted() []byte {
	b, _, err := wire.AppendTexts(nil, 1, &wire.Texts{Profile: "[vessel]\n"})
	if err != nil {
		panic(err)
	}
	return b
}

// samples are n frames, each of which can be known again.
func samples(from, n int) (all [][]byte) {
	for i := range n {
		s := wire.Sample{TimeMS: uint32(from + i)}
		all = append(all, wire.AppendSample(nil, uint8(from+i), &s))
	}
	return all
}

// inLog are the times of the samples in a log, and the profile in it.
func inLog(t *testing.T, path string) (times []uint32, profile string) {
	t.Helper()
	r := must.Get(Open(path, nil))(t)
	for _, f := range frames(t, r) {
		var s wire.Sample
		if f.Type == wire.TypeSample && wire.ParseSample(f.Body, &s) == nil {
			times = append(times, s.TimeMS)
		}
	}
	profile = r.Texts().Profile
	must.Do(t, r.Close())
	return times, profile
}

// A log that somebody cuts or writes into while it is recorded is noticed, and
// recording goes on in a new file, which holds the texts in force, what was
// recorded before (as it was not long ago) and all that comes. Somebody's file
// is not written into any more, and the end tells what happened.
func TestSomebodyElseWritesIntoTheLog(t *testing.T) {
	for name, harm := range map[string]func(t *testing.T, f *os.File){
		"cut to nothing": func(t *testing.T, f *os.File) { check(t, f.Truncate(0)) },
		"cut to a half":  func(t *testing.T, f *os.File) { check(t, f.Truncate(half(t, f))) },
		"cut and grown again": func(t *testing.T, f *os.File) {
			n := half(t, f)
			check(t, errors.Join(f.Truncate(n), f.Truncate(2*n)))
		},
		"another file in its place": func(t *testing.T, f *os.File) {
			_, err := f.WriteAt(bytes.Repeat([]byte("time_s,pressure_bar\n"), 5000), 0)
			check(t, err)
		},
		"one byte of the start": func(t *testing.T, f *os.File) { flip(t, f, 3) },
		"one byte inside":       func(t *testing.T, f *os.File) { flip(t, f, guardBlock/2) },
		"one byte at the end":   func(t *testing.T, f *os.File) { flip(t, f, 2*half(t, f)-9) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "a.fill")
			w := open(t, path)
			appendAll(t, w, append([][]byte{texted()}, samples(0, 20_000)...))
			must.Soon(t, "it is on the disk", func() bool { return bytes.HasSuffix(read(t, path), samples(19_999, 1)[0]) })
			f, err := os.OpenFile(path, os.O_RDWR, 0)
			check(t, err)
			harm(t, f)
			harmed := read(t, path)
			check(t, f.Close())
			must.Soon(t, "it is noticed", func() bool { return w.Err() != nil })
			more := samples(20_000, 100)
			for _, frame := range more {
				err := w.Append(frame)
				must.Need(t, !errors.Is(err, ErrQueueFull) && !errors.Is(err, ErrClosed), "%v", err)
			}
			err = w.Close()
			var typed *WriteError
			must.Be(t, errors.As(err, &typed) && strings.Contains(err.Error(), "somebody else") && strings.Contains(err.Error(), "a-2.fill"),
				"the end says: %v", err)
			now := read(t, path)
			must.Be(t, bytes.Equal(now, harmed), "somebody's file was written into: %d bytes, were %d", len(now), len(harmed))
			times, profile := inLog(t, filepath.Join(filepath.Dir(path), "a-2.fill"))
			must.Need(t, len(times) == 20_100 && profile == "[vessel]\n", "%d samples and profile %q are left", len(times), profile)
			for i, ms := range times {
				must.Need(t, ms == uint32(i), "sample %d where %d should be", ms, i)
			}
		})
	}
}

func check(t *testing.T, err error) {
	t.Helper()
	must.Do(t, err)
}

func half(t *testing.T, f *os.File) int64 {
	info, err := f.Stat()
	check(t, err)
	return info.Size() / 2
}

func flip(t *testing.T, f *os.File, at int64) {
	b := make([]byte, 1)
	_, err := f.ReadAt(b, at)
	check(t, err)
	b[0] ^= 0x10
	_, err = f.WriteAt(b, at)
	check(t, err)
}

// A log that is removed, or whose place another file takes, is not lost: all of
// it is saved, in its place where that is free, and recording goes on there.
func TestLogRemoved(t *testing.T) {
	for name, c := range map[string]struct {
		harm func(path string) error
		in   string
	}{
		"removed": {os.Remove, "a.fill"},
		"replaced": {func(path string) error {
			return errors.Join(os.WriteFile(path+"~", []byte("notes\n"), 0o644), os.Rename(path+"~", path))
		}, "a-2.fill"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			folder := t.TempDir()
			path := filepath.Join(folder, "a.fill")
			w := open(t, path)
			appendAll(t, w, append([][]byte{texted()}, samples(0, 100)...))
			must.Soon(t, "it is on the disk", func() bool { return bytes.HasSuffix(read(t, path), samples(99, 1)[0]) })
			check(t, c.harm(path))
			must.Soon(t, "it is noticed", func() bool { return w.Err() != nil })
			must.Soon(t, "it is well again", func() bool { return w.Err() == nil })
			appendAll(t, w, samples(100, 100))
			err := w.Close()
			var typed *WriteError
			must.Be(t, errors.As(err, &typed) && strings.Contains(err.Error(), "removed") && strings.Contains(err.Error(), "saved"),
				"the end says: %v", err)
			times, profile := inLog(t, filepath.Join(folder, c.in))
			must.Be(t, len(times) == 200 && times[199] == 199 && profile != "", "%d samples are left", len(times))
		})
	}
}

// Where the folder is gone too, recording goes on, and the end says that the
// log is lost.
func TestFolderRemoved(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "logs")
	check(t, os.Mkdir(folder, 0o755))
	w := open(t, filepath.Join(folder, "a.fill"))
	check(t, os.RemoveAll(folder))
	must.Soon(t, "it is noticed", func() bool { return w.Err() != nil })
	var typed *WriteError
	err := w.Close()
	must.Be(t, errors.As(err, &typed) && strings.Contains(err.Error(), "removed") && strings.Contains(err.Error(), "new file"), "the end says: %v", err)
}

// However it is told what was recorded, the guard finds that nothing was
// changed; and it finds a change of any byte, before it has looked at each
// block once.
func TestGuardFindsAnyChange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		content := bytes.Repeat(testFrames(2)[1], rapid.IntRange(1, 8000).Draw(t, "frames"))
		from := int64(rapid.IntRange(0, 100).Draw(t, "from"))
		m := &memDisk{cache: append(make([]byte, from), content...)}
		g := guard{}
		g.begin(bytes.Clone(m.cache[:min(40, len(m.cache))]), from)
		for rest := content; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "n")
			g.add(rest[:n])
			rest = rest[n:]
		}
		looks := len(g.blocks) + 1
		for range looks {
			must.Do(t, g.check(memFile{m}, "x", 0))
		}
		// A block that is not full is looked at when it is.
		at := rapid.IntRange(0, len(g.blocks)*guardBlock+guardTail).Draw(t, "at")
		if at >= len(g.blocks)*guardBlock {
			at = len(content) - 1 - at%min(guardTail, len(content))
		}
		m.cache[int(from)+at] ^= 1
		var damage *DamageError
		for range looks {
			if err := g.check(memFile{m}, "x", 0); errors.As(err, &damage) {
				return
			}
		}
		t.Fatalf("byte %d of %d was changed unseen", at, len(content))
	})
}

// What is kept of a long log is its start and its end, in whole frames, without
// a frame twice; of a short one it is all.
func TestGuardKeeps(t *testing.T) {
	for _, n := range []int{10, 40_000, 200_000} {
		var g guard
		g.begin(nil, 0)
		for _, frame := range samples(0, n) {
			g.add(frame)
		}
		got, last, gaps := 0, -1, 0
		r := readerOf(t, append(wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version}), g.kept()...))
		for _, f := range frames(t, r) {
			var s wire.Sample
			if f.Type != wire.TypeSample || wire.ParseSample(f.Body, &s) != nil {
				continue
			}
			must.Need(t, int(s.TimeMS) > last, "sample %d behind %d", s.TimeMS, last)
			if int(s.TimeMS) > last+1 {
				gaps++
			}
			got, last = got+1, int(s.TimeMS)
		}
		must.Be(t, last == n-1 && (n > 40_000 || got == n) && gaps <= 1 && len(g.opening)+len(g.recent) <= openingMost+2*recentMost+guardTail,
			"%d samples: %d kept, last %d, %d gaps", n, got, last, gaps)
	}
}
