package inspect

import (
	"bytes"
	"errors"
	"io"

	"fillwright/internal/wire"
)

// Lines looks at a capture of a logger that prints text. The first line may be
// the rest of one.
func Lines(r io.Reader) (*Report, error) {
	c := &checker{}
	var dec wire.TextLines
	var at, from int64
	line := 1
	take := func(p []byte) {
		was := dec.Counts()
		dec.Decode(p, func(f wire.Frame) {
			c.report.Frames++
			if f.Type == wire.TypeSample {
				c.report.Samples++
			}
		})
		if now := dec.Counts(); now.Damaged+now.Oversize > was.Damaged+was.Oversize && line > 1 {
			c.add(from, at-from, "line %d can't be read", line)
		}
	}
	buf := make([]byte, 64<<10)
	for {
		n, err := r.Read(buf)
		p := buf[:n]
		c.report.Bytes += int64(n)
		for len(p) > 0 {
			i := bytes.IndexByte(p, '\n')
			if i < 0 {
				at += int64(len(p))
				take(p)
				break
			}
			at += int64(i) + 1
			take(p[:i+1])
			p, from, line = p[i+1:], at, line+1
		}
		switch {
		case errors.Is(err, io.EOF):
			if left := at - from; left > 0 {
				c.add(from, left, "the last %d bytes are an unfinished line: the end is cut", left)
			}
			return &c.report, nil
		case err != nil:
			return nil, err
		}
	}
}
