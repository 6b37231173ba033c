package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// A kill at any byte: a log cut at every length opens again, keeps each whole
// frame, puts the rest aside and goes on.
func TestKilledAtAnyByte(t *testing.T) {
	start := wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version, UnixMS: 1})
	all := append([][]byte{start}, testFrames(4)...)
	all = append(append(all, start), testFrames(2)...)
	log := bytes.Join(all, nil)
	next := testFrames(1)[1]
	for size := range len(log) + 1 {
		path := write(t, "a.run", log[:size])
		var whole []byte // a frame that lacks its delimiter only is whole
		for _, f := range all {
			if len(whole)+len(f)-1 > size {
				break
			}
			whole = append(whole, f...)
		}
		w := open(t, path)
		opened := w.Opened()
		appendAll(t, w, [][]byte{next})
		closeLog(t, w)
		want := bytes.Join([][]byte{whole, start, next}, nil)
		got := read(t, path)
		must.Need(t, bytes.Equal(got, want), "cut at %d: got %x\nwant %x", size, got, want)
		var torn []byte
		if opened.Cut > 0 {
			torn = read(t, opened.TornFile)
		}
		if kept := len(whole); opened.Cut != int64(len(torn)) || kept <= size && !bytes.Equal(log[kept:size], torn) || kept > size && len(torn) > 0 {
			t.Fatalf("cut at %d: %d bytes put aside: %x", size, opened.Cut, torn)
		}
		must.Need(t, opened.Appended == (size > 0), "cut at %d: %+v", size, opened)
	}
}

// Torn bytes never overwrite earlier torn bytes.
func TestTornFilesKeepEachOther(t *testing.T) {
	path := t.TempDir() + "/a.run"
	for i := range 3 {
		closeLog(t, open(t, path))
		f := must.Get(os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0))(t)
		must.Do(t, must.Err(fmt.Fprintf(f, "half %d", i)))
		must.Do(t, f.Close())
	}
	closeLog(t, open(t, path))
	for name, want := range map[string]string{".torn": "half 0", ".torn.2": "half 1", ".torn.3": "half 2"} {
		must.Equal(t, string(read(t, path+name)), want, "%s holds", name)
	}
}

// What is no run log is refused, left as it is, and the message says what it
// is and what to type.
func TestOpenWriterRefuses(t *testing.T) {
	newer := wire.AppendFrame(nil, wire.TypeLogStart, 0, append([]byte{9}, make([]byte, 40)...))
	for name, c := range map[string]struct {
		content []byte
		want    string
	}{
		"fill.csv":  {[]byte("time_s,pressure_bar\n0,1\n"), "is no run log but a CSV, so nothing was recorded into it; give --log a new name, like --log "},
		"notes.txt": {[]byte("Dear diary,\n"), "so nothing was recorded into it; give --log a new name"},
		"cap.bin":   {bytes.Join(testFrames(3), nil), "is no run log but a capture"},
		"junk.bin":  {bytes.Repeat([]byte{1, 2, 3, 0xff, 0}, 50), "holds 250 bytes but hardly a good frame (0 good, 49 damaged), so nothing"},
		"x.gz":      {[]byte("\x1f\x8b\x08\x00junk"), "is compressed with gzip, so nothing"},
		"newer.run": {newer, "recorded with version 9 of the protocol, this program reads up to version 1 (made by a newer fillwright); install a newer"},
		"one.txt":   {[]byte("a"), "so nothing was recorded into it"},
		"zeros.bin": {make([]byte, 100), "hardly a good frame"},
	} {
		path := write(t, name, c.content)
		w, err := OpenWriter(path, wire.LogStart{})
		if err == nil {
			closeLog(t, w)
			t.Errorf("%s was opened", name)
			continue
		}
		must.Be(t, strings.Contains(err.Error(), c.want) && strings.HasPrefix(err.Error(), path), "%s: %v\nwant %s", name, err, c.want)
		must.Be(t, bytes.Equal(read(t, path), c.content), "%s was changed", name)
		list, err := os.ReadDir(filepath.Dir(path))
		must.Be(t, err == nil && len(list) == 1, "%s: %d files there, %v", name, len(list), err)
	}
}

// Places where no log can be.
func TestOpenWriterBadPlaces(t *testing.T) {
	dir := t.TempDir()
	for path, want := range map[string]string{
		dir:                      "is a folder, so nothing was recorded into it; give --log a new name",
		dir + "/none here/a.run": "is not there; make it: mkdir -p '" + dir + "/none here'",
		os.DevNull:               "is a device or a pipe, not a file",
	} {
		_, err := OpenWriter(path, wire.LogStart{})
		var fe *wrongfile.Error
		must.Be(t, errors.As(err, &fe) && strings.Contains(err.Error(), want), "%s: %v\nwant %s", path, err, want)
	}
}

// FreeBytes is what an ordinary user gets, so not zero where tests can run and
// an error where there is nothing.
func TestFreeBytes(t *testing.T) {
	free, err := FreeBytes(t.TempDir())
	must.Be(t, err == nil && free != 0, "free %d, %v", free, err)
	_, err = FreeBytes(t.TempDir() + "/none")
	must.Be(t, err != nil, "a folder that is not there has free space")
}
