package wire

import (
	"errors"
	"fmt"
	"unicode/utf8"
)

// The host's own frames lie in run logs only.

// LinkTextMost is the most bytes of a link's text.
const LinkTextMost = 120

const (
	logStartSize = 9 + LabelMost
	textSize     = 7 // before the data
	entrySize    = 7 // before the text
	linkSize     = 2 // before the text
)

// AppendLogStart appends the frame that opens a run log.
func AppendLogStart(dst []byte, seq uint8, s LogStart) []byte {
	var body [logStartSize]byte
	b := append(body[:0], s.Version)
	b = le.AppendUint64(b, uint64(s.UnixMS))
	return AppendFrame(dst, TypeLogStart, seq, append(b, s.App[:]...))
}

// ParseLogStart reads a log-start's body into s. A log of another version
// gives ErrVersion; then only s.Version is meaningful.
func ParseLogStart(body []byte, s *LogStart) error {
	*s = LogStart{}
	if err := need(TypeLogStart, body, "version", 1); err != nil {
		return err
	}
	if s.Version = body[0]; s.Version != Version {
		return bad(TypeLogStart, "version", int(s.Version), fmt.Sprint(Version), ErrVersion)
	}
	if err := need(TypeLogStart, body, "app", logStartSize); err != nil {
		return err
	}
	s.UnixMS = int64(le.Uint64(body[1:]))
	copy(s.App[:], body[9:])
	return nil
}

// AppendText appends one part of a text. More than TextPartMost bytes panic:
// cutting them would lose what was in force.
func AppendText(dst []byte, seq uint8, t Text) []byte {
	mustFit("bytes of a text part", len(t.Data), TextPartMost)
	var body [textSize + TextPartMost]byte
	b := append(body[:0], byte(t.Kind))
	b = le.AppendUint16(b, t.Part)
	b = le.AppendUint16(b, t.Parts)
	b = le.AppendUint16(b, uint16(len(t.Data)))
	return AppendFrame(dst, TypeText, seq, append(b, t.Data...))
}

// ParseText reads a text part into t. t.Data aliases body.
func ParseText(body []byte, t *Text) error {
	*t = Text{}
	if err := need(TypeText, body, "length", textSize); err != nil {
		return err
	}
	n := int(le.Uint16(body[5:]))
	if n > TextPartMost {
		return outside(TypeText, "length", n, fmt.Sprintf("0 to %d", TextPartMost))
	}
	if err := need(TypeText, body, "data", textSize+n); err != nil {
		return err
	}
	part, parts := le.Uint16(body[1:]), le.Uint16(body[3:])
	if part >= parts {
		return outside(TypeText, "part", int(part), fmt.Sprintf("below parts, which is %d", parts))
	}
	*t = Text{Kind: TextKind(body[0]), Part: part, Parts: parts, Data: body[textSize : textSize+n : textSize+n]}
	return nil
}

// AppendClock appends the host's clock.
func AppendClock(dst []byte, seq uint8, c Clock) []byte {
	var body [8]byte
	return AppendFrame(dst, TypeClock, seq, le.AppendUint64(body[:0], uint64(c.UnixMS)))
}

// ParseClock reads a clock's body into c.
func ParseClock(body []byte, c *Clock) error {
	*c = Clock{}
	if err := need(TypeClock, body, "time", 8); err != nil {
		return err
	}
	c.UnixMS = int64(le.Uint64(body))
	return nil
}

// AppendEntry appends an act of the operator. A text longer than EntryTextMost
// is cut before the rune that does not fit.
func AppendEntry(dst []byte, seq uint8, e Entry) []byte {
	text := cut(e.Text, EntryTextMost)
	var body [entrySize + EntryTextMost]byte
	b := append(body[:0], byte(e.Kind), e.Station)
	b = le.AppendUint32(b, uint32(e.Value))
	b = append(b, byte(len(text)))
	return AppendFrame(dst, TypeEntry, seq, append(b, text...))
}

// ParseEntry reads an entry's body into e. Unknown kinds are let through.
func ParseEntry(body []byte, e *Entry) error {
	*e = Entry{}
	if err := need(TypeEntry, body, "text length", entrySize); err != nil {
		return err
	}
	text, err := tail(TypeEntry, body, entrySize, EntryTextMost)
	if err != nil {
		return err
	}
	*e = Entry{Kind: EntryKind(body[0]), Station: body[1], Value: int32(le.Uint32(body[2:])), Text: text}
	return nil
}

// AppendSilence appends a silence.
func AppendSilence(dst []byte, seq uint8, s Silence) []byte {
	var body [4]byte
	return AppendFrame(dst, TypeSilence, seq, le.AppendUint32(body[:0], s.AgeMS))
}

// ParseSilence reads a silence's body into s.
func ParseSilence(body []byte, s *Silence) (err error) {
	s.AgeMS, err = u32(TypeSilence, body, "age")
	return err
}

// AppendArrival appends the time at which what follows came.
func AppendArrival(dst []byte, seq uint8, a Arrival) []byte {
	var body [4]byte
	return AppendFrame(dst, TypeArrival, seq, le.AppendUint32(body[:0], a.HostMS))
}

// ParseArrival reads an arrival's body into a.
func ParseArrival(body []byte, a *Arrival) (err error) {
	a.HostMS, err = u32(TypeArrival, body, "host time")
	return err
}

// AppendLink appends a change of the cable. A text longer than LinkTextMost is
// cut before the rune that does not fit.
func AppendLink(dst []byte, seq uint8, l Link) []byte {
	text := cut(l.Text, LinkTextMost)
	var body [linkSize + LinkTextMost]byte
	b := append(body[:0], byte(l.State), byte(len(text)))
	return AppendFrame(dst, TypeLink, seq, append(b, text...))
}

// ParseLink reads a link's body into l. Unknown states are let through.
func ParseLink(body []byte, l *Link) error {
	*l = Link{}
	if err := need(TypeLink, body, "text length", linkSize); err != nil {
		return err
	}
	text, err := tail(TypeLink, body, linkSize, LinkTextMost)
	if err != nil {
		return err
	}
	*l = Link{State: LinkState(body[0]), Text: text}
	return nil
}

// tail reads the text that starts at byte at, whose length is the byte before.
func tail(t Type, body []byte, at, most int) (string, error) {
	n := int(body[at-1])
	if n > most {
		return "", outside(t, "text length", n, fmt.Sprintf("0 to %d", most))
	}
	if err := need(t, body, "text", at+n); err != nil {
		return "", err
	}
	return string(body[at : at+n]), nil
}

// cut shortens s to at most n bytes without splitting a rune.
func cut(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n]
}

// Causes of the errors of bodies: what is wrong with a frame whose CRC was right, so
// that the sender made it so. They are wrapped with frame, field, what was there and
// what was expected.
var (
	ErrShort   = errors.New("body too short")
	ErrRange   = errors.New("value outside its range")
	ErrVersion = errors.New("protocol version not known")
)

// need checks that a body holds at least n bytes, up to and with field.
func need(t Type, body []byte, field string, n int) error {
	if len(body) >= n {
		return nil
	}
	return fmt.Errorf("%v frame: %s: body is %d bytes, want at least %d: %w", t, field, len(body), n, ErrShort)
}

func outside(t Type, field string, value int, want string) error {
	return bad(t, field, value, want, ErrRange)
}

func bad(t Type, field string, value int, want string, err error) error {
	return fmt.Errorf("%v frame: %s is %d, want %s: %w", t, field, value, want, err)
}

// u32 reads a body that is one number, field.
func u32(t Type, body []byte, field string) (uint32, error) {
	if err := need(t, body, field, 4); err != nil {
		return 0, err
	}
	return le.Uint32(body), nil
}
