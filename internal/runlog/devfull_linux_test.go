package runlog

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"syscall"
	"testing"
	"time"

	"fillwright/internal/must"
	"fillwright/internal/table"
	"fillwright/internal/vessel"
)

// A device that is always full (/dev/full) does not hold anything up; Err says
// that the disk is full and what to do, and Close how much was lost.
func TestWriterDevFull(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_RDWR, 0)
	must.Need(t, err == nil, "these tests need /dev/full, which every Linux has: %v", err)
	d := disk{file: full}
	w := newWriter(Opened{Path: "full.run"}, d)
	w.closes = 300 * time.Millisecond
	go w.run()
	frame := testFrames(1)[1]
	must.Do(t, w.Append(frame))
	must.Soon(t, "the full disk shows", func() bool { return errors.Is(w.Err(), syscall.ENOSPC) })
	want := "full.run: the run log can't be written (write /dev/full: no space left on device); the disk is full: free some space; recording goes on in memory until then"
	must.Be(t, w.Err().Error() == want, "got  %v\nwant %s", w.Err(), want)
	err = w.Append(frame)
	must.Be(t, errors.Is(err, syscall.ENOSPC), "Append %v", err)
	want = fmt.Sprintf("full.run: the last %d bytes could not be put on the disk", 2*len(frame))
	err = w.Close()
	must.Be(t, err != nil && bytes.HasPrefix([]byte(err.Error()), []byte(want)), "Close %v\nwant %s", err, want)
}

// What can't be written comes back as an error.
func TestExportFullDisk(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	must.Need(t, err == nil, "these tests need /dev/full, which every Linux has: %v", err)
	must.Refuse(t, must.Err(table.Export(full, readerOf(t, shortFill()), vessel.Invented(), nil, 0)), "no space left")
}
