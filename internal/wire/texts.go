package wire

import "fmt"

// TextMost is the most bytes of one text in force.
const TextMost = 1 << 20

// Texts are the texts that were in force when a run log was recorded, as they
// stood in their TOML files. One that was not recorded is empty.
type Texts struct {
	Profile string
	Offsets string
	Model   string
}

// Of is the place of a kind of text; nil for one that a newer program records.
func (t *Texts) Of(kind TextKind) *string {
	switch kind {
	case TextProfile:
		return &t.Profile
	case TextOffsets:
		return &t.Offsets
	case TextModel:
		return &t.Model
	}
	return nil
}

// textNames are how people call the texts.
var textNames = [...]string{TextProfile: "profile", TextOffsets: "offsets", TextModel: "model"}

// String is how people call the text.
func (k TextKind) String() string {
	if k == 0 || int(k) >= len(textNames) {
		return fmt.Sprintf("text %d", uint8(k))
	}
	return textNames[k]
}

// AppendTexts appends the texts as frames, each cut into parts that follow one
// another, beginning with host sequence number seq. It returns the sequence
// number to go on with. An empty text gives no frame.
func AppendTexts(dst []byte, seq uint8, t *Texts) ([]byte, uint8, error) {
	for kind := TextProfile; kind <= TextModel; kind++ {
		text := *t.Of(kind)
		if len(text) > TextMost {
			return dst, seq, fmt.Errorf("the %s is %d bytes long; a run log takes at most %d; shorten its comments", kind, len(text), TextMost)
		}
		parts := (len(text) + TextPartMost - 1) / TextPartMost
		for i := range parts {
			data := text[i*TextPartMost : min(len(text), (i+1)*TextPartMost)]
			dst = AppendText(dst, seq, Text{Kind: kind, Part: uint16(i), Parts: uint16(parts), Data: []byte(data)})
			seq++
		}
	}
	return dst, seq, nil
}

// TextJoiner puts the parts of texts together again. A text with a part missing
// is not in force: half a profile could mean another vessel.
type TextJoiner struct {
	Broken int // texts with parts missing so far
	kind   TextKind
	next   uint16 // part expected
	parts  uint16
	data   []byte
}

// Add takes one part and returns a text that it completes.
func (j *TextJoiner) Add(body []byte) (kind TextKind, text string, whole bool) {
	var t Text
	if err := ParseText(body, &t); err != nil {
		j.Broken++
		j.drop()
		return 0, "", false
	}
	if t.Part == 0 {
		j.Flush()
		j.kind, j.parts, j.next, j.data = t.Kind, t.Parts, 0, j.data[:0]
	}
	if t.Kind != j.kind || t.Part != j.next || t.Parts != j.parts || len(j.data)+len(t.Data) > TextMost {
		j.Broken++
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

// Flush counts a text that was begun and never completed.
func (j *TextJoiner) Flush() {
	if j.next > 0 {
		j.Broken++
	}
	j.drop()
}

func (j *TextJoiner) drop() { j.kind, j.next, j.parts, j.data = 0, 0, 0, j.data[:0] }
