package wire

import (
	"encoding/binary"
	"fmt"
)

// AppendFrame appends one frame to dst: type, seq, body and CRC, COBS-encoded,
// with the closing 0x00. It does not allocate when dst has room. A body longer
// than BodyMost is a bug of the caller and panics; no body of this package's
// AppendX functions and none that came out of a Decoder is that long.
func AppendFrame(dst []byte, t Type, seq uint8, body []byte) []byte {
	mustFit("bytes of a frame's body", len(body), BodyMost)
	var content [ContentMost]byte
	content[0], content[1] = byte(t), seq
	n := 2 + copy(content[2:], body)
	binary.LittleEndian.PutUint16(content[n:], crc16(content[:n]))
	return append(appendCOBS(dst, content[:n+2]), 0)
}

// mustFit guards limits that only a bug of the caller can break.
func mustFit(what string, n, most int) {
	if n < 0 || n > most {
		panic(fmt.Sprintf("wire: %d %s, the most is %d", n, what, most))
	}
}

// fromLogger says whether t is a frame of the logger, whose seq counts up.
func fromLogger(t Type) bool { return t >= 0x01 && t <= 0x3f }
