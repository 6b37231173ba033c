package wire

// CRC-16/CCITT-FALSE, also catalogued as CRC-16/IBM-3740: polynomial 0x1021,
// initial value 0xFFFF, not reflected, no final xor; check 0x29B1. (The
// CRC-16/KERMIT that some libraries call "ccitt" is a different one.)
const (
	crcPoly uint16 = 0x1021
	crcInit uint16 = 0xFFFF
)

// crcTables[k][b] is the CRC, from zero, of byte b followed by k zero bytes.
// Eight of them let crc16 take eight bytes at a time ("slicing by 8":
// Kounavis & Berry, IEEE Trans. Comput. 57:1550, 2008).
var crcTables = makeCRCTables()

func makeCRCTables() *[8][256]uint16 {
	var t [8][256]uint16
	for b := range t[0] {
		c := uint16(b) << 8
		for range 8 {
			carry := c&0x8000 != 0
			c <<= 1
			if carry {
				c ^= crcPoly
			}
		}
		t[0][b] = c
	}
	for k := 1; k < len(t); k++ {
		for b := range t[k] {
			c := t[k-1][b]
			t[k][b] = c<<8 ^ t[0][c>>8]
		}
	}
	return &t
}

func crc16(p []byte) uint16 {
	t := crcTables
	c := crcInit
	for len(p) >= 8 {
		c = t[7][p[0]^byte(c>>8)] ^ t[6][p[1]^byte(c)] ^
			t[5][p[2]] ^ t[4][p[3]] ^ t[3][p[4]] ^
			t[2][p[5]] ^ t[1][p[6]] ^ t[0][p[7]]
		p = p[8:]
	}
	for _, b := range p {
		c = c<<8 ^ t[0][byte(c>>8)^b]
	}
	return c
}
