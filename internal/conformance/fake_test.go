package conformance

import (
	"encoding/binary"
	"math"

	"fillwright/internal/wire"
)

// fake is a logger in the test's own time, whose habits can be spoilt one by
// one. What it does when nothing is planted is what the page demands.
type fake struct {
	rateMHz  uint32
	helloMS  int64
	startMS  int64 // device time at the opening
	boot     uint16
	board    uint64
	delayMS  int64 // of an answer
	seq      uint8
	nowMS    int64 // host's
	bornMS   int64 // host's, at which device time is 0
	helloDue int64
	next     float64
	faultDue int64
	open     bool // channel 1 is open
	restart  int64
	replies  []reply
	out      []byte
	dec      wire.Decoder

	encode     func(f *fake, t wire.Type, body []byte) []byte
	spoil      func(h *wire.Hello)
	sample     func(f *fake, s *wire.Sample)
	clock      func(ms int64) int64 // device time as told
	skip       func(n int) bool     // a sample is not taken
	jitterMS   func(n int) float64
	fault      func(f *wire.Fault)
	obeyBad    bool
	deaf       bool
	dies       bool // over a request that it does not know
	liesRate   bool
	sameBoot   bool
	silentRate bool
	lateHi     bool // after a restart samples come before the hello
	noZero     bool
	badToken   bool
	mute       bool // no fault frames
	faultMS    int64
	n          int
	dead       bool
}

type reply struct {
	atMS int64
	do   func()
}

func newFake() *fake {
	return &fake{rateMHz: 20_000, helloMS: 5000, startMS: 123_456, boot: 7, board: 0xB0A2D, delayMS: 30,
		faultMS: 1000, restart: -1, bornMS: -123_456}
}

func (f *fake) deviceMS() uint32 {
	ms := f.nowMS - f.bornMS
	if f.clock != nil {
		ms = f.clock(ms)
	}
	return uint32(uint64(ms))
}

func (f *fake) send(t wire.Type, framed []byte) {
	body := bodyOf(framed)
	if f.encode != nil {
		f.out = append(f.out, f.encode(f, t, body)...)
	} else {
		f.out = wire.AppendFrame(f.out, t, f.seq, body)
	}
	f.seq++
}

// bodyOf takes the body out of a frame.
func bodyOf(framed []byte) []byte {
	content, _ := uncobs(framed[:len(framed)-1])
	return content[2 : len(content)-2]
}

func (f *fake) hello() {
	h := wire.Hello{Protocol: 1, Restart: wire.RestartPin, Board: f.board, Boot: f.boot, FirmMajor: 1, RateMHz: f.rateMHz, N: 4}
	h.Channels[0] = wire.Channel{Index: 0, Kind: wire.KindCounts, Scale: 4095, Label: wire.MakeLabel("pressure")}
	h.Channels[1] = wire.Channel{Index: 1, Kind: wire.KindNanovolt, Label: wire.MakeLabel("gas")}
	h.Channels[2] = wire.Channel{Index: 2, Kind: wire.KindMilliCelsius, Label: wire.MakeLabel("junction")}
	h.Channels[3] = wire.Channel{Index: 5, Kind: wire.KindMicroampere, Label: wire.MakeLabel("supply")}
	if f.spoil != nil {
		f.spoil(&h)
	}
	f.send(wire.TypeHello, wire.AppendHello(nil, 0, &h))
}

func (f *fake) takeSample() {
	s := wire.Sample{TimeMS: f.deviceMS(), N: 4}
	s.Values[0] = 412 + int32(f.n%3)
	s.Values[1] = 160_000 + 149*int32(f.n%5)
	s.Values[2] = 24_125
	s.Values[3] = 11_990 + int32(f.n%7)
	if f.open {
		s.Values[1] = wire.ValueMissing
	}
	if f.sample != nil {
		f.sample(f, &s)
	}
	f.send(wire.TypeSample, wire.AppendSample(nil, 0, &s))
}

func (f *fake) tellFault() {
	if !f.open || f.mute || f.nowMS < f.faultDue {
		return
	}
	f.faultDue = f.nowMS + f.faultMS
	v := wire.Fault{TimeMS: f.deviceMS(), Code: wire.FaultOpen, Channel: 1}
	if f.fault != nil {
		f.fault(&v)
	}
	f.send(wire.TypeFault, wire.AppendFault(nil, 0, v))
}

func (f *fake) begin() {
	f.bornMS, f.seq, f.next = f.nowMS, 0, 0
	f.out = f.out[:len(f.out)*2/3] // what was on the line is cut off
	if !f.noZero {
		f.out = append(f.out, 0)
	}
	if !f.sameBoot {
		f.boot++
	}
	f.helloDue = f.nowMS
	if f.lateHi {
		f.helloDue += 300
	}
}

// step goes on by a millisecond and gives what was sent.
func (f *fake) step() []byte {
	f.nowMS++
	f.out = f.out[:0]
	if f.dead {
		return nil
	}
	if f.nowMS == f.restart {
		f.begin()
	}
	for len(f.replies) > 0 && f.replies[0].atMS <= f.nowMS {
		f.replies[0].do()
		f.replies = f.replies[1:]
	}
	if f.nowMS >= f.helloDue && f.helloMS > 0 {
		f.helloDue = f.nowMS + f.helloMS
		f.hello()
	}
	if float64(f.nowMS) >= f.next {
		f.n++
		period := 1e6 / float64(f.rateMHz)
		if f.liesRate {
			period = 1e6 / 20_000
		}
		f.next = math.Max(f.next, float64(f.nowMS)-period) + period
		if f.jitterMS != nil {
			f.next += f.jitterMS(f.n)
		}
		if f.skip == nil || !f.skip(f.n) {
			f.takeSample()
		}
	}
	f.tellFault()
	return f.out
}

// hear takes a host's bytes.
func (f *fake) hear(p []byte) {
	if f.deaf {
		return
	}
	before := f.dec.Counts().Damaged
	f.dec.Aligned = true
	f.dec.Decode(p, func(q wire.Frame) { f.obey(q.Clone()) })
	if f.obeyBad && f.dec.Counts().Damaged > before {
		f.replies = append(f.replies, reply{f.nowMS + f.delayMS, f.hello})
	}
}

func (f *fake) obey(q wire.Frame) {
	at := f.nowMS + f.delayMS
	switch q.Type {
	case wire.TypeAskHello:
		f.replies = append(f.replies, reply{at, f.hello})
	case wire.TypePing:
		token := binary.LittleEndian.Uint32(q.Body)
		if f.badToken {
			token++
		}
		f.replies = append(f.replies, reply{at, func() {
			f.send(wire.TypePong, wire.AppendPong(nil, 0, wire.Pong{Token: token, TimeMS: f.deviceMS()}))
		}})
	case wire.TypeSetRate:
		f.rateMHz = binary.LittleEndian.Uint32(q.Body)
		f.next = float64(f.nowMS)
		if f.silentRate {
			f.helloMS = 0 // nor later
			f.helloDue = math.MaxInt64
			return
		}
		f.replies = append(f.replies, reply{at, f.hello})
	default:
		f.dead = f.dies
	}
}

// examine lets an Exam hear the fake for the usual time.
func examine(f *fake) Report {
	x, err := New(Options{Live: true, LineBytesS: 11520})
	if err != nil {
		panic(err)
	}
	x.Bytes(0, []byte{0x05, 0x80, 0x11}) // the tail of a frame
	for ms := int64(1); ms <= DefaultS*1000; ms++ {
		at := float64(ms) / 1000
		x.Bytes(at, f.step())
		if ms%10 == 0 {
			if p := x.Next(at, uint32(ms)*2654435761); p != nil {
				f.hear(p)
			}
		}
	}
	return x.Report()
}
