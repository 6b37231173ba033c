package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
)

// Limits of the guard.
const (
	guardBlock  = 64 << 10  // bytes that are looked at again together, one block a second
	guardTail   = 256       // last bytes, looked at each second
	openingMost = 512 << 10 // bytes of the start that are kept: the texts in force and some minutes
	recentMost  = 1 << 20   // bytes of the end that are kept: some eight minutes at 50 Hz
)

// DamageError says that somebody else changed a log while it was recorded.
type DamageError struct{ File, What string }

// Error is one line.
func (e *DamageError) Error() string { return e.File + ": " + e.What }

// guard knows what the log must hold on the disk, so that it is noticed when
// somebody else cuts it or writes into it: its size and its end within a
// second, the rest block by block.
type guard struct {
	head    []byte // first bytes of the file
	from    int64  // where what is known begins
	size    int64  // where it ends
	opening []byte // whole frames from there on
	opened  int64  // where they end
	full    bool   // no more of them are kept
	recent  []byte // whole frames, up to size
	blocks  []uint32
	part    uint32 // CRC-32 of the block that is not full yet
	tail    []byte // last bytes
	next    int    // block to look at
}

// begin forgets everything: what follows is at from, in a file with that head.
func (g *guard) begin(head []byte, from int64) {
	*g = guard{head: head, from: from, size: from, opening: g.opening, opened: from, full: len(g.opening) > 0}
}

// add takes what was put behind the rest.
func (g *guard) add(b []byte) {
	g.keep(b)
	g.tail = append(g.tail, b...)
	if n := len(g.tail) - guardTail; n > 0 {
		g.tail = append(g.tail[:0], g.tail[n:]...)
	}
	for len(b) > 0 {
		room := guardBlock - (g.size-g.from)%guardBlock
		n := min(int64(len(b)), room)
		g.part = crc32.Update(g.part, crc32.IEEETable, b[:n])
		g.size, b = g.size+n, b[n:]
		if n == room {
			g.blocks, g.part = append(g.blocks, g.part), 0
		}
	}
}

// keep keeps the start and the end in memory, in whole frames.
func (g *guard) keep(b []byte) {
	if !g.full {
		kept := b[:min(len(b), openingMost-len(g.opening))]
		if len(kept) < len(b) {
			g.full, kept = true, kept[:bytes.LastIndexByte(kept, 0)+1]
		}
		g.opening, g.opened = append(g.opening, kept...), g.opened+int64(len(kept))
	}
	g.recent = append(g.recent, b...)
	if n := len(g.recent) - recentMost; n > recentMost {
		n += bytes.IndexByte(g.recent[n:], 0) + 1
		g.recent = append(g.recent[:0], g.recent[n:]...)
	}
}

// kept is what can be saved of a log that somebody destroyed.
func (g *guard) kept() []byte {
	twice := max(g.opened-(g.size-int64(len(g.recent))), 0)
	return append(bytes.Clone(g.opening), g.recent[min(twice, int64(len(g.recent))):]...)
}

// check looks at the file, which was least bytes long. A *DamageError says that
// somebody changed it.
func (g *guard) check(f file, path string, least int64) error {
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if least = max(least, g.size); info.Size() < least {
		return &DamageError{path, fmt.Sprintf("somebody else cut it to %d bytes while it was being recorded; %d were in it", info.Size(), least)}
	}
	for _, known := range []struct {
		at   int64
		want []byte
	}{{0, g.head}, {g.size - int64(len(g.tail)), g.tail}} {
		got := make([]byte, len(known.want))
		if err := readWhole(f, got, known.at); err != nil {
			return err
		}
		if !bytes.Equal(got, known.want) {
			return overwritten(path, known.at)
		}
	}
	return g.checkBlock(f, path)
}

// checkBlock looks at the next whole block.
func (g *guard) checkBlock(f file, path string) error {
	if len(g.blocks) == 0 {
		return nil
	}
	g.next %= len(g.blocks)
	at := g.from + int64(g.next)*guardBlock
	block := make([]byte, guardBlock)
	if err := readWhole(f, block, at); err != nil {
		return err
	}
	if crc32.ChecksumIEEE(block) != g.blocks[g.next] {
		return overwritten(path, at)
	}
	g.next++
	return nil
}

func readWhole(f io.ReaderAt, p []byte, at int64) error {
	if n, err := f.ReadAt(p, at); n < len(p) {
		return fmt.Errorf("the log can't be read back: %w", err)
	}
	return nil
}

func overwritten(path string, at int64) error {
	return &DamageError{path, fmt.Sprintf("somebody else wrote into it, at byte %d or behind, while it was being recorded", at)}
}

// hurtTold is for how long a log that had to be saved is told as trouble.
const hurtTold = 5 // looks, one a second

// look sees after each sync whether the log is still what was recorded, and
// saves what can be saved when it is not.
func (d *disk) look() error {
	err := d.guard.check(d.file, d.path, d.least)
	if err == nil && d.present != nil {
		err = d.present(d.file)
	}
	var damage *DamageError
	switch {
	case errors.As(err, &damage):
		err = d.anew(err, false)
	case errors.Is(err, errRemoved):
		err = d.anew(err, true)
	}
	if err == nil && d.told > 0 {
		d.told--
		return d.hurt
	}
	return err
}

// errRemoved says that the log has no name any more, but is still open.
var errRemoved = errors.New("the file was removed while it was being recorded")

// anew goes on in a new file. A removed log is copied into it whole. Of a
// damaged one its start goes into it, with the texts in force, and its last
// minutes: what is between is what somebody destroyed.
func (d *disk) anew(why error, whole bool) error {
	if d.fresh == nil {
		return why
	}
	f, name, err := d.fresh(d.path)
	if err != nil {
		return fmt.Errorf("%w; it can't go on in a new file: %w", why, err)
	}
	kept := d.guard.kept()
	if whole {
		err = copyAll(f, d.file, d.synced)
	} else {
		_, err = f.WriteAt(kept, 0)
	}
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		return fmt.Errorf("%w; it can't go on in %s: %w", why, name, errors.Join(err, f.Close(), d.drop(name)))
	}
	err = d.file.Close()
	d.file, d.path = f, name
	d.written, d.told = 0, hurtTold
	if !whole {
		d.head, d.synced = d.start, int64(len(kept))
		d.guard = guard{head: d.head}
		d.guard.add(kept)
	}
	d.reached, d.least = d.synced, d.synced
	saved := "its start and its last minutes were saved, and recording goes on, in "
	if whole {
		saved = "all of it was saved, and recording goes on, in "
	}
	d.hurt = errors.Join(d.hurt, fmt.Errorf("%w; %s%s", why, saved, name), err)
	return d.hurt
}

// copyAll copies the first size bytes.
func copyAll(to file, from io.ReaderAt, size int64) error {
	n, err := io.Copy(io.NewOffsetWriter(to, 0), io.NewSectionReader(from, 0, size))
	if err == nil && n < size {
		err = io.ErrUnexpectedEOF
	}
	return err
}
