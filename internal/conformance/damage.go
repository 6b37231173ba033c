package conformance

import (
	"encoding/binary"
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// Kinds of damage.
const (
	damageCOBS  = "bad COBS"
	damageShort = "too short"
	damageCRC   = "bad CRC"
)

// whatIsWrong looks at a frame that is not good. A CRC of another kind is known
// again: it is the commonest mistake.
func whatIsWrong(encoded []byte) string {
	content, ok := uncobs(encoded)
	switch {
	case !ok:
		return damageCOBS
	case len(content) < 4:
		return damageShort
	}
	body, sum := content[:len(content)-2], binary.LittleEndian.Uint16(content[len(content)-2:])
	for _, c := range otherCRCs {
		if c.of(body) == sum {
			return c.name
		}
		if bits.ReverseBytes16(c.of(body)) == sum {
			return c.name + ", high byte first"
		}
	}
	return damageCRC
}

// uncobs decodes without the wire package's limits: a frame is looked at here
// because that one refused it.
func uncobs(src []byte) ([]byte, bool) {
	var out []byte
	for i := 0; i < len(src); {
		end := i + int(src[i])
		if end > len(src) {
			return out, false
		}
		out = append(out, src[i+1:end]...)
		if src[i] < 0xFF && end < len(src) {
			out = append(out, 0)
		}
		i = end
	}
	return out, true
}

// otherCRCs are what libraries offer under like names (catalogue of
// parametrised CRC algorithms, names from memory).
var otherCRCs = []struct {
	name string
	of   func([]byte) uint16
}{
	{"CRC-16/IBM-3740", func(p []byte) uint16 { return plain(0xFFFF, p) }}, // ours, with its bytes swapped
	{"CRC-16/XMODEM, which starts at 0", func(p []byte) uint16 { return plain(0, p) }},
	{"CRC-16/MCRF4XX, the reflected one", func(p []byte) uint16 { return reflected(0xFFFF, 0x8408, p) }},
	{"CRC-16/KERMIT, the reflected one from 0", func(p []byte) uint16 { return reflected(0, 0x8408, p) }},
	{"CRC-16/MODBUS", func(p []byte) uint16 { return reflected(0xFFFF, 0xA001, p) }},
}

func plain(crc uint16, p []byte) uint16 {
	for _, b := range p {
		crc ^= uint16(b) << 8
		for range 8 {
			carry := crc&0x8000 != 0
			crc <<= 1
			if carry {
				crc ^= 0x1021
			}
		}
	}
	return crc
}

func reflected(crc, poly uint16, p []byte) uint16 {
	for _, b := range p {
		crc ^= uint16(b)
		for range 8 {
			carry := crc&1 != 0
			crc >>= 1
			if carry {
				crc ^= poly
			}
		}
	}
	return crc
}

func judgeCOBS(x *Exam) (Verdict, string) {
	switch n, short := x.damage[damageCOBS], x.damage[damageShort]; {
	case n+short > 0:
		return Wrong, fmt.Sprintf("%d frames with bad COBS, %d too short, of %d; a zero that was not stuffed, or bytes lost on the line", n, short, x.parts())
	case x.good == 0:
		return NotSeen, "no frame came"
	}
	return Right, fmt.Sprintf("%d frames decoded", x.good)
}

func judgeCRC(x *Exam) (Verdict, string) {
	var said []string
	for kind, n := range x.damage {
		switch kind {
		case damageCOBS, damageShort:
		case damageCRC:
			said = append(said, fmt.Sprintf("%d of %d frames have a bad CRC", n, x.parts()))
		default:
			said = append(said, fmt.Sprintf("%d of %d frames have another CRC: %s", n, x.parts(), kind))
		}
	}
	slices.Sort(said)
	switch {
	case len(said) > 0:
		return Wrong, strings.Join(said, "; ") + "; wanted is CRC-16/IBM-3740, low byte first"
	case x.good == 0:
		return NotSeen, "no frame came"
	}
	return Right, fmt.Sprintf("%d frames with the right CRC", x.good)
}

func judgeSize(x *Exam) (Verdict, string) {
	if x.oversize > 0 {
		return Wrong, fmt.Sprintf("%d frames have more than 512 bytes of content", x.oversize)
	}
	if x.good == 0 {
		return NotSeen, "no frame came"
	}
	return Right, "no frame is too long"
}

// parts is how many frames came, good or not.
func (x *Exam) parts() int {
	n := x.good + x.oversize + int(x.seqs.repeated)
	for _, d := range x.damage {
		n += d
	}
	return n
}

func judgeTypes(x *Exam) (Verdict, string) {
	if len(x.foreign) == 0 {
		return Right, "only types that a logger may send"
	}
	var names []string
	for t, n := range x.foreign {
		names = append(names, fmt.Sprintf("%d of type 0x%02x", n, uint8(t)))
	}
	slices.Sort(names)
	return Wrong, "frames that no logger sends: " + strings.Join(names, ", ")
}

func judgeUnderstood(x *Exam) (Verdict, string) {
	switch {
	case x.bytes == 0:
		return Wrong, "nothing came: check the cable, the logger's power and the speed"
	case x.format == printing && len(x.samples) == 0 && x.lines.headers == 0 && !x.lines.declared:
		return Wrong, "lines came, and none is a header or can be understood without one"
	case x.format != printing && x.good == 0:
		return Wrong, fmt.Sprintf("%d bytes came and no good frame: check --baud, the cable and the CRC", x.bytes)
	}
	return Right, fmt.Sprintf("%d bytes, understood as %s", x.bytes, x.format)
}

// loadMost is how much of the line a logger should take: hellos and faults
// come on top of the samples.
const loadMost = 0.9

func judgeLoad(x *Exam) (Verdict, string) {
	if !x.opt.Live || x.opt.LineBytesS <= 0 || x.nowS < 1 {
		return NotSeen, "the line's speed is not known"
	}
	share := float64(x.bytes) / x.nowS / x.opt.LineBytesS
	if share > loadMost {
		return Wrong, fmt.Sprintf("%.0f %% of the line are taken: no room for hellos and faults", 100*share)
	}
	return Right, fmt.Sprintf("%.0f %% of the line are taken", 100*share)
}
