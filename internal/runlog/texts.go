package runlog

import (
	"fmt"

	"fillwright/internal/wire"
)

// Limits on the texts of a recording.
const (
	textMost  = 1 << 20 // bytes in one text
	textsMost = 8 << 20 // bytes in all different texts of a recording
	partsMost = 4096    // LogStarts whose texts are kept
)

// Texts are the texts that were in force when a run log was recorded, as they
// stood in their TOML files. One that was not recorded is empty.
type Texts struct {
	Profile string
	Offsets string
	Model   string
}

func (t *Texts) of(kind wire.TextKind) *string {
	switch kind {
	case wire.TextProfile:
		return &t.Profile
	case wire.TextOffsets:
		return &t.Offsets
	case wire.TextModel:
		return &t.Model
	}
	return nil
}

// AppendTexts appends the texts as frames, each cut into parts that follow one
// another, beginning with host sequence number seq. It returns the sequence
// number to go on with. An empty text gives no frame.
func AppendTexts(dst []byte, seq uint8, t *Texts) ([]byte, uint8, error) {
	for _, kind := range []wire.TextKind{wire.TextProfile, wire.TextOffsets, wire.TextModel} {
		text := *t.of(kind)
		if len(text) > textMost {
			return dst, seq, fmt.Errorf("text %d for the run log is %d bytes long, at most %d are possible", kind, len(text), textMost)
		}
		parts := (len(text) + wire.TextPartMost - 1) / wire.TextPartMost
		for i := range parts {
			data := text[i*wire.TextPartMost : min(len(text), (i+1)*wire.TextPartMost)]
			dst = wire.AppendText(dst, seq, wire.Text{Kind: kind, Part: uint16(i), Parts: uint16(parts), Data: []byte(data)})
			seq++
		}
	}
	return dst, seq, nil
}

// textJoiner puts the parts of texts together again. A text with a part missing
// is not in force: half a profile could mean another vessel.
type textJoiner struct {
	kind   wire.TextKind
	next   uint16 // part expected
	parts  uint16
	data   []byte
	broken int
}

// add takes one part and returns a text that it completes.
func (j *textJoiner) add(body []byte) (kind wire.TextKind, text string, whole bool) {
	var t wire.Text
	if err := wire.ParseText(body, &t); err != nil {
		j.broken++
		j.drop()
		return 0, "", false
	}
	if t.Part == 0 {
		j.flush()
		j.kind, j.parts, j.next, j.data = t.Kind, t.Parts, 0, j.data[:0]
	}
	if t.Kind != j.kind || t.Part != j.next || t.Parts != j.parts || len(j.data)+len(t.Data) > textMost {
		j.broken++
		j.drop()
		return 0, "", false
	}
	j.data = append(j.data, t.Data...)
	if j.next++; j.next < j.parts {
		return 0, "", false
	}
	text, kind = string(j.data), j.kind
	j.drop()
	return kind, text, true
}

// flush counts a text that was begun and never completed.
func (j *textJoiner) flush() {
	if j.next > 0 {
		j.broken++
	}
	j.drop()
}

func (j *textJoiner) drop() { j.kind, j.next, j.parts, j.data = 0, 0, 0, j.data[:0] }
