//go:build unix

package logger

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creack/pty"
	"go.bug.st/serial"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

// What the device says arrives whole and in order, whatever the pieces.
func TestSerialBytesArrive(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 0)})
	up := wantKind(t, l, Up)
	must.Be(t, strings.Contains(up.Text, d.link), "up without the port's name: %q", up.Text)
	all := someSamples(400)
	go func() {
		for p := all; len(p) > 0; {
			n := min(len(p), 1+len(p)%23)
			if _, err := d.m.Write(p[:n]); err != nil {
				t.Error(err)
				return
			}
			p = p[n:]
		}
	}()
	wantBytes(t, l, all)
}

// Every byte value passes: the line is raw, no echo, no newline turned.
func TestSerialIsRaw(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 9600)})
	wantKind(t, l, Up)
	var all []byte
	for i := range 256 {
		all = append(all, byte(i))
	}
	d.say(all)
	wantBytes(t, l, all)
	must.Do(t, l.Send(all))
	got := make([]byte, 256)
	_, err := readFull(d.m, got)
	must.Need(t, err == nil && bytes.Equal(got, all), "the device got % x, %v", got, err)
}

func readFull(f *os.File, p []byte) (int, error) {
	n := 0
	for n < len(p) {
		k, err := f.Read(p[n:])
		n += k
		if err != nil {
			return n, err
		}
	}
	return n, nil
}

// On each opening the device is asked for its hello; when it is pulled out
// and plugged in again under the same name, reading goes on by itself.
func TestSerialUnplugReplug(t *testing.T) {
	d := plugIn(t)
	ask := wire.AppendAskHello(nil, 3)
	l := start(t, Config{Opener: NewSerial(d.link, 0), Hello: ask})
	for round := range 3 {
		wantKind(t, l, Up)
		got := make([]byte, len(ask))
		_, err := readFull(d.m, got)
		must.Need(t, err == nil && bytes.Equal(got, ask), "round %d: the device was asked % x, %v", round, got, err)
		d.say([]byte{1, 2, 3})
		wantBytes(t, l, []byte{1, 2, 3})
		d.unplug()
		down := wantKind(t, l, Down)
		var lost *OpenError
		must.Need(t, errors.As(down.Err, &lost) && lost.Problem == ProblemLost && strings.Contains(down.Text, d.link),
			"down: %q, %v", down.Text, down.Err)
		gone := wantKind(t, l, Trouble)
		wantProblem(t, gone.Err, ProblemMissing, d.link, "fillwright ports", "cable")
		err = l.Send(ask)
		must.Be(t, errors.Is(err, ErrNotSent), "Send on a gone cable: %v", err)
		d.replug()
	}
	wantKind(t, l, Up)
}

// The node must be free at once after an unplug, or the system gives the
// device another one.
func TestSerialNodeIsFreedAfterUnplug(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 0)})
	wantKind(t, l, Up)
	node := d.node
	d.unplug()
	wantKind(t, l, Down)
	_, err := os.Stat(node)
	must.Need(t, errors.Is(err, os.ErrNotExist), "%s is still there: %v", node, err)
	who := portHolders(node, nil)
	must.Need(t, len(who) == 0, "held by %v", who)
}

func TestSerialMissing(t *testing.T) {
	port := filepath.Join(t.TempDir(), "ttyUSB7")
	_, err := Open(context.Background(), Config{Opener: NewSerial(port, 0)})
	wantProblem(t, err, ProblemMissing, port, "fillwright ports", "cable")
	must.Be(t, errors.Is(err, os.ErrNotExist), "the cause is hidden: %v", err)
	_, err = Open(context.Background(), Config{Opener: NewSerial("", 0)})
	wantProblem(t, err, ProblemMissing, "--port")
}

func TestSerialNotAPort(t *testing.T) {
	file := filepath.Join(t.TempDir(), "notes.txt")
	must.Do(t, os.WriteFile(file, []byte("hello\n"), 0o600))
	for _, path := range []string{file, filepath.Dir(file), os.DevNull} {
		_, err := Open(context.Background(), Config{Opener: NewSerial(path, 0)})
		wantProblem(t, err, ProblemNotSerial, path, "fillwright ports")
	}
}

func TestSerialBaud(t *testing.T) {
	d := plugIn(t)
	_, err := Open(context.Background(), Config{Opener: NewSerial(d.link, -9600)})
	wantProblem(t, err, ProblemBaud, "-9600 baud", "--baud 115200")
	s := NewSerial(d.link, 12345678)
	s.ports = func(string, *serial.Mode) (serial.Port, error) { return nil, errors.New("unused") }
	must.Equal(t, invalidPortProblem("Invalid serial port: error configuring port: invalid argument"), ProblemBaud, "a refused setting is problem")
	_, err = s.Open(context.Background())
	must.Be(t, err != nil && strings.Contains(err.Error(), "unused"), "an unknown failure is hidden: %v", err)
	conn, err := NewSerial(d.link, 9600).Open(context.Background())
	must.Need(t, err == nil, "after failures the port is still held: %v", err)
	must.Do(t, conn.Close())
}

// A second fillwright on the same port is turned away, even as root and even
// within one program, under whichever name.
func TestSerialBusyWithFillwright(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 0)})
	wantKind(t, l, Up)
	for _, name := range []string{d.link, d.node} {
		_, err := Open(context.Background(), Config{Opener: NewSerial(name, 0)})
		wantProblem(t, err, ProblemBusy, name, "another fillwright", "ModemManager")
	}
	d.say([]byte("still"))
	wantBytes(t, l, []byte("still"))
	must.Do(t, l.Close())
	again := start(t, Config{Opener: NewSerial(d.link, 0)})
	wantKind(t, again, Up)
}

// A by-id link that points to the named node is opened instead, and is
// followed to another node after an unplug.
func TestSerialFollowsStableName(t *testing.T) {
	d := plugIn(t)
	byID := t.TempDir()
	stable := filepath.Join(byID, "usb-Invented_Logger_0042-if00")
	other := filepath.Join(byID, "usb-Another_0001-if00")
	for link, to := range map[string]string{stable: d.node, other: os.DevNull} {
		must.Do(t, os.Symlink(to, link))
	}
	s := NewSerial(d.link, 0)
	s.byID = byID
	l := start(t, Config{Opener: s})
	up := wantKind(t, l, Up)
	must.Need(t, strings.Contains(up.Text, stable), "opened by the name that moves: %q", up.Text)
	d.unplug()
	wantKind(t, l, Down)
	must.Do(t, os.Remove(stable))
	moved := plugIn(t) // comes back under another ttyUSB name
	must.Do(t, os.Symlink(moved.node, stable))
	for ev := next(t, l); ev.Kind != Up; ev = next(t, l) {
		must.Need(t, ev.Kind == Trouble, "event %d %q", ev.Kind, ev.Text)
	}
	moved.say([]byte("back"))
	wantBytes(t, l, []byte("back"))
}

// A cable that takes nothing stops neither the reading nor the end.
func TestSerialStuckWrite(t *testing.T) {
	d := plugIn(t)
	l := start(t, Config{Opener: NewSerial(d.link, 0)})
	wantKind(t, l, Up)
	lump := make([]byte, 64<<10) // more than a pseudo-terminal holds
	must.Soon(t, "the writer's queue is full", func() bool { return errors.Is(l.Send(lump), ErrNotSent) })
	d.say([]byte("alive"))
	wantBytes(t, l, []byte("alive"))
	done := make(chan error, 1)
	go func() { done <- l.Close() }()
	must.Do(t, must.Comes(t, "Close ends beside a stuck write", done))
}

// The time-out of a silent port is no end and no error.
func TestSerialSilenceIsNoError(t *testing.T) {
	d := plugIn(t)
	conn := must.Get(NewSerial(d.link, 0).Open(context.Background()))(t)
	for range 3 {
		n, err := conn.Read(make([]byte, 10))
		must.Need(t, n == 0 && err == nil, "Read on a silent port: %d, %v", n, err)
	}
	must.Do(t, conn.Close())
	err := conn.Close()
	must.Need(t, err == nil, "second Close: %v", err)
	_, err = conn.Write([]byte{1})
	must.Be(t, errors.Is(err, ErrNotSent), "Write after Close: %v", err)
}

// The library panics on descriptors that select can't take.
func TestSerialTooManyFiles(t *testing.T) {
	d := plugIn(t)
	conn := must.Get(NewSerial(d.link, 0).Open(context.Background()))(t)
	must.Do(t, conn.Close())
	for _, f := range fillDescriptors(t) {
		defer f.Close()
	}
	_, err := NewSerial(d.link, 0).Open(context.Background())
	wantProblem(t, err, ProblemDescriptor, "too many files")
	late := &serialConn{port: panicPort{}, name: d.link}
	_, err = late.Read(nil)
	wantProblem(t, err, ProblemDescriptor)
}

type panicPort struct{ serial.Port }

func (panicPort) Read([]byte) (int, error) { panic("index out of range [16] with length 16") }

func fillDescriptors(t *testing.T) []*os.File {
	t.Helper()
	var files []*os.File
	for range 2 * descriptorMost {
		f, err := os.Open(os.DevNull)
		if err != nil {
			return files // the system's own limit is lower; just as full
		}
		files = append(files, f)
		if f.Fd() > descriptorMost {
			return files
		}
	}
	t.Fatal("the descriptors never filled up")
	return nil
}

// From a device's write to the event in the receiver's hand, one at a time.
func BenchmarkSerialLatency(b *testing.B) {
	m, s, err := pty.Open()
	must.Do(b, err)
	defer m.Close()
	l := must.Get(Open(context.Background(), Config{Opener: NewSerial(s.Name(), 0)}))(b)
	must.Do(b, s.Close())
	<-l.Events() // up
	p := make([]byte, 40)
	for b.Loop() {
		must.Do(b, must.Err(m.Write(p)))
		for got := 0; got < len(p); {
			got += len((<-l.Events()).Data)
		}
	}
	must.Do(b, l.Close())
}
