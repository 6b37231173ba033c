package endtoend

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"time"

	"fillwright/internal/wire"
)

// liar is the logger end of a line: a fill at 40 bar/min after some seconds in
// which the vessel stands empty.
type liar struct {
	w     io.Writer
	rng   *rand.Rand
	lines bool // it prints text
	seq   uint8
	boot  uint16
	began time.Time
	out   []byte
}

func newRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 77)) }

// lie is what the adversary does from some moment on. tell is called every
// 50 ms with the seconds since the lie began.
type lie struct {
	name  string
	lines bool
	tell  func(l *liar, s float64)
}

const (
	turn   = 50 * time.Millisecond
	lieS   = 6.0
	emptyS = 2.5
	table  = 3 // channels
)

// play fills honestly until the watch has seen it, then lies.
func (l *liar) play(ctx context.Context, lie lie, w *watched) error {
	ticks := time.NewTicker(turn)
	defer ticks.Stop()
	l.began = time.Now()
	l.boot = 1
	liedS := math.NaN()
	last := time.Now()
	for n := 0; ; n++ {
		if n%100 == 0 && math.IsNaN(liedS) {
			l.hello(nil)
		}
		s := l.s()
		w.waited(time.Since(last))
		last = time.Now()
		switch {
		case math.IsNaN(liedS) && w.filling():
			w.lies()
			liedS = s
			lie.tell(l, 0)
		case math.IsNaN(liedS):
			l.sample(s, l.ms(), nil)
		default:
			lie.tell(l, s-liedS)
		}
		if _, err := l.w.Write(l.out); err != nil {
			return err
		}
		l.out = l.out[:0]
		if s-liedS > lieS {
			return nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-ticks.C:
		}
	}
}

func (l *liar) s() float64 { return time.Since(l.began).Seconds() }

// ms is an honest device time.
func (l *liar) ms() float64 { return 1000 * l.s() }

func (l *liar) frame(t wire.Type, body []byte) {
	l.out = wire.AppendFrame(l.out, t, l.seq, body)
	l.seq++
}

func hellosTable() wire.Hello {
	h := wire.Hello{Protocol: wire.Version, Board: 77, RateMHz: 20_000, N: table}
	h.Channels[0] = wire.Channel{Index: 0, Kind: wire.KindCounts, Scale: 4095, Label: wire.MakeLabel("pressure")}
	h.Channels[1] = wire.Channel{Index: 1, Kind: wire.KindMilliCelsius, Label: wire.MakeLabel("gas")}
	h.Channels[2] = wire.Channel{Index: 2, Kind: wire.KindMilliCelsius, Label: wire.MakeLabel("air")}
	return h
}

const honestHeader = "time_ms,pressure_counts/4095,gas_mc,air_mc"

func (l *liar) hello(change func(*wire.Hello)) {
	if l.lines {
		l.print(honestHeader)
		return
	}
	h := hellosTable()
	h.Boot = l.boot
	if change != nil {
		change(&h)
	}
	if l.seq == 0 {
		l.out = append(l.out, 0)
	}
	l.out = wire.AppendHello(l.out, l.seq, &h)
	l.seq++
}

func (l *liar) print(line string) { l.out = append(append(l.out, line...), '\n') }

// sample says what the pad reads at s, as of device time ms.
func (l *liar) sample(s, ms float64, change func(*wire.Sample)) {
	bar := math.Max(0, s-emptyS) * 40 / 60
	v := wire.Sample{TimeMS: uint32(int64(ms)), N: table}
	v.Values[0] = int32(math.Round((0.5 + 4*bar/100) / 5 * 4095 * (1 + 0.0001*l.rng.NormFloat64())))
	v.Values[1] = int32(22_000 + 20_000*(1-math.Exp(-math.Max(0, s-emptyS)/8)) + 20*l.rng.NormFloat64())
	v.Values[2] = int32(22_000 + 20*l.rng.NormFloat64())
	if change != nil {
		change(&v)
	}
	if l.lines {
		l.print(fmt.Sprintf("%d,%d,%d,%d", v.TimeMS, v.Values[0], v.Values[1], v.Values[2]))
		return
	}
	l.out = wire.AppendSample(l.out, l.seq, &v)
	l.seq++
}

// paced is a device clock that goes on at a rate from the lie on.
func paced(rate, jumpMS float64) func(*liar, float64) {
	return func(l *liar, s float64) {
		l.sample(l.s(), l.ms()-1000*s*(1-rate)+jumpMS, nil)
	}
}

// changed sends a hello with a change once, and goes on.
func changed(change func(*wire.Hello)) func(*liar, float64) {
	return func(l *liar, s float64) {
		if s == 0 || math.Mod(s, 5) < turn.Seconds() {
			l.hello(change)
		}
		h := hellosTable()
		change(&h)
		l.sample(l.s(), l.ms(), func(v *wire.Sample) { v.N = h.N })
	}
}

// lies is the list: what keeps coming while samples do not, clocks, lags, and
// loggers that are no longer what they were.
func lies() []lie {
	frames := func(t wire.Type, body func(l *liar) []byte) func(*liar, float64) {
		return func(l *liar, _ float64) { l.frame(t, body(l)) }
	}
	fault := func(l *liar, s float64) {
		if math.Mod(s, 1) < turn.Seconds() {
			l.out = wire.AppendFault(l.out, l.seq, wire.Fault{TimeMS: uint32(l.ms()), Code: wire.FaultMemory, Channel: 9})
			l.seq++
		}
	}
	pong := func(l *liar, _ float64) {
		l.out = wire.AppendPong(l.out, l.seq, wire.Pong{TimeMS: uint32(l.ms())})
		l.seq++
	}
	unknown := frames(0x3f, func(*liar) []byte { return []byte{1, 2, 3} })
	hello := func(l *liar, _ float64) { l.hello(nil) }
	tooMany := frames(wire.TypeHello, func(*liar) []byte {
		b := make([]byte, 19)
		b[0], b[18] = 1, 255
		return b
	})
	short := frames(wire.TypeSample, func(l *liar) []byte { return []byte{1, 2, 3, 4, 0, 0, table, 9, 9} })
	counted := func(n int) func(*liar, float64) {
		return func(l *liar, _ float64) { l.sample(l.s(), l.ms(), func(v *wire.Sample) { v.N = n }) }
	}
	host := frames(wire.TypeSilence, func(*liar) []byte { return []byte{0, 0, 0, 0} })
	arrival := frames(wire.TypeArrival, func(*liar) []byte { return []byte{0, 0, 0, 0} })
	all := []func(*liar, float64){fault, pong, unknown, hello, tooMany, short, counted(0), counted(2), host, arrival}
	missing := func(l *liar, _ float64) {
		l.sample(l.s(), l.ms(), func(v *wire.Sample) { v.Values = [wire.ChannelMost]int32{wire.ValueMissing, wire.ValueMissing, 22_000} })
	}
	return []lie{
		{name: "nothing", tell: func(*liar, float64) {}},
		{name: "faults once a second", tell: fault},
		{name: "pongs", tell: pong},
		{name: "an unknown type", tell: unknown},
		{name: "hellos", tell: hello},
		{name: "hellos of 255 channels", tell: tooMany},
		{name: "samples with a short body", tell: short},
		{name: "samples of no channel", tell: counted(0)},
		{name: "samples of a channel less", tell: counted(2)},
		{name: "samples of a channel more", tell: counted(4)},
		{name: "samples without readings", tell: missing},
		{name: "the host's own frames", tell: func(l *liar, s float64) { host(l, s); arrival(l, s) }},
		{name: "all of these by turns", tell: func(l *liar, s float64) { all[l.rng.IntN(len(all))](l, s) }},
		{name: "the same sample again", tell: func(l *liar, s float64) { l.seq--; l.sample(l.s(), 0, nil) }},

		{name: "the clock stands", tell: paced(0, 0)},
		{name: "the clock crawls at a tenth", tell: paced(0.1, 0)},
		{name: "the clock runs at half", tell: paced(0.5, 0)},
		{name: "the clock runs backwards", tell: paced(-1, 0)},
		{name: "the clock runs twice as fast", tell: paced(2, 0)},
		{name: "the clock runs four times as fast", tell: paced(4, 0)},
		{name: "the clock jumps ahead by 10 s", tell: paced(1, 10_000)},
		{name: "the clock jumps back by 3 s", tell: paced(1, -3_000)},
		{name: "the clock is drawn at random", tell: func(l *liar, _ float64) { l.sample(l.s(), 4e9*l.rng.Float64(), nil) }},
		{name: "stalls of 2.5 s, all late after", tell: func(l *liar, s float64) {
			if late := 2.5 * (1 + math.Floor(s/3)); math.Mod(s, 3) >= 2.5 { // the 0.5 s between two stalls
				l.sample(l.s()-late, l.ms()-1000*late, nil)
			}
		}},

		{name: "full scale doubled", tell: changed(func(h *wire.Hello) { h.Channels[0].Scale = 8190 })},
		{name: "pressure by another kind", tell: changed(func(h *wire.Hello) { h.Channels[0] = wire.Channel{Kind: wire.KindPascal} })},
		{name: "channels changed places", tell: changed(func(h *wire.Hello) { h.Channels[1].Index, h.Channels[2].Index = 2, 1 })},
		{name: "a channel more", tell: changed(func(h *wire.Hello) { h.N = 4; h.Channels[3] = wire.Channel{Index: 3, Kind: wire.KindNanovolt} })},
		{name: "another board", tell: changed(func(h *wire.Hello) { h.Board = 78 })},

		{name: "text: time_ms stands", lines: true, tell: paced(0, 0)},
		{name: "text: time runs backwards", lines: true, tell: paced(-1, 0)},
		{name: "text: time twice as fast", lines: true, tell: paced(2, 0)},
		{name: "text: headers by turns", lines: true, tell: func(l *liar, s float64) {
			l.print([]string{honestHeader, "time_ms,gas_mc"}[l.rng.IntN(2)])
		}},
		{name: "text: headers by turns, with rows", lines: true, tell: func(l *liar, s float64) {
			l.print([]string{"time_ms,pressure_counts/8190,gas_mc,air_mc", honestHeader}[int(4*s)%2])
			l.sample(l.s(), l.ms(), nil)
		}},
		{name: "text: another full scale", lines: true, tell: func(l *liar, s float64) {
			if s == 0 {
				l.print("time_ms,pressure_counts/8190,gas_mc,air_mc")
			}
			l.sample(l.s(), l.ms(), nil)
		}},
	}
}
