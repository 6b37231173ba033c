package runlog

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/recording"
	"fillwright/internal/wire"
)

var testHello = wire.Hello{Protocol: wire.Version, Board: 7, Boot: 3, RateMHz: 10000, N: 2, Channels: [wire.ChannelMost]wire.Channel{
	{Index: 0, Kind: wire.KindPascal}, {Index: 1, Kind: wire.KindMilliCelsius}}}

// testFrames makes a hello and n samples, encoded, one a slice.
func testFrames(n int) [][]byte {
	all := [][]byte{wire.AppendHello(nil, 0, &testHello)}
	for i := range n {
		s := wire.Sample{TimeMS: uint32(i) * 100, N: 2, Values: [wire.ChannelMost]int32{int32(i) * 1000, 20000}}
		all = append(all, wire.AppendSample(nil, uint8(i+1), &s))
	}
	return all
}

// frames reads a source to its end and returns copies of its frames.
func frames(t *testing.T, s recording.Source) []wire.Frame {
	t.Helper()
	all, err := drain(s)
	must.Do(t, err)
	return all
}

func drain(s recording.Source) (all []wire.Frame, err error) {
	err = recording.Each(s, func(f wire.Frame) error { all = append(all, f.Clone()); return nil })
	return all, err
}

func open(t *testing.T, path string) *Writer {
	t.Helper()
	return must.Get(OpenWriter(path, wire.LogStart{UnixMS: 1}))(t)
}

func appendAll(t *testing.T, w *Writer, all [][]byte) {
	t.Helper()
	for _, f := range all {
		must.Do(t, w.Append(f))
	}
}

func closeLog(t *testing.T, w *Writer) {
	t.Helper()
	must.Do(t, w.Close())
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	return must.Get(os.ReadFile(path))(t)
}

func write(t *testing.T, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	must.Do(t, os.WriteFile(path, b, 0o644))
	return path
}

// readerOf opens a recording that lies in memory.
func readerOf(t *testing.T, b []byte) *Reader {
	t.Helper()
	return must.Get(NewReader("a.run", bytes.NewReader(b), int64(len(b)), nil))(t)
}

// encoded gives the frames' bytes again.
func encoded(all []wire.Frame) []byte {
	var b []byte
	for _, f := range all {
		b = wire.AppendFrame(b, f.Type, f.Seq, f.Body)
	}
	return b
}

// memDisk is a disk in memory whose writes and syncs fail as told. What was
// not synced is gone after a failed sync or a power cut.
type memDisk struct {
	mu      sync.Mutex
	durable []byte
	cache   []byte
	fail    func(op string) error // nil: nothing fails
	forgets bool                  // opening it anew may find only what was synced, as after pulling a stick
	rnd     *rand.Rand
}

// memFile is one opening of a memDisk.
type memFile struct{ d *memDisk }

func (d *memDisk) failing(op string) error {
	if d.fail == nil {
		return nil
	}
	return d.fail(op)
}

func (d *memDisk) setFail(fail func(op string) error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.fail = fail
}

func (d *memDisk) content() []byte {
	d.mu.Lock()
	defer d.mu.Unlock()
	return bytes.Clone(d.cache)
}

func (d *memDisk) open() (file, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.failing("open"); err != nil {
		return nil, err
	}
	if d.forgets && d.rnd.IntN(2) == 0 {
		d.cache = bytes.Clone(d.durable)
	}
	return memFile{d}, nil
}

func (f memFile) WriteAt(p []byte, at int64) (int, error) {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	err := f.d.failing("write")
	if err != nil { // a failing disk still takes a part
		p = p[:f.d.rnd.IntN(len(p)+1)]
	}
	if grow := int(at) + len(p) - len(f.d.cache); grow > 0 {
		f.d.cache = append(f.d.cache, make([]byte, grow)...)
	}
	return copy(f.d.cache[at:], p), err
}

func (f memFile) ReadAt(p []byte, at int64) (int, error) {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	n := copy(p, f.d.cache[min(int(at), len(f.d.cache)):])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

func (f memFile) Sync() error {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	if err := f.d.failing("sync"); err != nil {
		f.d.cache = bytes.Clone(f.d.durable)
		return err
	}
	f.d.durable = bytes.Clone(f.d.cache)
	return nil
}

func (f memFile) Truncate(size int64) error {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	f.d.cache = f.d.cache[:size]
	return nil
}

func (f memFile) Close() error { return nil }

type memInfo struct {
	fs.FileInfo
	size int64
}

func (i memInfo) Size() int64 { return i.size }

func (f memFile) Stat() (os.FileInfo, error) {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	if err := f.d.failing("stat"); err != nil {
		return nil, err
	}
	return memInfo{size: int64(len(f.d.cache))}, nil
}

var errBroken = errors.New("input/output error")

// memWriter is a Writer on a memDisk, with a log begun.
func memWriter(t *testing.T, seed uint64) (*Writer, *memDisk) {
	t.Helper()
	m := &memDisk{rnd: rand.New(rand.NewPCG(seed, 1))}
	d := disk{file: memFile{m}, reopen: m.open}
	d.pending = wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version})
	d.head = bytes.Clone(d.pending)
	must.Do(t, d.write())
	must.Do(t, d.sync())
	return newWriter(Opened{Path: "mem.run"}, d), m
}
