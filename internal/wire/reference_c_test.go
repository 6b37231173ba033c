package wire

import (
	"bytes"
	"encoding/hex"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fillwright/internal/must"
)

const firmwareDir = "../../firmware-protocol"

// compiler finds a C compiler. The reference in C is a part of the protocol:
// without one this can't be tested, and that is a failure.
func compiler(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"gcc", "cc", "clang"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Fatal("no C compiler: install gcc (on Debian and Ubuntu: apt install gcc); building fillwright's tests needs Go and gcc")
	return ""
}

// sanitizers are used where the compiler has their libraries; strict flags and
// the comparison hold without them too.
func sanitizers(t *testing.T, cc string) []string {
	t.Helper()
	flags := []string{"-fsanitize=address,undefined", "-fno-sanitize-recover=all"}
	source := filepath.Join(t.TempDir(), "empty.c")
	must.Do(t, os.WriteFile(source, []byte("int main(void) { return 0; }\n"), 0o600))
	if out, err := exec.Command(cc, append(flags, "-o", source+".out", source)...).CombinedOutput(); err != nil {
		t.Logf("built without sanitizers: %v\n%s", err, out)
		return nil
	}
	return flags
}

func buildReference(t *testing.T) string {
	t.Helper()
	cc := compiler(t)
	program := filepath.Join(t.TempDir(), "vectors_test")
	args := []string{"-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-Wconversion", "-O2"}
	args = append(args, sanitizers(t, cc)...)
	args = append(args, "-o", program, filepath.Join(firmwareDir, "vectors_test.c"), filepath.Join(firmwareDir, "fillwire.c"))
	out, err := exec.Command(cc, args...).CombinedOutput()
	must.Need(t, err == nil, "%s: %v\n%s", cc, err, out)
	return program
}

// The reference in C finds in every row, of the protocol's table and of a
// random one, byte for byte what Go finds.
func TestReferenceInC(t *testing.T) {
	program := buildReference(t)
	t.Run("vectors", func(t *testing.T) {
		table := must.Get(os.ReadFile(vectorsFile))(t)
		compareWithC(t, program, table)
	})
	t.Run("random", func(t *testing.T) {
		var table bytes.Buffer
		table.WriteString(vectorsHeader + "\n")
		r := rand.New(rand.NewPCG(1, 2))
		kinds := map[string]int{}
		for i := range 6000 {
			v := randomVector(r, i).found(t)
			kinds[v.what]++
			table.WriteString(v.String() + "\n")
		}
		for _, what := range []string{"cobs", "frame", "damaged", "oversize", "body-short", "body-range", "body-version", "stream", "joined"} {
			must.Be(t, kinds[what] >= 5, "only %d random rows of %q", kinds[what], what)
		}
		compareWithC(t, program, table.Bytes())
	})
}

func compareWithC(t *testing.T, program string, table []byte) {
	t.Helper()
	cmd := exec.Command(program, "-")
	cmd.Stdin = bytes.NewReader(table)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	must.Be(t, err == nil && bytes.Equal(out, table), "%v: the reference in C finds otherwise:\n%.4000s", err, stderr.String())
}

// randomVector makes a row's wire bytes; what, text and again are for Go to find.
func randomVector(r *rand.Rand, i int) vector {
	v := vector{name: "random-" + hex.EncodeToString([]byte{byte(i >> 8), byte(i)}), what: "frame"}
	var wire []byte
	switch i % 4 {
	case 0:
		wire = randomFrame(r)
	case 1:
		wire = harm(r, randomFrame(r))
		wire = append(bytes.ReplaceAll(wire, []byte{0}, []byte{1}), 0)
	case 2:
		v.what = []string{"stream", "joined"}[r.IntN(2)]
		for range r.IntN(12) {
			wire = append(wire, harm(r, randomFrame(r))...)
		}
	case 3:
		v.what = "cobs"
		content := make([]byte, r.IntN(500))
		fill(r, content)
		wire = appendCOBS(nil, content)
	}
	v.wire = hex.EncodeToString(wire)
	return v
}

func randomFrame(r *rand.Rand) []byte {
	seq := uint8(r.IntN(4))
	switch r.IntN(9) {
	case 0:
		h := Hello{Protocol: Version, Restart: RestartCause(r.IntN(6)), Board: r.Uint64N(3), Boot: uint16(r.IntN(2)), RateMHz: r.Uint32(), N: r.IntN(ChannelMost + 1)}
		for i := range h.N {
			h.Channels[i] = Channel{Index: uint8(i * (1 + r.IntN(2))), Kind: Kind(r.IntN(7)), Scale: int32(r.Uint32())}
			fill(r, h.Channels[i].Label[:r.IntN(LabelMost+1)])
		}
		return AppendHello(nil, seq, &h)
	case 1, 2:
		s := Sample{TimeMS: r.Uint32(), Flags: uint16(r.Uint32()), N: r.IntN(ChannelMost + 1)}
		for i := range s.N {
			s.Values[i] = int32(r.Uint32()) >> r.IntN(32)
		}
		return AppendSample(nil, seq, &s)
	case 3:
		return AppendFault(nil, seq, Fault{r.Uint32(), FaultCode(r.IntN(6)), uint8(r.Uint32()), int32(r.Uint32())})
	case 4:
		return AppendPong(nil, seq, Pong{r.Uint32(), r.Uint32()})
	case 5:
		return AppendPing(nil, seq, Ping{r.Uint32()})
	case 6:
		return AppendSetRate(nil, seq, SetRate{r.Uint32()})
	default: // any type, known ones with a body that does not fit among them
		body := make([]byte, r.IntN([]int{20, 260, BodyMost + 1}[r.IntN(3)]))
		fill(r, body)
		return AppendFrame(nil, Type(r.IntN(256)>>r.IntN(8)), seq, body)
	}
}

// fill makes random bytes, with runs of zeros or without any.
func fill(r *rand.Rand, p []byte) {
	zeros := r.IntN(3)
	for i := range p {
		p[i] = byte(r.Uint32())
		if zeros == 0 {
			p[i] |= 1
		} else if zeros == 1 && r.IntN(2) == 0 {
			p[i] = 0
		}
	}
}

// harm does to some frames what a cable does: flips, drops and doubles.
func harm(r *rand.Rand, p []byte) []byte {
	at := r.IntN(len(p))
	switch r.IntN(6) {
	case 0:
		p[at] ^= 1 << r.IntN(8)
	case 1:
		p = append(p[:at], p[at+1:]...)
	case 2:
		p = append(p, p...)
	case 3:
		p = append(p[:at:at], append([]byte(strings.Repeat("U", r.IntN(700))), p[at:]...)...)
	}
	return p
}
