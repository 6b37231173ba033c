package follow

import "fillwright/internal/wire"

// Texts are the texts in force that a part of a recording begins with; one that
// was not recorded is empty.
type Texts struct{ Profile, Offsets, Model string }

// Limits on what a part may begin with.
const (
	heldMost  = 1 << 16 // frames
	textsMost = 8 << 20 // bytes
)

// prelude holds the frames that a part begins with: its start and its texts.
type prelude struct {
	held  []wire.Frame
	parts map[wire.TextKind]*joined
	bytes int
}

// joined is a text of which parts have come.
type joined struct {
	data        []byte
	next, parts uint16
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
	*p = prelude{parts: map[wire.TextKind]*joined{}}
	return true
}

// hold keeps a start or a text, and says that more of them may come.
func (p *prelude) hold(f wire.Frame) bool {
	if f.Type != wire.TypeLogStart && f.Type != wire.TypeText || len(p.held) >= heldMost || p.bytes > textsMost {
		return false
	}
	p.held = append(p.held, f.Clone())
	p.bytes += len(f.Body)
	var t wire.Text
	if f.Type == wire.TypeText && wire.ParseText(f.Body, &t) == nil {
		p.join(&t)
	}
	return true
}

func (p *prelude) join(t *wire.Text) {
	if p.parts == nil {
		p.parts = map[wire.TextKind]*joined{}
	}
	j := p.parts[t.Kind]
	if j == nil || t.Part == 0 {
		j = &joined{parts: t.Parts}
		p.parts[t.Kind] = j
	}
	if t.Part != j.next || t.Parts != j.parts {
		j.parts, j.next = 0, 1 // half a profile could mean another vessel
		return
	}
	j.data, j.next = append(j.data, t.Data...), j.next+1
}

// text is a whole text, else "".
func (p *prelude) text(k wire.TextKind) string {
	if j := p.parts[k]; j != nil && j.next == j.parts {
		return string(j.data)
	}
	return ""
}

func (p *prelude) texts() Texts {
	return Texts{p.text(wire.TextProfile), p.text(wire.TextOffsets), p.text(wire.TextModel)}
}

// release gives the frames that were held, and forgets them.
func (p *prelude) release() []wire.Frame {
	held := p.held
	*p = prelude{}
	return held
}
