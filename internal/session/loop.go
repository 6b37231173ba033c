package session

import (
	"context"
	"fmt"
	"time"

	"fillwright/internal/logger"
	"fillwright/internal/wire"
)

// loop is the goroutine that turns everything into inputs, one at a time.
type loop struct {
	s       *Session
	log     *logWriter
	host    wire.Decoder // reads the host's own frames back, as a replay will
	hostSeq uint8
	askSeq  uint8
	buf     []byte

	began    time.Time // what the host's steady clock is counted from
	stampMS  int64     // of the last arrival told
	goodAt   time.Time // of the last sample that could be read, or the start
	silences int64     // whole SilenceEveryMS told since goodAt
	clockAt  time.Time
	up       bool
	greeted  bool // a hello came since the cable came up
	asks     int
	askAt    time.Time
	logLost  bool
	room     wire.LinkState // what was last told of the log's disk
	foreign  bool           // frames that only a host writes came over the cable
	note     string
	noteAt   time.Time
}

func newLoop(s *Session, k *logWriter) *loop {
	l := &loop{s: s, log: k, host: wire.Decoder{Aligned: true}}
	k.loop = l
	return l
}

func (l *loop) run(ctx context.Context) {
	ticks, stop := l.s.cfg.Clock.Tick(tickEvery)
	defer stop()
	now := l.s.cfg.Clock.Now()
	l.began, l.goodAt, l.stampMS = now, now, -wire.ArrivalEveryMS
	l.begin(now)
	for ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case ev, ok := <-l.s.cfg.Cable.Events():
			if !ok {
				return
			}
			l.event(ev)
		case e := <-l.s.entries:
			l.entry(e)
		case now := <-ticks:
			// What has come already is no silence.
			select {
			case ev, ok := <-l.s.cfg.Cable.Events():
				if !ok {
					return
				}
				l.event(ev)
			default:
			}
			l.tick(now)
		}
	}
}

// begin writes the start, the texts in force and the time.
func (l *loop) begin(now time.Time) {
	start := l.s.cfg.Start
	start.Version = wire.Version
	if start.UnixMS == 0 && !l.s.cfg.StartLogged {
		start.UnixMS = now.UnixMilli()
	}
	l.buf = wire.AppendLogStart(l.buf[:0], l.seq(), start)
	if !l.s.cfg.StartLogged {
		l.log.put(l.buf)
	}
	l.stepHost()
	if texts := l.s.texts; len(texts) > 0 {
		l.buf, l.hostSeq = append(l.buf[:0], texts...), l.s.textsSeq
		l.putHost()
	}
	l.clock(now)
	if l.s.cfg.Log == nil {
		l.link(wire.LinkLogNone, "nothing is recorded")
	}
}

func (l *loop) clock(now time.Time) {
	l.clockAt = now
	l.buf = wire.AppendClock(l.buf[:0], l.seq(), wire.Clock{UnixMS: now.UnixMilli()})
	l.putHost()
}

func (l *loop) entry(e wire.Entry) {
	l.buf = wire.AppendEntry(l.buf[:0], l.seq(), e)
	l.putHost()
}

func (l *loop) link(state wire.LinkState, text string) {
	l.buf = wire.AppendLink(l.buf[:0], l.seq(), wire.Link{State: state, Text: text})
	l.putHost()
}

func (l *loop) seq() uint8 {
	n := l.hostSeq
	l.hostSeq++
	return n
}

// putHost records the host's frames in buf, then steps on them.
func (l *loop) putHost() {
	l.log.put(l.buf)
	l.stepHost()
}

// stepHost steps on the frame as a reader of the log gets it, not as it was
// meant: a text cut short is cut short here too.
func (l *loop) stepHost() {
	l.host.Decode(l.buf, l.step)
}

func (l *loop) step(f wire.Frame) {
	snap := l.s.cfg.Stepper.Step(f)
	l.s.feed.put(&snap)
}

func (l *loop) event(ev logger.Event) {
	switch ev.Kind {
	case logger.Bytes:
		l.s.cfg.Decoder.Decode(ev.Data, func(f wire.Frame) { l.frame(f, ev.At) })
		if c := l.s.cfg.Decoder.Complaint(); c != "" {
			l.tell(c, ev.At)
		}
	case logger.Up:
		// Asked by the cable itself on opening; here only again.
		l.up, l.greeted, l.asks, l.askAt = true, false, 0, ev.At
		l.note = ""
		l.s.cfg.Decoder.Interrupted()
		l.link(wire.LinkUp, ev.Text)
	case logger.Down:
		l.up = false
		l.note = ""
		l.s.cfg.Decoder.Interrupted()
		l.link(wire.LinkDown, ev.Text)
	case logger.Trouble:
		l.tell(ev.Text, ev.At)
	}
}

// frame takes a good frame of the logger. Frames that only a host writes are
// not taken from the cable: a logger can't acknowledge an alarm.
func (l *loop) frame(f wire.Frame, at time.Time) {
	if f.Type >= wire.TypeAskHello {
		if !l.foreign {
			l.foreign = true
			l.tell(fmt.Sprintf("the logger sent a frame of type 0x%02x, which only a host may; it was not used", uint8(f.Type)), at)
		}
		return
	}
	l.stamp(at, wire.ArrivalEveryMS)
	switch f.Type {
	case wire.TypeHello:
		var h wire.Hello
		l.greeted = l.greeted || wire.ParseHello(f.Body, &h) == nil
	case wire.TypeSample:
		var s wire.Sample
		if wire.ParseSample(f.Body, &s) == nil {
			l.goodAt, l.silences = at, 0
		}
	}
	l.buf = wire.AppendFrame(l.buf[:0], f.Type, f.Seq, f.Body)
	l.log.put(l.buf)
	l.step(f)
}

// stamp tells the host's steady time, if it is everyMS since it was last told.
// Whoever judges the logger's clock and the age of its readings goes by that.
func (l *loop) stamp(at time.Time, everyMS int64) {
	ms := int64(at.Sub(l.began).Seconds() * 1000 * l.s.cfg.Speed)
	if ms-l.stampMS < everyMS {
		return
	}
	l.stampMS = ms
	l.buf = wire.AppendArrival(l.buf[:0], l.seq(), wire.Arrival{HostMS: uint32(ms)})
	l.putHost()
}

// tick does what is due.
func (l *loop) tick(now time.Time) {
	l.stamp(now, wire.ArrivalMostMS)
	age := now.Sub(l.goodAt).Milliseconds()
	if n := age / wire.SilenceEveryMS; n > l.silences {
		l.silences = n
		l.buf = wire.AppendSilence(l.buf[:0], l.seq(), wire.Silence{AgeMS: uint32(min(age, 1<<32-1))})
		l.putHost()
	}
	if now.Sub(l.clockAt) >= clockEvery {
		l.clock(now)
	}
	l.checkLog(now)
	if l.up && !l.greeted && l.asks < asksMost && now.Sub(l.askAt) >= askEvery {
		l.ask(now)
	}
	if l.note != "" && now.Sub(l.noteAt) >= noteEvery {
		l.tell(l.note, now)
	}
}

func (l *loop) checkLog(now time.Time) {
	problem := l.log.problem(now)
	switch {
	case problem != nil && !l.logLost:
		l.logLost = true
		l.link(wire.LinkLogLost, logger.Short(problem))
	case problem == nil && l.logLost:
		l.logLost = false
		text := "the run log is written again"
		if n := l.log.lost(); n > 0 {
			text += fmt.Sprintf("; %d inputs are missing from it", n)
		}
		l.link(wire.LinkLogBack, text)
	}
	if room, free := l.log.roomNow(); room != l.room && room != 0 {
		l.room = room
		text := fmt.Sprintf("%.1f GB free", float64(free)/1e9)
		if room == wire.LinkLogTight {
			text = fmt.Sprintf("the log's disk has only %.0f MB free", float64(free)/1e6)
		}
		l.link(room, text)
	}
}

func (l *loop) ask(now time.Time) {
	l.asks++
	l.askAt = now
	l.askSeq++
	if err := l.s.cfg.Cable.Send(wire.AppendAskHello(nil, l.askSeq)); err != nil {
		l.tell("the logger could not be asked who it is: "+logger.Short(err), now)
	}
}

// tell records a line about the cable whose state has not changed, at most
// one a second; of several in between the newest is kept.
func (l *loop) tell(text string, now time.Time) {
	if !l.noteAt.IsZero() && now.Sub(l.noteAt) < noteEvery {
		l.note = text
		return
	}
	l.note, l.noteAt = "", now
	state := wire.LinkDown
	if l.up {
		state = wire.LinkUp
	}
	l.link(state, text)
}

// drainEntries uses the entries that were taken before the end. After a
// failure they are recorded only.
func (l *loop) drainEntries() {
	for range entriesMost {
		select {
		case e := <-l.s.entries:
			if l.s.failed.Load() == nil {
				l.entry(e)
				continue
			}
			l.log.put(wire.AppendEntry(nil, l.seq(), e))
		default:
			return
		}
	}
}
