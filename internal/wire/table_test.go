package wire

import (
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// The table of vectors belongs to the protocol, not to this package: the C
// reference reads the same file. It was made by a third implementation.
const (
	vectorsFile   = "../../firmware-protocol/vectors/vectors.csv"
	vectorsHeader = "name,what,wire,text,again"
)

type vector struct{ name, what, wire, text, again string }

func (v vector) String() string {
	return strings.Join([]string{v.name, v.what, v.wire, v.text, v.again}, ",")
}

func readVectors(t testing.TB) []vector {
	t.Helper()
	data := must.Get(os.ReadFile(vectorsFile))(t)
	var rows []vector
	for line := range strings.Lines(string(data)) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "#") || line == vectorsHeader {
			continue
		}
		c := strings.Split(line, ",")
		must.Need(t, len(c) == 5, "%s: %d columns, want 5: %s", vectorsFile, len(c), line)
		rows = append(rows, vector{c[0], c[1], c[2], c[3], c[4]})
	}
	return rows
}

func (v vector) bytes(t testing.TB) []byte {
	t.Helper()
	b, err := hex.DecodeString(v.wire)
	must.Need(t, err == nil, "%s: %v", v.name, err)
	return b
}

// found is the row as this package finds it.
func (v vector) found(t testing.TB) vector {
	wire := v.bytes(t)
	got := vector{name: v.name, wire: v.wire, what: v.what}
	switch v.what {
	case "crc":
		got.text = fmt.Sprintf("0x%04x", crc16(wire))
	case "cobs":
		buf := make([]byte, len(wire))
		n, ok := decodeCOBS(buf, wire)
		if !ok {
			got.what = "damaged"
		}
		got.text = hex.EncodeToString(buf[:n])
		got.again = hex.EncodeToString(appendCOBS(nil, buf[:n]))
	case "stream", "joined":
		d := Decoder{Aligned: v.what == "stream"}
		d.Decode(wire, func(Frame) {})
		c := d.Counts()
		got.text = fmt.Sprintf("good=%d damaged=%d oversize=%d lost=%d repeated=%d",
			c.Good, c.Damaged, c.Oversize, c.Lost, c.Repeated)
	default:
		got.what, got.text, got.again = foundFrame(wire)
	}
	return got
}

func foundFrame(wire []byte) (what, text, again string) {
	d := Decoder{Aligned: true}
	what = "nothing"
	d.Decode(wire, func(f Frame) {
		var out []byte
		var err error
		text, out, err = describe(f)
		what, again = "frame", hex.EncodeToString(out)
		switch {
		case errors.Is(err, ErrShort):
			what = "body-short"
		case errors.Is(err, ErrRange):
			what = "body-range"
		case errors.Is(err, ErrVersion):
			what = "body-version"
		}
	})
	switch c := d.Counts(); {
	case c.Damaged > 0:
		what = "damaged"
	case c.Oversize > 0:
		what = "oversize"
	}
	return what, text, again
}

// describe gives a frame's values as text and encodes them again.
func describe(f Frame) (text string, again []byte, err error) {
	text = fmt.Sprintf("%v seq=%d", f.Type, f.Seq)
	var values string
	switch f.Type {
	case TypeHello:
		var h Hello
		if err = ParseHello(f.Body, &h); err == nil {
			values, again = describeHello(&h), AppendHello(nil, f.Seq, &h)
		}
	case TypeSample:
		var s Sample
		if err = ParseSample(f.Body, &s); err == nil {
			values, again = describeSample(&s), AppendSample(nil, f.Seq, &s)
		}
	case TypeFault:
		var v Fault
		if err = ParseFault(f.Body, &v); err == nil {
			values = fmt.Sprintf(" time_ms=%d code=%d channel=%d detail=%d", v.TimeMS, uint8(v.Code), v.Channel, v.Detail)
			again = AppendFault(nil, f.Seq, v)
		}
	case TypePong:
		var v Pong
		if err = ParsePong(f.Body, &v); err == nil {
			values = fmt.Sprintf(" token=0x%08x time_ms=%d", v.Token, v.TimeMS)
			again = AppendPong(nil, f.Seq, v)
		}
	case TypeAskHello:
		again = AppendAskHello(nil, f.Seq)
	case TypeSetRate:
		var v SetRate
		if err = ParseSetRate(f.Body, &v); err == nil {
			values, again = fmt.Sprintf(" rate_mhz=%d", v.RateMHz), AppendSetRate(nil, f.Seq, v)
		}
	case TypePing:
		var v Ping
		if err = ParsePing(f.Body, &v); err == nil {
			values, again = fmt.Sprintf(" token=0x%08x", v.Token), AppendPing(nil, f.Seq, v)
		}
	default:
		text = fmt.Sprintf("type=0x%02x seq=%d body=%x", uint8(f.Type), f.Seq, f.Body)
		again = AppendFrame(nil, f.Type, f.Seq, f.Body)
	}
	return text + values, again, err
}

func describeHello(h *Hello) string {
	var rows []string
	for _, c := range h.Channels[:h.N] {
		rows = append(rows, fmt.Sprintf("%d:%d:%d:%s", c.Index, uint8(c.Kind), c.Scale, describeLabel(c.Label)))
	}
	return fmt.Sprintf(" protocol=%d restart=%d board=0x%016x boot=%d firmware=%d.%d rate_mhz=%d channels=%s",
		h.Protocol, uint8(h.Restart), h.Board, h.Boot, h.FirmMajor, h.FirmMinor, h.RateMHz, strings.Join(rows, ";"))
}

func describeLabel(l Label) string {
	var b strings.Builder
	for _, c := range []byte(strings.TrimRight(string(l[:]), "\x00")) {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '_' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02x", c)
		}
	}
	return b.String()
}

func describeSample(s *Sample) string {
	var values []string
	for _, v := range s.Values[:s.N] {
		if v == ValueMissing {
			values = append(values, "missing")
		} else {
			values = append(values, fmt.Sprint(v))
		}
	}
	return fmt.Sprintf(" time_ms=%d flags=0x%04x values=%s", s.TimeMS, s.Flags, strings.Join(values, ";"))
}
