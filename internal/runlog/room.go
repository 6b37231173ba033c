package runlog

// Room is how many bytes the disk that the log lies on can still take. It asks
// the disk, which may be slow to answer.
func (w *Writer) Room() (free uint64, err error) { return FreeBytes(w.opened.Path) }
