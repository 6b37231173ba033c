package runlog

import "fillwright/internal/wire"

// frameMaker makes frames out of values, through the very codec that reads
// them from a cable, and hands them out one by one. It holds the frames of one
// row at a time and reuses their memory.
type frameMaker struct {
	dec   wire.Decoder
	seq   uint8 // of the logger's frames
	host  uint8 // of the host's frames
	bytes []byte
	queue frameQueue
}

func (m *frameMaker) hello(h *wire.Hello) {
	m.feed(wire.AppendHello(m.bytes[:0], m.seq, h))
	m.seq++
}

func (m *frameMaker) sample(s *wire.Sample) {
	m.feed(wire.AppendSample(m.bytes[:0], m.seq, s))
	m.seq++
}

func (m *frameMaker) entry(e wire.Entry) {
	m.feed(wire.AppendEntry(m.bytes[:0], m.host, e))
	m.host++
}

func (m *frameMaker) feed(encoded []byte) {
	m.bytes = encoded
	m.dec.Aligned = true
	m.dec.Decode(encoded, m.queue.push)
}

func (m *frameMaker) next() (wire.Frame, bool) { return m.queue.pop() }

func (m *frameMaker) counts() wire.Counts { return m.dec.Counts() }

// frameQueue keeps the frames that one piece of input gave, with copies of
// their bodies, until they are asked for.
type frameQueue struct {
	frames []wire.Frame
	bodies []byte
	at     int
}

// push keeps a frame. It is only called while the queue is being filled, that
// is, after reset.
func (q *frameQueue) push(f wire.Frame) {
	if q.at == len(q.frames) {
		q.reset()
	}
	start := len(q.bodies)
	q.bodies = append(q.bodies, f.Body...)
	f.Body = q.bodies[start:len(q.bodies):len(q.bodies)]
	q.frames = append(q.frames, f)
}

// pop gives the oldest frame.
func (q *frameQueue) pop() (wire.Frame, bool) {
	if q.at == len(q.frames) {
		return wire.Frame{}, false
	}
	f := q.frames[q.at]
	q.at++
	return f, true
}

func (q *frameQueue) reset() {
	q.frames, q.bodies, q.at = q.frames[:0], q.bodies[:0], 0
}
