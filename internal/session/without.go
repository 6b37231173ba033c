package session

import "fillwright/internal/wire"

// WithoutSurface is src without the hand-held surface readings, as if none had
// been taken.
func WithoutSurface(src Source) Source { return withoutSurface{src} }

type withoutSurface struct{ src Source }

// Next implements Source.
func (w withoutSurface) Next() (wire.Frame, error) {
	for {
		f, err := w.src.Next()
		if err != nil || f.Type != wire.TypeEntry {
			return f, err
		}
		var e wire.Entry
		if wire.ParseEntry(f.Body, &e) != nil || (e.Kind != wire.EntrySurface && e.Kind != wire.EntryUndo) {
			return f, nil
		}
	}
}
