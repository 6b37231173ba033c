package logger

import (
	"errors"
	"fmt"
	"time"

	"fillwright/internal/fault"
)

// acquire reads one opening of the cable after the other. It is the only
// goroutine that reads or closes a Conn, so a descriptor is never closed
// under a pending read.
func (l *Logger) acquire(conn Conn) {
	defer l.queue.close()
	backoff := l.cfg.BackoffLeast
	for {
		l.event(Event{Kind: Up, Text: l.cfg.Opener.Name() + " is open"})
		w := l.attach(conn)
		got, err := l.read(conn)
		l.detach(w)
		closeErr := conn.Close()
		if l.ctx.Err() != nil {
			return
		}
		l.event(Event{Kind: Down, Text: lostText(l.cfg.Opener.Name(), err), Err: errors.Join(err, closeErr)})
		if got { // a port that opens and dies at once goes on backing off
			backoff = l.cfg.BackoffLeast
		}
		if conn, backoff = l.reopen(backoff); conn == nil {
			return
		}
	}
}

// read moves bytes from conn to the queue until conn fails or the logger
// ends, and tells whether any came.
func (l *Logger) read(conn Conn) (got bool, err error) {
	buf := make([]byte, 4096)
	for l.ctx.Err() == nil {
		start := time.Now()
		n, err := conn.Read(buf)
		if n > 0 {
			got = true
			l.queue.putBytes(buf[:n], l.cfg.Now())
		}
		if err != nil {
			return got, err
		}
		if n == 0 && time.Since(start) < time.Millisecond {
			time.Sleep(5 * time.Millisecond) // a driver that does not wait must not spin
		}
	}
	return got, l.ctx.Err()
}

// reopen tries until the logger is open again, with waits that double from
// backoff to the longest. It says so once for each new reason. A nil Conn
// means that the logger has ended.
func (l *Logger) reopen(backoff time.Duration) (Conn, time.Duration) {
	said := ""
	for {
		timer := time.NewTimer(backoff)
		select {
		case <-l.ctx.Done():
			timer.Stop()
			return nil, backoff
		case <-timer.C:
		}
		backoff = min(2*backoff, l.cfg.BackoffMost)
		conn, err := l.cfg.Opener.Open(l.ctx)
		if err == nil {
			return conn, backoff
		}
		if l.ctx.Err() != nil {
			return nil, backoff
		}
		if short := Short(err); short != said {
			said = short
			l.event(Event{Kind: Trouble, Text: short + "; trying again until it is back", Err: err})
		}
	}
}

func (l *Logger) event(ev Event) {
	ev.At = l.cfg.Now()
	l.queue.putNote(ev)
}

func lostText(name string, err error) string {
	if err == nil {
		return name + " is gone"
	}
	return fmt.Sprintf("%s is gone (%s); opening it again", name, Short(err))
}

// writer sends frames from a goroutine of its own, for a blocked write has
// no time-out and can't be freed.
type writer struct {
	frames chan []byte
}

// Limits on what waits to be sent. A stuck cable can hold a writer goroutine
// after its Conn was closed; no more than writersMost of them are started.
const (
	framesMost  = 8
	writersMost = 4
)

func (w *writer) send(frame []byte) error {
	select {
	case w.frames <- append([]byte(nil), frame...):
		return nil
	default:
		return fmt.Errorf("%w: the cable takes nothing, %d frames are waiting", ErrNotSent, framesMost)
	}
}

// attach starts the writer of a fresh Conn and asks for a hello.
func (l *Logger) attach(conn Conn) *writer {
	if l.writers.Load() >= writersMost {
		l.event(Event{Kind: Trouble, Text: "nothing can be sent to the logger: earlier writes are stuck"})
		return nil
	}
	w := &writer{frames: make(chan []byte, framesMost)}
	l.writers.Add(1)
	go l.write(w, conn)
	if len(l.cfg.Hello) > 0 {
		w.frames <- append([]byte(nil), l.cfg.Hello...) // fits: the channel is new
	}
	l.mu.Lock()
	l.out = w
	l.mu.Unlock()
	return w
}

func (l *Logger) detach(w *writer) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.out = nil
	if w != nil {
		close(w.frames)
	}
}

// write is not waited for by Close: it may be stuck.
func (l *Logger) write(w *writer, conn Conn) {
	defer l.writers.Add(-1)
	defer func() {
		if r := recover(); r != nil {
			l.fail(fault.Of("sending to the logger", r))
		}
	}()
	said := false
	for frame := range w.frames {
		if _, err := conn.Write(frame); err != nil && !said {
			said = true
			l.event(Event{Kind: Trouble, Text: "could not send to the logger (" + Short(err) + ")", Err: err})
		}
	}
}
