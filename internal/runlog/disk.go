package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// file is what the writer needs of an operating system's file.
type file interface {
	io.ReaderAt
	io.WriterAt
	io.Closer
	Sync() error
	Truncate(size int64) error
	Stat() (os.FileInfo, error)
}

// disk puts bytes into a file so that none is lost before it is known to be
// safe. Bytes are kept until a sync that followed their writing succeeded: a
// failed sync may have dropped them from the system's cache (Rebello et al.,
// "Can Applications Recover from fsync Failures?", USENIX ATC 2020; from
// memory), so they are written again.
type disk struct {
	file    file // nil while it could not be reopened
	reopen  func() (file, error)
	present func(file) error                        // says when the file is no longer at its path
	fresh   func(path string) (file, string, error) // makes a new file at path, or beside it
	drop    func(path string) error                 // removes one that was just made
	path    string
	head    []byte // first bytes of the log, to know it again
	start   []byte // the LogStart of this recording
	guard   guard  // of what is on the disk
	hurt    error  // what was done to the log by somebody else
	told    int    // how often it is still to be told

	synced  int64  // size known to be on the disk
	pending []byte // what follows
	written int    // bytes of pending handed to the system
	reached int64  // greatest size that we gave the file
	least   int64  // size that the open file has at the least
}

// write hands the pending bytes to the system.
func (d *disk) write() error {
	if err := d.ready(); err != nil {
		return err
	}
	if d.written == len(d.pending) {
		return nil
	}
	if info, err := d.file.Stat(); err == nil && info.Size() < d.least {
		return d.look() // somebody cut it: what follows must not go behind that
	}
	n, err := d.file.WriteAt(d.pending[d.written:], d.synced+int64(d.written))
	d.written += n
	d.least = d.synced + int64(d.written)
	d.reached = max(d.reached, d.synced+int64(d.written))
	if err != nil && !isFull(err) {
		err = errors.Join(err, d.letGo())
	}
	return err
}

// sync gets onto the disk what was written.
func (d *disk) sync() error {
	if d.written > 0 {
		if err := d.file.Sync(); err != nil {
			d.written = 0
			return errors.Join(err, d.letGo())
		}
		d.guard.add(d.pending[:d.written])
		d.synced += int64(d.written)
		d.pending = d.pending[:copy(d.pending, d.pending[d.written:])]
		d.written = 0
	}
	return d.look()
}

// letGo closes a file that failed, to open it anew at the next attempt.
func (d *disk) letGo() error {
	f := d.file
	d.file = nil
	return f.Close()
}

// ready makes sure that there is a file to write to.
func (d *disk) ready() error {
	if d.file != nil {
		return nil
	}
	f, err := d.reopen()
	if err != nil {
		return err
	}
	if err := d.resume(f); err != nil {
		return errors.Join(err, f.Close())
	}
	d.file = f
	return nil
}

// resume finds the place to go on at in a file that was opened again.
func (d *disk) resume(f file) error {
	head := make([]byte, len(d.head))
	if n, err := f.ReadAt(head, 0); n < len(head) {
		return fmt.Errorf("the log's start can't be read: %w", err)
	}
	if !bytes.Equal(head, d.head) {
		return errors.New("another file stands in its place now")
	}
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if info.Size() > d.reached { // appended to by somebody: go on behind that
		d.pending = append(d.pending[:0], d.pending[d.written:]...)
		d.join(info.Size())
		return nil
	}
	d.least = min(d.least, info.Size())
	if info.Size() < d.synced { // cut: what is missing is told at the end
		d.hurt = errors.Join(d.hurt, d.guard.check(f, d.path, 0))
		d.guard.begin(d.head, d.synced)
	}
	// What the failing file really took is not known: write it again, at the
	// same place. If the file is shorter than it was, zeros fill the gap, and
	// those are delimiters.
	d.written = 0
	return nil
}

// join goes on at the end of a file that somebody else appended to. A delimiter
// first, lest half a frame there spoil the first of ours.
func (d *disk) join(size int64) {
	d.pending = append([]byte{0}, d.pending...)
	d.synced, d.written, d.reached, d.least = size, 0, size, size
	d.guard.begin(d.head, size)
}

func (d *disk) close() error {
	if d.file == nil {
		return nil
	}
	return d.letGo()
}
