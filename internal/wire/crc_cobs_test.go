package wire

import (
	"bytes"
	"encoding/hex"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// Our CRC is CRC-16/IBM-3740 of the catalogue, and none of its look-alikes.
func TestCRCCheckValue(t *testing.T) {
	const ours = "CRC-16/IBM-3740 (CCITT-FALSE)"
	got := crc16([]byte("123456789"))
	found := false
	for _, row := range must.Rows(t, "testdata/crc_check_values.csv", 2)[1:] {
		want := must.Get(strconv.ParseUint(row[7], 0, 16))(t)
		found = found || row[0] == ours
		must.Be(t, (got == uint16(want)) == (row[0] == ours), "crc16(123456789) = %#04x; %s is %#04x", got, row[0], want)
	}
	must.Be(t, found, "no row %q", ours)
}

// Eight bytes at a time give what the definition, a bit at a time, gives.
func TestCRCAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for n := range 300 {
		p := make([]byte, n)
		fill(r, p)
		want := crcInit
		for _, b := range p {
			for bit := 7; bit >= 0; bit-- {
				top := want>>15 ^ uint16(b>>bit&1)
				want = want<<1 ^ top*crcPoly
			}
		}
		got := crc16(p)
		must.Need(t, got == want, "%x: %#04x, want %#04x", p, got, want)
	}
}

// The published examples, and the two forms of a final full block.
func TestCOBSExamples(t *testing.T) {
	for _, row := range must.Rows(t, "testdata/cobs_examples.csv", 2)[1:] {
		decoded, encoded := unhex(t, row[1]), unhex(t, row[2])
		got := appendCOBS(nil, decoded)
		must.Be(t, bytes.Equal(got, encoded), "%s: encoded %x, want %x", row[0], got, encoded)
		forms := [][]byte{encoded}
		if len(decoded) == 254 {
			forms = append(forms, append(encoded[:len(encoded):len(encoded)], 1))
		}
		for _, form := range forms {
			buf := make([]byte, len(form))
			n, ok := decodeCOBS(buf, form)
			must.Be(t, ok && bytes.Equal(buf[:n], decoded), "%s: %x decoded %v %x, want %x", row[0], form, ok, buf[:n], decoded)
		}
	}
}

func unhex(t *testing.T, s string) []byte {
	t.Helper()
	return must.Get(hex.DecodeString(strings.ReplaceAll(s, " ", "")))(t)
}

// The paper's bound: one byte of overhead for every 254 begun, and no zeros.
func TestCOBSOverhead(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := 1; n <= ContentMost; n++ {
		p := make([]byte, n)
		fill(r, p)
		e := appendCOBS(nil, p)
		must.Need(t, len(e) <= n+(n+253)/254 && len(e) <= encodedMost && bytes.IndexByte(e, 0) < 0, "%x encoded %x", p, e)
	}
}
