// Package inspect looks whether a recording of frames is whole, and says where
// it is not: frames that were damaged, that are missing, an end that is cut, a
// stretch in which nothing was recorded. It changes nothing.
package inspect

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"fillwright/internal/wire"
)

// Problem is something that is not as it was recorded, with its place.
type Problem struct {
	Byte  int64 // where it begins, from 0
	Bytes int64 // how much of the file it takes; 0: it lies between two bytes
	Part  int   // time of watching, from 1; 0: before the first
	AtMS  int64 // of the logger's clock since the first sample of its part; -1: before
	Cable bool  // it happened on the way to the program: the recording is as it was made
	What  string
}

// Report is what was found.
type Report struct {
	Bytes    int64
	Frames   uint64
	Samples  uint64
	Parts    int // beginnings of a log; 0: a capture
	Problems []Problem
	More     int // problems that found no room
}

// Whole says whether the recording is as it was made.
func (r *Report) Whole() bool {
	for i := range r.Problems {
		if !r.Problems[i].Cable {
			return false
		}
	}
	return r.More == 0
}

const (
	problemsMost = 200
	zerosMost    = 16   // in a row, in a capture: loggers send some before a hello
	stillMostMS  = 2000 // the host tells its clock four times a second
	stillSteps   = 20   // and twenty while frames come
	textsKinds   = 4
)

// Frames looks at a recording of frames. The error is that of reading.
func Frames(r io.Reader) (*Report, error) {
	c := &checker{dec: wire.Decoder{Aligned: true}}
	buf := make([]byte, 64<<10)
	for {
		n, err := r.Read(buf)
		c.bytes(buf[:n])
		if errors.Is(err, io.EOF) {
			c.end()
			return &c.report, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// checker walks over the bytes, a frame at a time.
type checker struct {
	report Report
	dec    wire.Decoder
	at     int64 // of the next byte
	from   int64 // where the frame under way begins
	zeros  int64 // in a row
	piece  int   // frames and what should have been one, so far
	part   part
}

// bytes takes the next bytes of the file.
func (c *checker) bytes(p []byte) {
	c.report.Bytes += int64(len(p))
	for len(p) > 0 {
		i := bytes.IndexByte(p, 0)
		if i < 0 {
			if c.hasBegun(len(p)) {
				c.dec.Decode(p, c.frame)
			}
			c.at += int64(len(p))
			return
		}
		if empty := c.at == c.from && i == 0; empty {
			c.zeros++
			c.at++
			c.from = c.at
			p = p[1:]
			continue
		}
		c.hasBegun(1)
		was := c.dec.Counts()
		c.dec.Decode(p[:i+1], c.frame)
		c.at += int64(i) + 1
		c.judge(was, c.dec.Counts())
		c.from = c.at
		c.piece++
		p = p[i+1:]
	}
}

// hasBegun notes that a frame goes on, and judges the zeros before it.
func (c *checker) hasBegun(n int) bool {
	if c.zeros > 0 && n > 0 {
		c.judgeZeros()
	}
	return n > 0
}

func (c *checker) judgeZeros() {
	if most := int64(zerosMost); c.zeros > most || c.report.Parts > 0 {
		c.part.hurt = true
		c.add(c.from-c.zeros, c.zeros, "%d zero bytes where no frame is: a hole, as a power cut leaves it", c.zeros)
	}
	c.zeros = 0
}

// judge says what became of the frame that has just ended.
func (c *checker) judge(was, now wire.Counts) {
	size := c.at - c.from
	first := c.piece == 0
	switch {
	case now.Damaged > was.Damaged && first:
		c.add(c.from, size, "the first %d bytes are no whole frame: it begins in the middle of one, or its start is damaged", size)
	case now.Damaged > was.Damaged:
		c.add(c.from, size, "a frame of %d bytes is damaged: its checksum does not agree", size)
	case now.Oversize > was.Oversize:
		c.add(c.from, size, "%d bytes without an end of a frame: longer than any frame", size)
	case now.Repeated > was.Repeated:
		c.add(c.from, size, "a frame of the logger lies here twice")
	}
	if now.Damaged+now.Oversize > was.Damaged+was.Oversize {
		c.part.hurt = true
	}
	if lost := now.Lost - was.Lost; lost > 0 {
		c.part.lost(c, lost)
	}
}

// end judges what lies behind the last frame.
func (c *checker) end() {
	if c.zeros > 0 {
		c.judgeZeros()
	}
	c.part.close(c)
	if n := c.at - c.from; n > 0 {
		was := c.dec.Counts()
		c.dec.Decode([]byte{0}, c.frame)
		if c.dec.Counts().Good > was.Good {
			c.add(c.at, 0, "the last frame is whole, but its closing byte is missing")
		} else {
			c.add(c.from, n, "the last %d bytes are an unfinished frame: the end is cut", n)
		}
	}
}

func (c *checker) add(at, size int64, format string, a ...any) {
	c.put(Problem{Byte: at, Bytes: size, Part: c.report.Parts, AtMS: c.part.atMS(), What: fmt.Sprintf(format, a...)})
}

func (c *checker) put(p Problem) {
	if len(c.report.Problems) >= problemsMost {
		c.report.More++
		return
	}
	c.report.Problems = append(c.report.Problems, p)
}
