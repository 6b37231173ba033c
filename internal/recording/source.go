package recording

import (
	"errors"
	"io"

	"fillwright/internal/wire"
)

// Source yields frames one by one and io.EOF after the last. A frame's body
// is valid until the next call.
type Source interface {
	Next() (wire.Frame, error)
}

// Rewinder is a Source that can be read again from its first frame.
type Rewinder interface {
	Source
	Rewind() error
}

// Each has step take the frames of a source to its end, or to the first error.
func Each(src Source, step func(wire.Frame) error) error {
	for {
		f, err := src.Next()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err == nil:
			err = step(f)
		}
		if err != nil {
			return err
		}
	}
}
