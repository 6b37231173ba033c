package follow

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// Tail reads a file that grows. At its end it waits for more.
type Tail struct {
	ctx  context.Context
	path string
	file *os.File
	at   int64
}

// lookEvery is how often a file is looked at for more.
const lookEvery = 50 * time.Millisecond

// OpenTail opens a file to be followed until ctx ends.
func OpenTail(ctx context.Context, path string) (*Tail, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	return &Tail{ctx: ctx, path: path, file: f}, nil
}

// Close closes the file.
func (t *Tail) Close() error { return t.file.Close() }

// Read gives the next bytes, once there are some. It fails when the file got
// shorter, and when another one has taken its name.
func (t *Tail) Read(p []byte) (int, error) {
	for {
		n, err := t.file.Read(p)
		t.at += int64(n)
		if n > 0 {
			return n, nil
		}
		if err != nil && !errors.Is(err, io.EOF) {
			return 0, err
		}
		if err := t.same(); err != nil {
			return 0, err
		}
		select {
		case <-t.ctx.Done():
			return 0, t.ctx.Err()
		case <-time.After(lookEvery):
		}
	}
}

// same says whether the file is still the one that was opened, and whole.
func (t *Tail) same() error {
	own, err := t.file.Stat()
	if err != nil {
		return err
	}
	if own.Size() < t.at {
		return fmt.Errorf("%s was cut to %d bytes while it was followed; %d were read", t.path, own.Size(), t.at)
	}
	there, err := os.Stat(t.path)
	if err != nil || !os.SameFile(own, there) {
		return fmt.Errorf("%s was moved or replaced while it was followed; the recording may go on in another file beside it", t.path)
	}
	return nil
}
