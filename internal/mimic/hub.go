package mimic

import (
	"context"
	"errors"
	"io"
	"net"
	"os"
	"sync"
	"syscall"
	"time"

	"fillwright/internal/fault"
	"fillwright/internal/wire"
)

// hostQueue is how many frames wait for a host that does not read; the oldest
// go first, as in a real logger without memory. At 20 Hz it is a minute.
const hostQueue = 1200

// catchUpS bounds how far one turn of Run carries the vessel, so that a
// machine that slept does not come back with a burst.
const catchUpS = 1.0

// hub hands each frame to every attached host.
type hub struct {
	mu    sync.Mutex
	hosts map[*host]struct{}
	came  chan struct{} // closed when the first host attaches
}

type host struct {
	frames chan []byte
}

// offer queues a frame without ever waiting.
func (h *host) offer(frame []byte) {
	for {
		select {
		case h.frames <- frame:
			return
		default:
		}
		select {
		case <-h.frames: // drop the oldest
		default:
		}
	}
}

func (h *hub) first() chan struct{} {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.came == nil {
		h.came = make(chan struct{})
	}
	return h.came
}

func (h *hub) attach() *host {
	came := h.first()
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.hosts == nil {
		h.hosts = make(map[*host]struct{})
		close(came)
	}
	n := &host{frames: make(chan []byte, hostQueue)}
	h.hosts[n] = struct{}{}
	return n
}

func (h *hub) detach(n *host) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.hosts, n)
}

// publish copies a frame for all hosts; without hosts it is discarded.
func (h *hub) publish(frame []byte) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.hosts) == 0 {
		return
	}
	kept := append([]byte(nil), frame...)
	for n := range h.hosts {
		n.offer(kept)
	}
}

// Begin lets the vessel's time pass with the clock until ctx ends. Who serves the
// device begins it with his own ctx, so that it ends with the first cable: begin it
// before where it shall outlive that. A second call changes nothing.
func (d *Device) Begin(ctx context.Context) {
	d.once.Do(func() { go d.pace(ctx) })
}

// Run begins and waits for the end.
func (d *Device) Run(ctx context.Context) error {
	d.Begin(ctx)
	<-d.done
	return d.err
}

func (d *Device) pace(ctx context.Context) {
	defer close(d.done) // hosts see silence; Serve tells why
	d.err = fault.Guard("the pretended vessel", func() error { return d.beat(ctx) })
}

// beat goes on until ctx ends, from the first host on if one is waited for.
func (d *Device) beat(ctx context.Context) error {
	if d.wait {
		select {
		case <-d.hub.first():
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	beat := time.NewTicker(d.tick)
	defer beat.Stop()
	last, dueS := time.Now(), d.TimeS()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-beat.C:
		}
		now := time.Now()
		passed := now.Sub(last).Seconds() * d.speed
		last = now
		dueS += min(passed, catchUpS*max(d.speed, 1))
		d.Advance(dueS, d.hub.publish)
	}
}

// Serve is one host's connection: it sends the logger's frames to rw and
// hears the host's requests until ctx ends or rw fails, and closes rw. A hello
// is the first thing that a host gets. When the host hangs up the error is nil.
func (d *Device) Serve(ctx context.Context, rw io.ReadWriteCloser) error {
	d.Begin(ctx)
	h := d.hub.attach()
	defer d.hub.detach(h)
	// A host that comes late gets its hello, and so do all: they share one count of
	// frames, and a frame to one alone would look lost to the others.
	d.Hear(wire.Frame{Type: wire.TypeAskHello}, d.hub.publish)
	ended := make(chan error, 2)
	stop := make(chan struct{})
	go func() { ended <- fault.Guard("the pretended logger", func() error { return d.listen(rw) }) }()
	go func() { ended <- fault.Guard("the pretended logger", func() error { return h.talk(rw, stop) }) }()
	var err error
	select {
	case <-ctx.Done():
		err = ctx.Err()
	case <-d.done: // the vessel's time has ended
		err = d.err
	case err = <-ended:
		ended <- err // counted again below
	}
	close(stop)
	closeErr := rw.Close() // frees a blocked Read or Write
	for range 2 {
		<-ended
	}
	return errors.Join(UnlessGone(err), UnlessGone(closeErr))
}

// UnlessGone drops the errors that only say that the other end hung up.
func UnlessGone(err error) error {
	for _, gone := range []error{io.EOF, io.ErrClosedPipe, net.ErrClosed, os.ErrClosed,
		syscall.EPIPE, syscall.ECONNRESET, syscall.EIO} {
		if errors.Is(err, gone) {
			return nil
		}
	}
	return err
}

// listen obeys a host's frames until r fails.
func (d *Device) listen(r io.Reader) error {
	var dec wire.Decoder
	dec.Aligned = true
	buf := make([]byte, 1024)
	for {
		n, err := r.Read(buf)
		dec.Decode(buf[:n], func(f wire.Frame) { d.Hear(f, d.hub.publish) })
		if err != nil {
			return err
		}
	}
}

// talk writes frames to w until stop or a fault.
func (h *host) talk(w io.Writer, stop <-chan struct{}) error {
	for {
		select {
		case <-stop:
			return nil
		case frame := <-h.frames:
			if _, err := w.Write(frame); err != nil {
				return err
			}
		}
	}
}
