package table

import "fillwright/internal/wire"

// frameMaker makes frames out of values, through the very codec that reads
// them from a cable, and hands them out one by one. It holds the frames of one
// row at a time and reuses their memory.
type frameMaker struct {
	dec   wire.Decoder
	seq   uint8 // of the logger's frames
	host  uint8 // of the host's frames
	bytes []byte
	queue wire.Queue
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
	m.dec.Decode(encoded, m.queue.Push)
}

func (m *frameMaker) next() (wire.Frame, bool) { return m.queue.Pop() }

func (m *frameMaker) counts() wire.Counts { return m.dec.Counts() }
