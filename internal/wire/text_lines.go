package wire

import (
	"bytes"
	"fmt"
	"strconv"
)

// takeHeader takes a line that means to be a header. A bad one leaves no
// layout: the lines after it are not understood by the old one.
func (t *TextLines) takeHeader(header string, checked bool, yield func(Frame)) {
	if t.layout != nil && header == t.header {
		// Printed again: a restart, or a logger that repeats its header. The time
		// of the next line tells.
		t.due, t.checked = true, checked
		return
	}
	l, err := parseHeader(header)
	if err != nil {
		t.layout = nil
		t.damaged(err)
		return
	}
	t.adopt(l, header, checked)
	t.yieldHello(yield)
}

func (t *TextLines) adopt(l *layout, header string, checked bool) {
	t.layout, t.header, t.checked = l, header, checked
	t.timed = false
	t.nextBoot()
}

// nextBoot marks a start of the logger. Boot 0 would mean "can't tell".
func (t *TextLines) nextBoot() {
	t.boot = max(1, t.boot+1)
	t.due = true
}

func (t *TextLines) takeRow(line []byte, yield func(Frame)) {
	var s Sample
	if cell, want := t.layout.row(line, &s); want != "" {
		if cell > 0 {
			want = fmt.Sprintf("cell %d: want %s", cell, want)
		}
		t.damaged(lineError(string(line), want))
		return
	}
	// Time that runs back is a restart, whether or not a header was printed; a
	// u32 that wraps does not run back.
	if t.timed && int32(s.TimeMS-t.lastMS) < 0 {
		t.nextBoot()
	}
	t.timed, t.lastMS = true, s.TimeMS
	if t.due {
		t.yieldHello(yield)
	}
	t.yieldFrame(TypeSample, appendSampleBody(t.body[:0], &s), yield)
}

func (t *TextLines) yieldHello(yield func(Frame)) {
	t.due = false
	h := Hello{Protocol: Version, Boot: t.boot, N: t.layout.channels, Channels: t.layout.table}
	t.yieldFrame(TypeHello, appendHelloBody(t.body[:0], &h), yield)
}

func (t *TextLines) yieldFrame(kind Type, body []byte, yield func(Frame)) {
	f := Frame{Type: kind, Seq: t.seq, Body: body[:len(body):len(body)]}
	t.seq++
	t.counts.Good++
	yield(f)
}

func (t *TextLines) damaged(problem error) {
	t.counts.Damaged++
	t.problem = problem
}

// splitSum takes a checksum, * and four hexadecimal digits, off a line's end:
// the CRC of the frames over the bytes before the *. ok is false when there is
// a * without the right checksum.
func splitSum(line []byte) (bare []byte, has, ok bool) {
	at := bytes.LastIndexByte(line, '*')
	if at < 0 {
		return line, false, true
	}
	bare, digits := line[:at], line[at+1:]
	sum, err := strconv.ParseUint(string(digits), 16, 16)
	return bare, true, len(digits) == 4 && err == nil && uint16(sum) == crc16(bare)
}
