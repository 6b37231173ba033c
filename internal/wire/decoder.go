package wire

import (
	"bytes"
	"encoding/binary"
)

// contentLeast is type, seq and CRC with an empty body.
const contentLeast = 4

// Decoder finds frames in a stream of bytes. The zero value is ready. It
// allocates nothing and holds one unfinished frame at most, whatever it is
// fed. It is for one goroutine.
type Decoder struct {
	// Aligned says that the stream starts at the start of a frame, as a run log
	// does. Otherwise the bytes before the first delimiter are dropped uncounted:
	// they are most likely the tail of a frame. Set it before the first Decode.
	Aligned bool

	synced  bool // a delimiter was seen
	pending int  // bytes of the unfinished frame, kept or not
	held    [encodedMost]byte

	// Contents are decoded into scratch[now]; the other one holds the logger's
	// last frame, lastLen long, to know it again when it is repeated.
	scratch [2][encodedMost]byte
	now     int
	lastLen int

	follows bool // next is known
	next    uint8
	board   uint64
	boot    uint16
	booted  bool // board and boot are known

	counts Counts
}

// Decode consumes all of p and calls yield for each good frame in it, in
// order. How the stream is cut into calls makes no difference. A frame's Body
// is valid during that call only.
func (d *Decoder) Decode(p []byte, yield func(Frame)) {
	for len(p) > 0 {
		i := bytes.IndexByte(p, 0)
		if i < 0 {
			d.hold(p)
			return
		}
		d.end(p[:i], yield)
		p = p[i+1:]
	}
}

// Counts is what the decoder has met so far. Good counts the frames yielded.
func (d *Decoder) Counts() Counts { return d.counts }

// Pending is the number of bytes since the last delimiter: those of an
// unfinished frame.
func (d *Decoder) Pending() int { return d.pending }

func (d *Decoder) reading() bool { return d.synced || d.Aligned }

// hold keeps the part of an unfinished frame, as far as a frame can be long.
func (d *Decoder) hold(p []byte) {
	if !d.reading() {
		return
	}
	if d.pending < len(d.held) {
		copy(d.held[d.pending:], p)
	}
	d.pending += len(p)
}

// end takes the last part of a frame, whose delimiter came.
func (d *Decoder) end(part []byte, yield func(Frame)) {
	use := d.reading()
	d.synced = true
	had := d.pending
	d.pending = 0
	switch size := had + len(part); {
	case !use || size == 0:
	case size > encodedMost:
		d.counts.Oversize++
	case had > 0:
		copy(d.held[had:], part)
		d.frame(d.held[:size], yield)
	default:
		d.frame(part, yield)
	}
}

// frame decodes one whole encoded frame.
func (d *Decoder) frame(encoded []byte, yield func(Frame)) {
	buf := d.scratch[d.now][:]
	n, ok := decodeCOBS(buf, encoded)
	if n > ContentMost {
		d.counts.Oversize++
		return
	}
	if !ok || n < contentLeast || crc16(buf[:n-2]) != binary.LittleEndian.Uint16(buf[n-2:n]) {
		d.counts.Damaged++
		return
	}
	f := Frame{Type: Type(buf[0]), Seq: buf[1], Body: buf[2 : n-2 : n-2]}
	if f.Type == TypeLogStart {
		// Nobody listened before a log was opened: no gap can be told.
		d.follows, d.lastLen = false, 0
	}
	if fromLogger(f.Type) && !d.admit(f, n) {
		d.counts.Repeated++
		return
	}
	d.counts.Good++
	yield(f)
}

// admit follows seq over the logger's frames and reports whether f, whose
// content is n bytes long, is new.
func (d *Decoder) admit(f Frame, n int) bool {
	last := d.scratch[1-d.now][:d.lastLen]
	if bytes.Equal(last, d.scratch[d.now][:n]) {
		return false
	}
	if f.Type == TypeHello && d.restarted(f) {
		d.follows = false
	}
	if d.follows {
		d.counts.Lost += uint64(f.Seq - d.next)
	}
	d.follows, d.next = true, f.Seq+1
	d.now, d.lastLen = 1-d.now, n
	return true
}

// restarted says whether a hello comes from another start of the logger (or
// another logger), whose seq begins anew. A logger that can't tell its starts
// apart sends boot 0; then a hello with seq 0 counts as a start.
func (d *Decoder) restarted(f Frame) bool {
	if len(f.Body) < helloBootAt+2 {
		return false
	}
	board := binary.LittleEndian.Uint64(f.Body[helloBoardAt:])
	boot := binary.LittleEndian.Uint16(f.Body[helloBootAt:])
	anew := !d.booted || board != d.board || boot != d.boot || boot == 0 && f.Seq == 0
	d.booted, d.board, d.boot = true, board, boot
	return anew
}
