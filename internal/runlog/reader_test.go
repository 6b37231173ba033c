package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/recording"
	"fillwright/internal/table"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// A run log gives back the very frames that were written, with its kind.
func TestReaderRunLog(t *testing.T) {
	path := t.TempDir() + "/a.run"
	w := open(t, path)
	all := testFrames(5000) // more than one piece of reading
	appendAll(t, w, all)
	closeLog(t, w)
	r := must.Get(Open(path, nil))(t)
	got := frames(t, r)
	must.Be(t, bytes.Equal(encoded(got), read(t, path)), "the frames are not those of the file")
	must.Be(t, r.Kind() == FileRunLog && r.Counts().Good == uint64(len(all)+1) && len(r.Warnings()) == 0 && r.Channels() == nil,
		"kind %v, counts %+v, warnings %q", r.Kind(), r.Counts(), r.Warnings())
	must.Do(t, r.Rewind())
	again := frames(t, r)
	must.Be(t, bytes.Equal(encoded(again), encoded(got)), "a second reading differs")
	must.Do(t, r.Close())
}

// A capture that begins and ends in the middle of frames, with a damaged and a
// lost one between, gives every whole frame and says what is not whole.
func TestReaderCapture(t *testing.T) {
	all := testFrames(10)
	all[4] = bytes.Clone(all[4])
	all[4][5] ^= 0x10
	b := bytes.Join([][]byte{all[9][7:], all[0], all[1], all[2], all[4], all[5], all[6][:8]}, nil)
	r := readerOf(t, b)
	got := frames(t, r)
	if want := bytes.Join([][]byte{all[0], all[1], all[2], all[5]}, nil); !bytes.Equal(encoded(got), want) {
		t.Errorf("frames %x\nwant   %x", encoded(got), want)
	}
	must.Be(t, r.Kind() == FileCapture && r.torn == 8, "kind %v, torn %d", r.Kind(), r.torn)
	want := []string{"the last 8 bytes are unfinished and were left out", "1 damaged frames were left out", "2 frames of the logger never arrived"}
	if got := r.Warnings(); strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("warnings %q\nwant     %q", got, want)
	}
}

// A capture from the very first byte of a frame keeps that frame, and a last
// frame that lacks only its delimiter is read.
func TestReaderKeepsFirstAndLast(t *testing.T) {
	b := bytes.Join(testFrames(3), nil)
	got := frames(t, readerOf(t, b[:len(b)-1]))
	must.Be(t, bytes.Equal(encoded(got), b), "frames %x\nwant   %x", encoded(got), b)
}

// A capture of a logger that prints text is read as frames too.
func TestReaderLines(t *testing.T) {
	r := readerOf(t, []byte("5,417\ntime_ms,pressure_counts/4095,gas_nv\n100,409,1000000\n150,410,\n200,41"))
	got := frames(t, r)
	must.Need(t, r.Kind() == FileLines && len(got) == 3 && r.torn == 6, "kind %v, %d frames, torn %d", r.Kind(), len(got), r.torn)
	var s wire.Sample
	err := wire.ParseSample(got[2].Body, &s)
	must.Be(t, err == nil && s.Values[0] == 410 && s.Values[1] == wire.ValueMissing, "sample %+v, %v", s, err)
}

// A CSV file is known by its content, and brings its own channels.
func TestReaderCSV(t *testing.T) {
	r := must.Get(Open(write(t, "fill.run", []byte("time_s,pressure_bar,gas_c\n0,1,20\n1,2,21\n")), nil))(t)
	first := frames(t, r)
	must.Need(t, r.Kind() == FileCSV && len(first) == 3 && len(r.Channels()) == 2 && r.Channels()[0].Kind == vessel.KindGauge,
		"kind %v, %d frames, channels %+v", r.Kind(), len(first), r.Channels())
	must.Do(t, r.Rewind())
	again := frames(t, r)
	must.Be(t, bytes.Equal(encoded(again), encoded(first)), "a second reading differs")
	must.Do(t, r.Close())
}

// Texts come back whole, each part of the log with its own; a text with a part
// missing is not in force.
func TestReaderTexts(t *testing.T) {
	long := strings.Repeat("remark = \"a profile of several parts\"\n", 40)
	texts := []wire.Texts{{Profile: long, Offsets: "o"}, {}, {Profile: long, Model: strings.Repeat("m", 400)}}
	var b []byte
	for _, x := range texts {
		b = wire.AppendLogStart(b, 0, wire.LogStart{Version: wire.Version})
		var err error
		if b, _, err = wire.AppendTexts(b, 1, &x); err != nil {
			t.Fatal(err)
		}
		b = append(b, bytes.Join(testFrames(2), nil)...)
	}
	r := readerOf(t, b)
	must.Be(t, r.Texts() == texts[0], "before the first frame: %+v", r.Texts())
	part := -1
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		must.Do(t, err)
		if f.Type == wire.TypeLogStart {
			part++
		}
		must.Need(t, r.Texts() == texts[part], "part %d: %+v", part, r.Texts())
	}
	broken := wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version})
	for _, i := range []uint16{0, 2, 2} {
		broken = wire.AppendText(broken, 0, wire.Text{Kind: wire.TextProfile, Part: i, Parts: 3, Data: []byte("x")})
	}
	r = readerOf(t, broken)
	must.Be(t, r.Texts() == (wire.Texts{}) && len(r.Warnings()) == 1, "a text with a gap: %+v, %q", r.Texts(), r.Warnings())
}

// A recording of a newer program is a typed error with both versions.
func TestReaderNewerVersion(t *testing.T) {
	start := wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version})
	newer := wire.AppendFrame(nil, wire.TypeLogStart, 0, []byte{wire.Version + 1})
	h := testHello
	h.Protocol = wire.Version + 1
	for name, b := range map[string][]byte{
		"at the start":    newer,
		"appended":        bytes.Join([][]byte{start, testFrames(0)[0], newer}, nil),
		"hello of logger": bytes.Join([][]byte{wire.AppendHello(nil, 0, &h), testFrames(1)[1]}, nil),
	} {
		_, err := NewReader("a.run", bytes.NewReader(b), int64(len(b)), nil)
		must.Be(t, errors.Is(err, ErrNewer) && strings.Contains(err.Error(), fmt.Sprintf("version %d of the protocol", wire.Version+1)),
			"%s: %v", name, err)
	}
}

// Files that are no recording are refused with what they are.
func TestReaderRefuses(t *testing.T) {
	for name, c := range map[string]struct{ content, want string }{
		"empty":       {"", "is empty; name a run log, a capture of the serial port or a CSV file"},
		"junk":        {strings.Repeat("\x01\x02\xff\x00", 99), "hardly a good frame"},
		"prose":       {"Dear diary, today\n", `:1: column "Dear diary": no such column`},
		"spreadsheet": {"PK\x03\x04zip", "is a ZIP archive or a spreadsheet; unpack it, or save"},
		"utf-16":      {"\xff\xfet\x00i\x00", "is text in UTF-16; save it as CSV in UTF-8"},
		"no zero":     {strings.Repeat("\x01\x02\xff", 999), "is neither a recording nor a table"},
		"no hello":    {string(bytes.Join(testFrames(3)[1:], nil)), "holds 3 frames but no hello, so its channels are not known; capture for longer than 5 s"},
	} {
		path := write(t, "x", []byte(c.content))
		_, err := Open(path, nil)
		var fe *wrongfile.Error
		must.Be(t, errors.As(err, &fe) && strings.Contains(err.Error(), c.want) && strings.HasPrefix(err.Error(), path),
			"%s: %v\nwant %s", name, err, c.want)
	}
	for path, want := range map[string]string{
		"none.run":    "none.run: there is no such file; check the name; ls . shows what is there",
		t.TempDir():   "is a folder; name a file in it",
		os.DevNull:    "is a device or a pipe, not a file; name a run log",
		"bad\x00name": "bad\x00name: can't be read",
	} {
		must.Refuse(t, must.Err(Open(path, nil)), want)
	}
}

// WriteLog makes a log of a source, never over an existing file, and leaves
// nothing behind when the source fails.
func TestWriteLog(t *testing.T) {
	path := t.TempDir() + "/a.run"
	texts := wire.Texts{Profile: "p"}
	source := func(rows string) recording.Source {
		return must.Get(table.NewReader("fill.csv", strings.NewReader("time_s,pressure_bar\n0,1\n1,2\n2,3\n"+rows), nil))(t)
	}
	if _, err := WriteLog(path, wire.LogStart{}, &texts, source("x,1\n")); err == nil {
		t.Fatal("a bad row passed")
	}
	n, err := WriteLog(path, wire.LogStart{}, &texts, source(""))
	must.Need(t, err == nil && n == 4, "%d frames, %v", n, err)
	r := readerOf(t, read(t, path))
	got := frames(t, r)[2:]
	must.Be(t, r.Texts() == texts && bytes.Equal(encoded(got), encoded(frames(t, source("")))), "the log is not what went in")
	before := read(t, path)
	must.Refuse(t, must.Err(WriteLog(path, wire.LogStart{}, &texts, source(""))), "is there already and is not overwritten; give a new name, like ")
	must.Be(t, bytes.Equal(read(t, path), before), "an existing file was changed")
}

// The length is the session time of the last sample, as reading the fill finds
// it, and the reader stands at its first frame again.
func TestLengthS(t *testing.T) {
	var l ploverLog
	l.start(wire.Texts{})
	l.hello(1)
	l.sample(math.MaxUint32-99, 819, 0, 0, 0, 0, 0) // wraps after 0.1 s
	l.sample(0, 819, 0, 0, 0, 0, 0)
	l.sample(2400, 819, 0, 0, 0, 0, 0)
	path := write(t, "a.run", l.b)
	want := must.Get(ReadFill(path, vessel.Invented(), nil))(t)
	r := readerOf(t, l.b)
	n := 0
	for ; ; n++ {
		if _, err := r.Next(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	got, err := r.LengthS()
	last := want.TimeS[len(want.TimeS)-1]
	must.Be(t, err == nil && got == last && math.Abs(last-2.5) <= 1e-9, "length %g s (%v), want %g s", got, err, last)
	for range n {
		_, err := r.Next()
		must.Need(t, err == nil, "not at the first frame: %v", err)
	}
	twice := readerOf(t, shortFill())
	got, err = twice.LengthS()
	must.Be(t, err == nil && math.IsNaN(got), "length of two sessions is %g s (%v), want not known", got, err)
}

// TestIsCSV: a table is told from a run log without reading either to its end.
func TestIsCSV(t *testing.T) {
	log := write(t, "a.fill", shortFill())
	for path, want := range map[string]bool{"../../testdata/fills/mild-1.csv": true, log: false} {
		got, err := IsCSV(path)
		must.Be(t, err == nil && got == want, "%s: %v, %v", path, got, err)
	}
	must.Refuse(t, must.Err(IsCSV("nothing.csv")), "nothing.csv: ")
}

// TestRawWantsChannels: raw readings of a logger can't be told apart by a
// profile without channels, and the message says what to add.
func TestRawWantsChannels(t *testing.T) {
	r := readerOf(t, shortFill())
	p := *vessel.Invented()
	p.Channels = nil
	_, err := r.ProfileFor(&p)
	must.Be(t, err != nil && strings.Contains(err.Error(), "no [[channel]]") && strings.Contains(err.Error(), "profile new"), "the error is %v", err)
}
