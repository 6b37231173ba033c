package follow

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// counting is a Stepper that knows which frames it was stepped on.
type counting struct {
	name string
	seqs []string
}

func (c *counting) Step(f wire.Frame) monitor.Snapshot {
	c.seqs = append(c.seqs, f.Type.String())
	return monitor.Snapshot{Seq: uint64(len(c.seqs)), TimeS: float64(len(c.seqs)) / 20}
}

// part is a part of a log, watched with a profile of two parts.
func part(profile string, samples int) []byte {
	log := wire.AppendLogStart(nil, 0, wire.LogStart{Version: wire.Version})
	half := len(profile) / 2
	for i, text := range []string{profile[:half], profile[half:]} {
		log = wire.AppendText(log, uint8(1+i), wire.Text{Kind: wire.TextProfile, Part: uint16(i), Parts: 2, Data: []byte(text)})
	}
	for i := range samples {
		s := wire.Sample{TimeMS: uint32(50 * i), N: 1}
		log = wire.AppendSample(log, uint8(i), &s)
	}
	return log
}

// begun collects what was begun.
type begun struct{ parts []*counting }

func (b *begun) begin(t wire.Texts) (session.Stepper, error) {
	if t.Profile == "bad" {
		return nil, errors.New("no such vessel")
	}
	b.parts = append(b.parts, &counting{name: t.Profile})
	return b.parts[len(b.parts)-1], nil
}

// ragged gives its bytes in pieces of any size.
type ragged struct {
	data []byte
	r    *rand.Rand
}

func (s *ragged) Read(p []byte) (int, error) {
	if len(s.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, s.data[:min(len(s.data), 1+s.r.IntN(200))])
	s.data = s.data[n:]
	return n, nil
}

// TestFrames proves that each part is stepped on with all of its frames, its
// start and texts first, by a monitor of its own that got its texts, however
// the bytes are cut; and that a part whose start was lost is one all the same.
func TestFrames(t *testing.T) {
	one, two := part("first profile", 30), part("second profile", 20)
	first := bytes.IndexByte(two, 0) + 1
	for seed := range uint64(20) {
		var b begun
		log := slices.Concat(one, two, []byte{7, 7, 7}, two) // the third was broken into: its start is lost
		f := must.Get(New(Config{Source: &ragged{log, rand.New(rand.NewPCG(seed, 1))}, Begin: b.begin}))(t)
		err := f.Run(context.Background())
		must.Need(t, errors.Is(err, ErrEnded), "%v", err)
		if len(b.parts) != 3 || b.parts[0].name != "first profile" || b.parts[1].name != "second profile" || b.parts[2].name != "second profile" {
			t.Fatalf("%+v", b.parts)
		}
		n := [3]int{len(b.parts[0].seqs), len(b.parts[1].seqs), len(b.parts[2].seqs)}
		must.Need(t, n == [3]int{33, 23, 22} && b.parts[0].seqs[0] == "log-start" && first != 0, "%v frames", n)
		s := f.Latest()
		must.Be(t, s.Seq == 22, "the newest is %d", s.Seq)
		select {
		case <-f.Ready():
		default:
			t.Error("not ready")
		}
	}
}

// TestMiddle proves that a recording that was joined in its middle is begun
// without texts, and half a profile is none.
func TestMiddle(t *testing.T) {
	log := part("first profile", 10)
	start := bytes.IndexByte(log, 0) + 1
	text := start + bytes.IndexByte(log[start:], 0) + 1
	for _, from := range []int{start + 3, text} {
		var b begun
		f := must.Get(New(Config{Source: bytes.NewReader(log[from:]), Begin: b.begin}))(t)
		err := f.Run(context.Background())
		must.Be(t, errors.Is(err, ErrEnded) && len(b.parts) == 1 && b.parts[0].name == "", "%v %+v", err, b.parts)
	}
}

// TestBadPart proves that a part that can't be begun ends the following with
// the reason.
func TestBadPart(t *testing.T) {
	var b begun
	f := must.Get(New(Config{Source: bytes.NewReader(part("bad", 3)), Begin: b.begin}))(t)
	must.Refuse(t, f.Run(context.Background()), "no such vessel")
	err := f.Entry(wire.Entry{})
	must.Be(t, errors.Is(err, ErrReadOnly), "%v", err)
}

// TestStill proves that a pipe that stands still is told, with nothing that
// could pass for the present, while a screen asks for the newest; and that a
// read that never returns keeps nobody from ending.
func TestStill(t *testing.T) {
	from, to := io.Pipe()
	defer func() { _ = to.Close() }()
	told := make(chan monitor.Snapshot, 16)
	var b begun
	f := must.Get(New(Config{Source: from, Begin: b.begin, Still: func(s *monitor.Snapshot) { told <- *s }}))(t)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- f.Run(ctx) }()
	must.Do(t, must.Err(to.Write(part("first profile", 5))))
	<-f.Notify()
	s := f.Latest()
	must.Be(t, s.Seq != 0 && f.LateS() > 1e9, "late by %g at %d", f.LateS(), s.Seq)
	s = must.Comes(t, "a second is told to be still", told)
	must.Be(t, !s.Link.Up && s.Link.AgeS >= 1 && !s.Advice.Verdict.AsksForGas() && len(s.Alarms) == 1 && s.Alarms[0].Present(), "%+v", s)
	cancel()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestTail proves that a file is followed as it grows, and that one which was
// cut or replaced is told.
func TestTail(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.fill")
	write := func(text string, flag int) {
		t.Helper()
		f := must.Get(os.OpenFile(path, os.O_WRONLY|os.O_CREATE|flag, 0o644))(t)
		_, err := f.WriteString(text)
		must.Do(t, errors.Join(err, f.Close()))
	}
	write("one", 0)
	ctx, cancel := context.WithCancel(context.Background())
	tail := must.Get(OpenTail(ctx, path))(t)
	buf := make([]byte, 100)
	read := func(want string) {
		t.Helper()
		n, err := tail.Read(buf)
		must.Be(t, err == nil && string(buf[:n]) == want, "%q %v, want %q", buf[:n], err, want)
	}
	read("one")
	time.AfterFunc(2*lookEvery, func() { write("two", os.O_APPEND) })
	read("two")
	write("x", os.O_TRUNC)
	must.Refuse(t, must.Err(tail.Read(buf)), "was cut to 1 bytes")
	must.Do(t, os.Remove(path))
	write("long enough", 0)
	tail.at = 0
	must.Refuse(t, must.Err(tail.Read(buf)), "moved or replaced")
	cancel()
	must.Do(t, tail.Close())
}
