package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// freeLeast is the least free space that a log is opened with: some minutes of
// recording, and far from what the system itself needs to go on.
const freeLeast = 1 << 20

// OpenWriter opens a run log for appending, and makes it when there is none.
// It never overwrites: an existing run log is checked, an unfinished frame at
// its end is moved into a file beside it, and recording goes on behind it with
// another LogStart. A file that is no run log is refused and left as it is.
// start.Version is filled in. The errors are *wrongfile.Error.
func OpenWriter(path string, start wire.LogStart) (*Writer, error) {
	opened := Opened{Path: path}
	if err := checkSpace(path); err != nil {
		return nil, err
	}
	f, err := openLocked(path, &opened)
	if err != nil {
		return nil, err
	}
	d := disk{file: f, path: path, fresh: freshFile, drop: os.Remove}
	if err := begin(&d, &opened, start); err != nil {
		return nil, errors.Join(err, d.close())
	}
	w := newWriter(opened, d)
	w.disk.reopen = func() (file, error) { return reopenLocked(w.disk.path) }
	w.disk.present = func(f file) error { return stillThere(w.disk.path, f) }
	go w.run()
	return w, nil
}

func checkSpace(path string) error {
	folder := filepath.Dir(path)
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		return &wrongfile.Error{File: path, What: "its folder " + folder + " is not there", Do: "make it: mkdir -p " + shellQuote(folder)}
	}
	free, err := FreeBytes(folder)
	if err != nil {
		return nil // some file systems can't say; the log is then tried anyway
	}
	if free < freeLeast {
		return &wrongfile.Error{File: path, What: fmt.Sprintf("only %d KiB are free on its disk", free>>10),
			Do: "free some space, or give --log a name on another disk"}
	}
	return nil
}

// openLocked opens or makes the file and locks it.
func openLocked(path string, opened *Opened) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		if err := checkRegular(path); err != nil {
			return nil, otherName(err)
		}
		f, err = os.OpenFile(path, os.O_RDWR, 0)
	}
	if err != nil {
		return nil, &wrongfile.Error{File: path, What: "can't be opened for writing", Err: cause(err), Do: "check who may write there, or give --log another name"}
	}
	switch err := lock(f); {
	case errors.Is(err, ErrLocked):
		return nil, errors.Join(&wrongfile.Error{File: path, What: "is in use", Err: ErrLocked,
			Do: "stop the other one, or give --log another name"}, f.Close())
	case err != nil: // a file system without locks: recording matters more
		opened.Unlocked = err.Error()
	}
	return f, nil
}

func reopenLocked(path string) (file, error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return nil, err
	}
	if err := lock(f); errors.Is(err, ErrLocked) {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// stillThere says when a log that is being written was moved or removed.
func stillThere(path string, f file) error {
	ours, err := f.Stat()
	if err != nil {
		return err
	}
	there, err := os.Stat(path)
	switch {
	case err == nil && os.SameFile(ours, there):
		return nil
	case nameless(ours):
		return fmt.Errorf("%s: %w", path, errRemoved)
	}
	return errors.New("the file was moved while it is being written; put it back, or copy the log before this program ends")
}

// freshFile makes and locks a new file at path, or beside it when something is
// there.
func freshFile(path string) (file, string, error) {
	if _, err := os.Lstat(path); err == nil {
		path = freeName(path, filepath.Ext(path))
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return nil, "", err
	}
	// Nobody else can have a file that was just made; one that can't be locked
	// is recorded into all the same, as on opening.
	if err := lock(f); errors.Is(err, ErrLocked) {
		return nil, "", errors.Join(err, f.Close())
	}
	return f, path, syncFolder(filepath.Dir(path))
}

// begin checks what is in the file, repairs its end and writes a LogStart.
func begin(d *disk, opened *Opened, start wire.LogStart) error {
	info, err := d.file.Stat()
	if err != nil {
		return &wrongfile.Error{File: opened.Path, What: "can't be read", Err: cause(err)}
	}
	end, err := repair(d.file, info.Size(), opened)
	if err != nil {
		return err
	}
	d.synced, d.reached = end, end
	start.Version = wire.Version
	d.pending = wire.AppendLogStart(nil, 0, start)
	d.start = append([]byte(nil), d.pending...)
	d.head = append([]byte(nil), d.pending...)
	if end > 0 {
		if n, err := d.file.ReadAt(d.head, 0); n < len(d.head) {
			return &wrongfile.Error{File: opened.Path, What: "can't be read", Err: cause(err)}
		}
	}
	d.guard.begin(d.head, end)
	err = d.write()
	if err == nil {
		err = d.sync()
	}
	if err == nil && end == 0 {
		err = syncFolder(filepath.Dir(opened.Path))
	}
	if err != nil {
		return &wrongfile.Error{File: opened.Path, What: "can't be written", Err: cause(err), Do: "give --log a name on another disk"}
	}
	return nil
}

// repair makes the file end with a whole frame and returns its size then.
func repair(f file, size int64, opened *Opened) (int64, error) {
	if size == 0 {
		return 0, nil
	}
	opened.Appended = true
	if tornStart(f, size) {
		return 0, cut(f, 0, size, opened)
	}
	r, err := NewReader(opened.Path, f, size, nil)
	if errors.Is(err, ErrNewer) {
		return 0, err
	}
	if err != nil {
		return 0, otherName(err)
	}
	if r.Kind() != FileRunLog {
		return 0, otherName(&wrongfile.Error{File: opened.Path, What: "is no run log but a " + r.Kind().String()})
	}
	if len(r.tail) > 0 { // a whole frame that lacks its delimiter
		if _, err := f.WriteAt([]byte{0}, size); err != nil {
			return 0, &wrongfile.Error{File: opened.Path, What: "can't be written", Err: err}
		}
		return size + 1, nil
	}
	return r.end, cut(f, r.end, size, opened)
}

// tornStart says whether the file holds nothing but the start of the first
// frame of a log: a kill came right after the file was made. The first bytes
// of a LogStart with seq 0 are 0x02 and its type.
func tornStart(f file, size int64) bool {
	most := len(wire.AppendLogStart(nil, 0, wire.LogStart{})) - 1 // without its delimiter it is whole
	if size >= int64(most) {
		return false
	}
	b := make([]byte, size)
	if n, err := f.ReadAt(b, 0); n < len(b) && err != nil {
		return false
	}
	start := []byte{2, byte(wire.TypeLogStart)}
	return bytes.IndexByte(b, 0) < 0 && bytes.Equal(b[:min(2, len(b))], start[:min(2, len(b))])
}

// otherName turns an error about a file that is no run log into what to type.
func otherName(err error) error {
	var fe *wrongfile.Error
	if !errors.As(err, &fe) {
		return err
	}
	e := *fe
	e.What += ", so nothing was recorded into it"
	e.Do = "give --log a new name, like --log " + shellQuote(freeName(fe.File, ".fill"))
	return &e
}

// freeName finds a name beside path that is not taken.
func freeName(path, ending string) string {
	for i := 2; i < 1000; i++ {
		name := fmt.Sprintf("%s-%d%s", trimExt(path), i, ending)
		if _, err := os.Lstat(name); errors.Is(err, os.ErrNotExist) {
			return name
		}
	}
	return trimExt(path) + "-new" + ending
}

func trimExt(path string) string { return path[:len(path)-len(filepath.Ext(path))] }

// cut saves the bytes from end on in a file beside the log and takes them off
// it, in this order: at no time are they in neither.
func cut(f file, end, size int64, opened *Opened) error {
	if end == size {
		return nil
	}
	name, err := saveTorn(opened.Path, io.NewSectionReader(f, end, size-end))
	if err != nil {
		return &wrongfile.Error{File: opened.Path, What: fmt.Sprintf("ends in the middle of a frame, and its last %d bytes can't be put aside", size-end),
			Err: err, Do: "give --log a new name, like --log " + shellQuote(freeName(opened.Path, filepath.Ext(opened.Path)))}
	}
	if err := f.Truncate(end); err != nil {
		return &wrongfile.Error{File: opened.Path, What: "can't be written", Err: err}
	}
	opened.Cut, opened.TornFile = size-end, name
	return nil
}

// saveTorn writes the bytes into a new file, NAME.torn or NAME.torn.2 and so on.
func saveTorn(path string, torn io.Reader) (string, error) {
	name := path + ".torn"
	for i := 2; ; i++ {
		t, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) && i < 1000 {
			name = fmt.Sprintf("%s.torn.%d", path, i)
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = io.Copy(t, torn)
		err = errors.Join(err, t.Sync(), t.Close())
		if err == nil {
			err = syncFolder(filepath.Dir(path))
		}
		return name, err
	}
}

// cause takes the operation and the path off an error: messages name the file
// already.
func cause(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
