package logger

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"go.bug.st/serial"
)

// BaudDefault is the speed that is used when none is given.
const BaudDefault = 115200

// Serial is a logger on a serial port, 8 data bits, no parity, 1 stop bit,
// no flow control. Make it with NewSerial.
type Serial struct {
	port  string // as the operator named it
	baud  int
	byID  string
	ports func(name string, mode *serial.Mode) (serial.Port, error)
	path  atomic.Value // string, what is opened: a name that stays with the device, if there is one
}

// NewSerial names a port. A ttyUSB or ttyACM name can belong to another
// device after plugging in again, so the device's own name under
// /dev/serial/by-id is opened where there is one. baud 0 means BaudDefault.
func NewSerial(port string, baud int) *Serial {
	if baud == 0 {
		baud = BaudDefault
	}
	s := &Serial{port: port, baud: baud, byID: byIDDir, ports: serial.Open}
	s.path.Store(port)
	return s
}

// Name is the port as the operator named it, with the stable name behind it
// where that is another.
func (s *Serial) Name() string {
	if path := s.path.Load().(string); path != s.port {
		return s.port + " (" + path + ")"
	}
	return s.port
}

// Open opens the port and keeps every other fillwright off it, root's too.
//
// Initial modem bits are left to the system: it raises DTR on opening
// whatever is asked, boards with native USB need DTR before they send, and a
// pseudo-terminal refuses modem bits.
func (s *Serial) Open(context.Context) (Conn, error) {
	if s.port == "" {
		return nil, &OpenError{Problem: ProblemMissing, Name: "(no port)", Detail: "no serial port was named",
			Hints: []string{"name one, for example: --port /dev/ttyUSB0", "for the list of ports type: fillwright ports"}}
	}
	if s.baud < 0 {
		return nil, serialError(s.port, s.baud, errBaud, nil)
	}
	if err := descriptorsLeft(); err != nil {
		return nil, err
	}
	path := stablePath(s.path.Load().(string), s.byID)
	s.path.Store(path)
	lock, err := lockPort(path)
	if err != nil {
		return nil, serialError(s.Name(), s.baud, err, portHolders(path, nil))
	}
	port, err := s.ports(path, &serial.Mode{BaudRate: s.baud})
	if err == nil {
		if err = port.SetReadTimeout(readWait); err == nil {
			openPorts.Add(1)
			return &serialConn{port: port, lock: lock, name: s.Name()}, nil
		}
		err = errors.Join(err, port.Close())
	}
	who := portHolders(path, lock)
	return nil, serialError(s.Name(), s.baud, errors.Join(err, lock.release()), who)
}

var (
	errBaud      = errors.New("a speed can't be negative")
	errBusy      = errors.New("another program holds the port's lock")
	errNotSerial = errors.New("not a character device")
)

// serialConn is an open port. Read and Close are called by one goroutine,
// Write by another.
type serialConn struct {
	port serial.Port
	lock *portLock
	name string

	mu     sync.Mutex // held during a write
	closed bool       // guarded by mu
	ending sync.Once
	err    error
}

// Read returns 0, nil on a time-out. The library panics on a descriptor that
// select can't take; that panic becomes an error here.
func (c *serialConn) Read(p []byte) (n int, err error) {
	defer func() {
		if r := recover(); r != nil {
			n, err = 0, tooManyFiles(fmt.Errorf("reading the port: %v", r))
		}
	}()
	n, err = c.port.Read(p)
	if n > 0 {
		return n, nil // an error beside bytes comes again with the next Read
	}
	if err != nil {
		return 0, &OpenError{Problem: ProblemLost, Name: c.name, Detail: "the port has gone", Err: err,
			Hints: []string{"check the cable and the logger's power"}}
	}
	return 0, nil
}

// Write blocks for as long as the port takes nothing.
func (c *serialConn) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closed {
		return 0, ErrNotSent
	}
	return c.port.Write(p)
}

// closeWait is how long Close waits for a write under way. A write that is
// stuck by then sits inside the system, which keeps its own hold on the
// port, so the descriptor can be closed under it.
const closeWait = 200 * time.Millisecond

// Close frees the port at once, so that the system can give the same node to
// the device when it is plugged in again. What was not sent is thrown away,
// for the system may otherwise wait half a minute for it.
func (c *serialConn) Close() error {
	c.ending.Do(func() {
		openPorts.Add(-1)
		stop := time.Now().Add(closeWait)
		held := c.mu.TryLock()
		for !held && time.Now().Before(stop) {
			time.Sleep(time.Millisecond)
			held = c.mu.TryLock()
		}
		if held {
			c.closed = true
			defer c.mu.Unlock()
		}
		flushErr := c.port.ResetOutputBuffer()
		c.err = errors.Join(c.port.Close(), c.lock.release())
		if c.err != nil {
			c.err = errors.Join(c.err, flushErr) // alone it only says that the port has gone
		}
	})
	return c.err
}
