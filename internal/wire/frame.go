package wire

import (
	"encoding/binary"
	"fmt"
)

// Consistent Overhead Byte Stuffing: S. Cheshire & M. Baker, IEEE/ACM Trans.
// Netw. 7:159, 1999. Zero bytes are taken out, so that a zero can end a frame.
// Each block is a code byte c and c-1 bytes that are not zero; a code below
// 255 stands for a zero after its block, except at the very end.

const (
	cobsBlockMost = 254 // data bytes of a full block, code 0xFF

	// encodedMost is the most bytes of an encoded frame, without delimiter.
	encodedMost = ContentMost + ContentMost/cobsBlockMost + 1
)

// appendCOBS appends src, encoded, to dst without a delimiter.
func appendCOBS(dst, src []byte) []byte {
	code := len(dst)
	dst = append(dst, 0)
	for i, b := range src {
		if b == 0 {
			dst[code] = byte(len(dst) - code)
			code = len(dst)
			dst = append(dst, 0)
			continue
		}
		dst = append(dst, b)
		// A full block at the very end needs no further code byte.
		if len(dst)-code == cobsBlockMost+1 && i+1 < len(src) {
			dst[code] = 0xFF
			code = len(dst)
			dst = append(dst, 0)
		}
	}
	dst[code] = byte(len(dst) - code)
	return dst
}

// decodeCOBS decodes src, which holds no zero, into dst, which must be as long
// as src. It returns the bytes written, also when the last block is cut short
// and ok is false. Encoders that close a final full block with a further code
// byte 01 are understood: that code adds nothing.
func decodeCOBS(dst, src []byte) (n int, ok bool) {
	for i := 0; i < len(src); {
		code := int(src[i])
		end := i + code
		if end > len(src) {
			return n + copy(dst[n:], src[i+1:]), false
		}
		n += copy(dst[n:], src[i+1:end])
		i = end
		if code <= cobsBlockMost && i < len(src) {
			dst[n] = 0
			n++
		}
	}
	return n, true
}

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
