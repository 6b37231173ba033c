package conformance

import (
	"encoding/binary"
	"fmt"
	"math/bits"
	"os"
	"slices"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/wire"
)

func find(t *testing.T, r *Report, rule string) Finding {
	t.Helper()
	for _, f := range r.Findings {
		if f.Rule == rule {
			return f
		}
	}
	t.Fatalf("no rule %s in %d findings", rule, len(r.Findings))
	return Finding{}
}

func with(r *Report, v Verdict) []string {
	var out []string
	for _, f := range r.Findings {
		if f.Verdict == v {
			out = append(out, f.Rule)
		}
	}
	return out
}

// A logger that does all that the page demands is found right in everything,
// but for what can't be seen without a fault or a restart.
func TestHealthyLogger(t *testing.T) {
	r := examine(newFake())
	for _, f := range r.Findings {
		must.Be(t, f.Verdict != Wrong && f.Verdict != LeftOut, "%s: %s, %s", f.Rule, f.Verdict, f.Text)
	}
	want := []string{"fault.body", "fault.value", "fault.sent", "fault.period", "restart.boot", "restart.first"}
	got := with(&r, NotSeen)
	must.Be(t, slices.Equal(got, want), "not seen: %q, want %q", got, want)
	must.Be(t, r.Format == "frames" && r.Samples >= 400, "%+v", r)
}

// With an open thermocouple and a press of the reset button everything is seen,
// and all of it is right.
func TestHealthyLoggerWithFaultAndRestart(t *testing.T) {
	f := newFake()
	f.open, f.restart = true, 8000
	r := examine(f)
	for _, f := range r.Findings {
		must.Be(t, f.Verdict == Right, "%s: %s, %s", f.Rule, f.Verdict, f.Text)
	}
}

// recrc encodes with another checksum in place of the right one.
func recrc(of func([]byte) uint16) func(*fake, wire.Type, []byte) []byte {
	return func(f *fake, t wire.Type, body []byte) []byte {
		content := append([]byte{byte(t), f.seq}, body...)
		content = binary.LittleEndian.AppendUint16(content, of(content))
		return append(cobs(content), 0)
	}
}

// cobs encodes short content.
func cobs(content []byte) []byte {
	out, code := []byte{0}, 0
	for _, b := range content {
		if b == 0 || len(out)-code == 255 {
			out[code] = byte(len(out) - code)
			code = len(out)
			out = append(out, 0)
		}
		if b != 0 {
			out = append(out, b)
		}
	}
	out[code] = byte(len(out) - code)
	return out
}

// planted are mistakes that people make in loggers: each is named by its own
// rule. also are rules that it breaks in passing.
var planted = []struct {
	what, rule string
	verdict    Verdict
	also       string
	plant      func(*fake)
}{
	{"the reflected CRC", "framing.crc", Wrong, "line.understood hello.there sample.there", func(f *fake) {
		f.encode = recrc(func(p []byte) uint16 { return reflected(0xFFFF, 0x8408, p) })
	}},
	{"the CRC started at 0", "framing.crc", Wrong, "line.understood", func(f *fake) {
		f.encode = recrc(func(p []byte) uint16 { return plain(0, p) })
	}},
	{"the CRC with its high byte first", "framing.crc", Wrong, "line.understood", func(f *fake) {
		f.encode = recrc(func(p []byte) uint16 { return bits.ReverseBytes16(plain(0xFFFF, p)) })
	}},
	{"a flipped bit now and then", "framing.crc", Wrong, "seq.counts", func(f *fake) {
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			out := wire.AppendFrame(nil, t, f.seq, body)
			if f.n%50 == 49 && t == wire.TypeSample {
				out[3] ^= 0x40
			}
			return out
		}
	}},
	{"a zero that is not stuffed", "framing.cobs", Wrong, "seq.counts framing.crc", func(f *fake) {
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			if f.n%20 == 19 && t == wire.TypeSample {
				content := append([]byte{byte(t), f.seq}, body...)
				return append(append([]byte{byte(len(content) + 1)}, content...), 0)
			}
			return wire.AppendFrame(nil, t, f.seq, body)
		}
	}},
	{"frames that are too long", "framing.size", Wrong, "seq.counts", func(f *fake) {
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			if f.n%100 == 99 && t == wire.TypeSample {
				content := append([]byte{byte(t), f.seq}, make([]byte, 600)...)
				return append(cobs(content), 0)
			}
			return wire.AppendFrame(nil, t, f.seq, body)
		}
	}},
	{"a type of its own", "type.known", Wrong, "", func(f *fake) {
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			out := wire.AppendFrame(nil, t, f.seq, body)
			if f.n%40 == 39 && t == wire.TypeSample {
				f.seq++
				out = wire.AppendFrame(out, 0x2a, f.seq, []byte{1})
			}
			return out
		}
	}},
	{"seq that stands still", "seq.counts", Wrong, "seq.repeats", func(f *fake) {
		f.encode = func(_ *fake, t wire.Type, body []byte) []byte { return wire.AppendFrame(nil, t, 9, body) }
	}},
	{"a seq for each type", "seq.counts", Wrong, "", func(f *fake) {
		own := map[wire.Type]uint8{}
		f.encode = func(_ *fake, t wire.Type, body []byte) []byte {
			own[t]++
			return wire.AppendFrame(nil, t, own[t], body)
		}
	}},
	{"seq that leaves numbers out", "seq.counts", Wrong, "", func(f *fake) {
		f.skip = func(n int) bool {
			if n%60 == 0 {
				f.seq++
			}
			return false
		}
	}},
	{"frames sent twice", "seq.repeats", Wrong, "", func(f *fake) {
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			out := wire.AppendFrame(nil, t, f.seq, body)
			if f.n%50 == 49 {
				out = append(out, out...)
			}
			return out
		}
	}},
	{"no hello, but when asked", "hello.period", Wrong, "", func(f *fake) { f.helloMS = 0 }},
	{"no hello at all", "hello.there", Wrong, "", func(f *fake) { f.helloMS, f.deaf = 0, true }},
	{"a hello every 12 s", "hello.period", Wrong, "", func(f *fake) { f.helloMS = 12_000 }},
	{"protocol 2", "hello.version", Wrong, "hello.there", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Protocol = 2 }
	}},
	{"an index twice", "hello.body", Wrong, "hello.there", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Channels[3].Index = 1 }
	}},
	{"counts without a scale", "hello.channels", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Channels[0].Scale = 0 }
	}},
	{"an unknown kind", "hello.channels", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Channels[2].Kind = 77 }
	}},
	{"a label padded with spaces behind a zero", "hello.labels", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Channels[1].Label = wire.MakeLabel("gas\x00\x00  ") }
	}},
	{"a table that changes", "hello.steady", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) {
			if f.nowMS > 7000 {
				h.Channels[1].Label = wire.MakeLabel("tank")
			}
		}
	}},
	{"no board number", "hello.board", LeftOut, "", func(f *fake) { f.board = 0 }},
	{"another number of values", "sample.count", Wrong, "", func(f *fake) {
		f.sample = func(_ *fake, s *wire.Sample) { s.N = 3 }
	}},
	{"a flag without a meaning", "sample.flags", Wrong, "", func(f *fake) {
		f.sample = func(_ *fake, s *wire.Sample) { s.Flags = 0x0100 }
	}},
	{"degrees for millidegrees", "sample.range", Wrong, "", func(f *fake) {
		f.sample = func(_ *fake, s *wire.Sample) { s.Values[2] = 24 }
	}},
	{"milliamperes for microamperes", "sample.range", Wrong, "", func(f *fake) {
		f.sample = func(_ *fake, s *wire.Sample) { s.Values[3] = 12 }
	}},
	{"counts beyond the scale", "sample.range", Wrong, "", func(f *fake) {
		f.sample = func(_ *fake, s *wire.Sample) { s.Values[0] = 5000 }
	}},
	{"0 where there is no reading", "sample.missing", Wrong, "", func(f *fake) {
		f.sample = func(f *fake, s *wire.Sample) {
			if f.n%30 < 5 {
				s.Values[1] = 0
			}
		}
	}},
	{"full scale where there is no reading", "sample.missing", Wrong, "", func(f *fake) {
		f.sample = func(f *fake, s *wire.Sample) {
			if f.n%30 < 5 {
				s.Values[1] = 1<<31 - 1
			}
		}
	}},
	{"half the rate it says", "sample.rate", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.RateMHz *= 2 }
	}},
	{"a set-rate that only the hello obeys", "sample.rate", Wrong, "", func(f *fake) { f.liesRate = true }},
	{"5 samples a second", "sample.rate", LeftOut, "", func(f *fake) { f.rateMHz = 5000 }},
	{"uneven steps", "sample.steady", Wrong, "sample.rate", func(f *fake) {
		f.jitterMS = func(n int) float64 { return float64([]int{-15, 0, 15, 0}[n%4]) }
	}},
	{"readings left out without a word", "sample.gaps", Wrong, "", func(f *fake) {
		f.skip = func(n int) bool { return n%80 > 76 }
	}},
	{"time in hundredths of a second", "time.base", Wrong, "time.forward sample.rate sample.steady sample.gaps request.ping", func(f *fake) {
		f.clock = func(ms int64) int64 { return ms / 10 }
	}},
	{"a clock that runs 3 % fast", "time.base", Wrong, "sample.rate", func(f *fake) {
		f.clock = func(ms int64) int64 { return ms * 103 / 100 }
	}},
	{"time that runs back", "time.forward", Wrong, "", func(f *fake) {
		f.clock = func(ms int64) int64 {
			if f.n%100 == 50 {
				return ms - 200
			}
			return ms
		}
	}},
	{"time that stands still", "time.forward", Wrong, "sample.rate sample.steady sample.gaps time.base", func(f *fake) {
		f.clock = func(ms int64) int64 { return ms / 1000 * 1000 }
	}},
	{"an unknown fault code", "fault.body", Wrong, "", func(f *fake) {
		f.open, f.fault = true, func(v *wire.Fault) { v.Code = 9 }
	}},
	{"a fault of a channel that is not there", "fault.body", Wrong, "", func(f *fake) {
		f.open, f.fault = true, func(v *wire.Fault) { v.Channel = 12 }
	}},
	{"a value while the fault lasts", "fault.value", Wrong, "", func(f *fake) {
		f.open = true
		f.sample = func(_ *fake, s *wire.Sample) { s.Values[1] = 160_000 }
	}},
	{"a missing reading and no fault frame", "fault.sent", LeftOut, "", func(f *fake) { f.open, f.mute = true, true }},
	{"a fault frame with each sample", "fault.period", Wrong, "", func(f *fake) { f.open, f.faultMS = true, 50 }},
	{"a fault frame every 3 s", "fault.period", Wrong, "", func(f *fake) { f.open, f.faultMS = true, 3000 }},
	{"requests that nobody answers", "request.ask-hello", LeftOut, "", func(f *fake) { f.deaf = true }},
	{"answers after half a second", "request.ask-hello", Wrong, "request.ping request.set-rate sample.rate", func(f *fake) { f.delayMS = 500 }},
	{"another rate without a hello", "request.set-rate", Wrong, "hello.period", func(f *fake) { f.silentRate = true }},
	{"a pong with another token", "request.ping", Wrong, "", func(f *fake) { f.badToken = true }},
	{"damaged requests obeyed", "request.damaged", Wrong, "", func(f *fake) { f.obeyBad = true }},
	{"silent over an unknown request", "request.unknown", Wrong, "hello.period request.set-rate", func(f *fake) { f.dies = true }},
	{"the same boot number after a restart", "restart.boot", Wrong, "seq.counts", func(f *fake) { f.restart, f.sameBoot = 8025, true }},
	{"samples before the hello after a restart", "restart.first", Wrong, "seq.counts", func(f *fake) { f.restart, f.lateHi = 8025, true }},
	{"no 0x00 after a restart", "restart.first", Wrong, "", func(f *fake) { f.restart, f.noZero = 8025, true }},
	{"a cause without a meaning", "restart.cause", Wrong, "", func(f *fake) {
		f.spoil = func(h *wire.Hello) { h.Restart = 17 }
	}},
	{"more than the line carries", "line.load", Wrong, "sample.range", func(f *fake) {
		f.rateMHz = 248_000
		f.sample = func(_ *fake, s *wire.Sample) {
			s.N = 4
			s.Values = [16]int32{0x01010101, 0x01010101, 0x01010101, 0x01010101}
		}
		f.encode = func(f *fake, t wire.Type, body []byte) []byte {
			return wire.AppendFrame(nil, t, f.seq, append(body, make([]byte, 30)...))
		}
	}},
}

// Each planted mistake is named by its rule, and nothing else is called wrong
// but what it breaks in passing.
func TestPlantedMistakes(t *testing.T) {
	must.Need(t, len(planted) >= 20, "only %d mistakes are planted", len(planted))
	for _, p := range planted {
		t.Run(p.what, func(t *testing.T) {
			f := newFake()
			p.plant(f)
			r := examine(f)
			got := find(t, &r, p.rule)
			must.Be(t, got.Verdict == p.verdict, "%s is %s (%s), want %s", p.rule, got.Verdict, got.Text, p.verdict)
			if p.also == "line.understood" {
				return // nothing was understood
			}
			for _, w := range with(&r, Wrong) {
				if w != p.rule && !slices.Contains(strings.Fields(p.also), w) {
					t.Errorf("%s is called wrong, too: %s", w, find(t, &r, w).Text)
				}
			}
		})
	}
}

// The rules' clauses are headings of the protocol's page.
func TestClausesStandOnThePage(t *testing.T) {
	page := must.Get(os.ReadFile("../../firmware-protocol/README.md"))(t)
	for _, r := range rules {
		must.Be(t, strings.Contains(string(page), "\n## "+r.clause) || strings.Contains(string(page), "\n### "+r.clause),
			"rule %s: the page has no heading %q", r.id, r.clause)
	}
}

// The damaged request is an ask-hello but for its CRC, whatever comes before.
func TestDamagedRequestIsDamaged(t *testing.T) {
	x := must.Get(New(Options{Live: true}))(t)
	x.Bytes(0, wire.AppendHello([]byte{0}, 0, &wire.Hello{Protocol: 1, RateMHz: 20_000}))
	var d wire.Decoder
	d.Aligned = true
	got := ""
	for at := 0.0; at < DefaultS; at += 0.1 {
		damaged := d.Counts().Damaged
		p := x.Next(at, 1)
		d.Decode(p, func(f wire.Frame) { got += f.Type.String() + " " })
		if d.Counts().Damaged > damaged {
			content, ok := uncobs(p[1 : len(p)-1])
			got += fmt.Sprintf("damaged-%v-%v ", ok, wire.Type(content[0]))
		}
	}
	want := "ask-hello ask-hello ping ping ping damaged-true-ask-hello damaged-true-ask-hello 0x7e set-rate set-rate "
	must.Be(t, got == want, "sent %s, want %s", got, want)
}

// A logger that prints lines, with a header every 5 s and a checksum, is right
// in all that can be seen of it; mistakes in its lines are named.
func TestLines(t *testing.T) {
	const header = "time_ms,pressure_counts/4095,gas_nv,junction_mc"
	sum := func(s string) string {
		crc := plain(0xFFFF, []byte(s))
		return fmt.Sprintf("%s*%04X\n", s, crc)
	}
	bare := func(s string) string { return s + "\n" }
	row := func(i int) string { return fmt.Sprintf("%d,%d,%d,24125", 12340+50*i, 410+i%3, 120_000+149*(i%5)) }
	for _, c := range []struct {
		what, rule string
		verdict    Verdict
		end        func(string) string
		line       func(i int, s string) string
		headers    bool
	}{
		{"all right", "", Right, sum, nil, true},
		{"no checksum", "lines.checksum", LeftOut, bare, nil, true},
		{"a header only once", "hello.period", LeftOut, sum, nil, false},
		{"a header without units", "lines.header", Wrong, bare, func(i int, s string) string {
			return strings.Replace(s, "gas_nv", "gas", 1)
		}, true},
		{"a checksum that is not the line's", "lines.cells", Wrong, sum, func(i int, s string) string {
			if i%40 == 7 {
				return strings.Replace(s, "24125", "24126", 1)
			}
			return s
		}, true},
		{"a cell that is no number", "lines.cells", Wrong, bare, func(i int, s string) string {
			if i%40 == 7 {
				return strings.Replace(s, "24125", "OPEN", 1)
			}
			return s
		}, true},
		{"a cell too few", "lines.cells", Wrong, bare, func(i int, s string) string {
			if i%40 == 7 {
				return strings.Replace(s, ",24125", "", 1)
			}
			return s
		}, true},
		{"time that runs back", "time.forward", Wrong, bare, func(i int, s string) string {
			if i%100 == 50 {
				return strings.Replace(s, fmt.Sprint(12340+50*i), fmt.Sprint(12140+50*i), 1)
			}
			return s
		}, true},
		{"degrees in a column of millidegrees", "sample.range", Wrong, bare, func(_ int, s string) string {
			return strings.Replace(s, "24125", "24.1", 1)
		}, true},
	} {
		t.Run(c.what, func(t *testing.T) {
			x := must.Get(New(Options{Live: true, LineBytesS: 11520}))(t)
			say := func(i int, s string) {
				s = c.end(s)
				if c.line != nil {
					s = c.line(i, s)
				}
				x.Bytes(0.05*float64(i+1), []byte(s))
				p := x.Next(0.05*float64(i+1), 1)
				must.Need(t, p == nil, "a logger that prints was asked % x", p)
			}
			for i := range 600 {
				if i == 0 || c.headers && i%100 == 0 {
					say(i, header)
				}
				say(i, row(i))
			}
			r := x.Report()
			for _, f := range r.Findings {
				must.Be(t, f.Verdict != Wrong && f.Verdict != LeftOut || c.rule != "", "%s: %s, %s", f.Rule, f.Verdict, f.Text)
			}
			if c.rule == "" {
				return
			}
			got := find(t, &r, c.rule)
			must.Be(t, got.Verdict == c.verdict, "%s is %s (%s), want %s", c.rule, got.Verdict, got.Text, c.verdict)
		})
	}
}

// How the bytes are cut makes no difference, and no bytes make it fail: a
// recording is whatever somebody names.
func FuzzExam(f *testing.F) {
	healthy := newFake()
	var said []byte
	for range 3000 {
		said = append(said, healthy.step()...)
	}
	f.Add(said)
	f.Add([]byte("time_ms,gas_nv\n1,2\n3,x\n"))
	f.Add([]byte{0, 0, 5, 1, 2, 0})
	f.Fuzz(func(t *testing.T, p []byte) {
		whole, cut := newRecording(t), newRecording(t)
		whole.Bytes(0, p)
		for i := range p {
			cut.Bytes(0, p[i:i+1])
		}
		a, b := whole.Report(), cut.Report()
		if len(p) < 64 || whole.format != cut.format {
			return // the format is found from what has come so far
		}
		must.Be(t, fmt.Sprint(a) == fmt.Sprint(b), "whole:\n%v\ncut:\n%v", a, b)
	})
}

func newRecording(t *testing.T) *Exam {
	return must.Get(New(Options{}))(t)
}
