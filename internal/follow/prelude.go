package follow

import "fillwright/internal/wire"

// Limits on what a part may begin with.
const (
	heldMost  = 1 << 16 // frames
	textsMost = 8 << 20 // bytes
)

// prelude holds the frames that a part begins with: its start and its texts.
type prelude struct {
	held  []wire.Frame
	join  wire.TextJoiner
	texts wire.Texts
	bytes int
}

// begins says whether a new part of the recording begins with a frame: a start,
// or a profile where the start was lost because one pipe was broken off in the
// middle of a frame and another went on from the start.
func (p *prelude) begins(f wire.Frame, stepping bool) bool {
	var t wire.Text
	switch {
	case f.Type == wire.TypeLogStart:
	case stepping && f.Type == wire.TypeText && wire.ParseText(f.Body, &t) == nil && t.Kind == wire.TextProfile && t.Part == 0:
	default:
		return false
	}
	*p = prelude{}
	return true
}

// hold keeps a start or a text, and says that more of them may come.
func (p *prelude) hold(f wire.Frame) bool {
	if f.Type != wire.TypeLogStart && f.Type != wire.TypeText || len(p.held) >= heldMost || p.bytes > textsMost {
		return false
	}
	p.held = append(p.held, f.Clone())
	p.bytes += len(f.Body)
	if f.Type == wire.TypeText {
		if kind, text, whole := p.join.Add(f.Body); whole && p.texts.Of(kind) != nil {
			*p.texts.Of(kind) = text
		}
	}
	return true
}

// release gives the frames that were held, and forgets them.
func (p *prelude) release() []wire.Frame {
	held := p.held
	*p = prelude{}
	return held
}
