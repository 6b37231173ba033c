package calibrate

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/probe"
	"fillwright/internal/vessel"
)

const (
	hz    = 5.0
	coldK = zeroCK + 25
)

// signal gives what a sensor reads at a time, NaN for nothing.
type signal func(timeS float64) float64

// feed runs a bath until it is done, at most mostS; channels that have no
// signal read nothing.
func feed(t testing.TB, b *Calibration, p *vessel.Profile, by map[int]signal, mostS float64) (timeS float64) {
	t.Helper()
	rs := make([]probe.Reading, len(p.Channels))
	for i := 0; i <= int(mostS*hz); i++ {
		timeS = float64(i) / hz
		for j, c := range p.Channels {
			v := math.NaN()
			if f := by[c.Index]; f != nil {
				v = f(timeS)
			} else if c.Role == vessel.RoleColdJunction {
				v = coldK
			}
			health := probe.HealthGood
			if math.IsNaN(v) {
				health = probe.HealthOpen
			}
			rs[j] = probe.Reading{Channel: c.Index, Role: c.Role, Kind: c.Kind, Station: c.Station, Raw: int32(v * 1000), Value: v, Health: health}
		}
		b.Add(rs, timeS)
		if b.Done() {
			return timeS
		}
	}
	return timeS
}

// settling is a probe put into a bath: it comes to rest with a time constant.
func settling(r *rand.Rand, fromK, restK, tauS, noiseK float64) signal {
	return func(t float64) float64 { return restK + (fromK-restK)*math.Exp(-t/tauS) + noiseK*r.NormFloat64() }
}

func start(t testing.TB, c Config) *Calibration {
	t.Helper()
	return must.Get(New(c))(t)
}

func result(t testing.TB, b *Calibration, channel int, last *probe.Offsets) Result {
	t.Helper()
	for _, r := range b.Results(last, 7) {
		if r.Channel == channel {
			return r
		}
	}
	t.Fatalf("channel %d has no result", channel)
	return Result{}
}

// In melting ice each probe is found off by what it is off, within what is
// stated, and nothing is averaged while it still settles.
func TestIcePoint(t *testing.T) {
	p, r := vessel.Invented(), rand.New(rand.NewPCG(1, 2))
	b := start(t, Config{Profile: p, Method: MethodIce, Beside: -1, Channels: []int{1, 2, 3}})
	at := feed(t, b, p, map[int]signal{
		1: settling(r, 296, zeroCK+6, 25, 0.05), 2: settling(r, 296, zeroCK-0.4, 8, 0.05), 3: settling(r, 296, zeroCK+1.9, 40, 0.05),
	}, 900)
	must.Be(t, at >= 90 && at <= 600, "done after %.0f s", at)
	for channel, want := range map[int]float64{1: 6, 2: -0.4, 3: 1.9} {
		q := result(t, b, channel, nil)
		must.Be(t, q.Refused == "" && math.Abs(q.Offset-want) <= q.U && q.U <= 0.6 && q.K >= 2 && q.K <= 2.1,
			"channel %d: %+v, want %v", channel, q, want)
	}
	q := result(t, b, 1, nil)
	must.Be(t, strings.Contains(strings.Join(q.Remarks, ";"), "outside class 2 of IEC 60584"), "6 K off: %q", q.Remarks)
	q = result(t, b, 2, nil)
	must.Be(t, strings.Contains(q.Remarks[0], "within class 1"), "0.4 K off: %q", q.Remarks)
}

// A probe that drifts, one that scatters and one that is open hold nothing up
// for ever and are refused with the reason; the sound one is taken.
func TestBadProbes(t *testing.T) {
	p, r := vessel.Invented(), rand.New(rand.NewPCG(3, 4))
	b := start(t, Config{Profile: p, Method: MethodShade, Typed: Typed{"21 °C", "0.2 °C"}, Beside: -1})
	feed(t, b, p, map[int]signal{
		1: settling(r, 295, zeroCK+22, 10, 0.05), 2: func(s float64) float64 { return 294 + s/60 },
		3: func(float64) float64 { return 294 + 3*r.NormFloat64() },
	}, 1000)
	for channel, want := range map[int]string{1: "", 2: "still drifts by +1 °C a minute", 3: "scatters by", 5: "the circuit is open"} {
		q := result(t, b, channel, nil)
		must.Be(t, (want != "" || q.Refused == "") && strings.Contains(q.Refused, want) && (q.Refused == "" || q.Do != ""),
			"channel %d: %q, do %q; want %q", channel, q.Refused, q.Do, want)
	}
}

// What no offset can be is refused by its right name.
func TestAbsurd(t *testing.T) {
	p := vessel.Invented()
	steamK := BoilingK(101325)
	as := func(wired vessel.Kind, trueK float64, sign float64) float64 {
		hot, err1 := probe.EMF(wired, trueK)
		cold, err2 := probe.EMF(wired, coldK)
		got, err3 := probe.JunctionK(vessel.KindK, sign*(hot-cold), coldK)
		must.Need(t, err1 == nil && err2 == nil && err3 == nil, "%v %v %v", err1, err2, err3)
		return got
	}
	for _, tt := range []struct {
		name  string
		readK float64
		want  string
	}{
		{"reversed", as(vessel.KindK, steamK, -1), "leads are reversed"},
		{"type J", as(vessel.KindJ, steamK, 1), "a type J thermocouple"},
		{"type E", as(vessel.KindE, steamK, 1), "a type E thermocouple"},
		{"type N", as(vessel.KindN, steamK, 1), "a type N thermocouple"},
		{"beside the pot", zeroCK + 60, "not in the steam"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(5, 6))
			b := start(t, Config{Profile: p, Method: MethodSteam, Typed: Typed{Value: "1013.25 hPa"}, Beside: -1, Channels: []int{1}})
			feed(t, b, p, map[int]signal{1: settling(r, tt.readK, tt.readK, 1, 0.05)}, 300)
			q := result(t, b, 1, nil)
			must.Be(t, strings.Contains(q.Refused, tt.want) && q.Do != "", "%q, do %q", q.Refused, q.Do)
		})
	}
	for _, c := range []Config{
		{Method: MethodSteam, Typed: Typed{Value: "50000 m"}}, {Method: MethodSteam, Typed: Typed{Value: "5 bar"}},
		{Method: MethodBath, Typed: Typed{Value: "627 °C"}}, {Method: MethodSpan, Typed: Typed{Value: "0 bar"}},
		{Method: MethodIce, Typed: Typed{Accuracy: "-1 °C"}}, {Method: MethodIce, Channels: []int{4}}, {Method: MethodShade, Beside: 9},
	} {
		c.Profile = p
		if c.Beside == 0 {
			c.Beside = -1
		}
		_, err := New(c)
		must.Be(t, err != nil, "accepted: %v %v", c.Method, c.Typed)
	}
}

// Beside a trusted thermometer, what both do together cancels: the air may
// warm meanwhile.
func TestBesideAThermometer(t *testing.T) {
	p, r := vessel.Invented(), rand.New(rand.NewPCG(8, 9))
	air := func(s float64) float64 { return 295 + 0.4*s/60 }
	b := start(t, Config{Profile: p, Method: MethodShade, Typed: Typed{Accuracy: "0.1 °C"}, Beside: 5})
	with := func(off float64) signal {
		return func(s float64) float64 { return air(s) + off + 0.05*r.NormFloat64() }
	}
	feed(t, b, p, map[int]signal{1: with(6), 2: with(-1), 3: with(0.3), 5: with(0)}, 600)
	for channel, want := range map[int]float64{1: 6, 2: -1, 3: 0.3} {
		q := result(t, b, channel, nil)
		must.Be(t, q.Refused == "" && math.Abs(q.Offset-want) <= 0.1 && math.Abs(q.Reference-296) <= 1, "channel %d: %+v", channel, q)
	}
}

// The last offset is compared with.
func TestChange(t *testing.T) {
	p, r := vessel.Invented(), rand.New(rand.NewPCG(8, 9))
	last := func(k float64) *probe.Offsets {
		return &probe.Offsets{List: []probe.Offset{{Board: 7, Channel: 1, Offset: k, Uncertainty: 0.3, Date: "2026-05-01"}}}
	}
	b := start(t, Config{Profile: p, Method: MethodIce, Beside: -1, Channels: []int{1}})
	feed(t, b, p, map[int]signal{1: settling(r, zeroCK+1, zeroCK+1, 1, 0.05)}, 300)
	for was, want := range map[float64]string{0.9: "no change", 0: "more than both", -3: "great change"} {
		q := result(t, b, 1, last(was))
		must.Be(t, strings.Contains(strings.Join(q.Remarks, ";"), want), "was %v: %q", was, q.Remarks)
	}
}

// Ice and steam give offset and gain: with them the probe is right between.
func TestTwoPoints(t *testing.T) {
	steamK := BoilingK(101325)
	reads := func(k float64) float64 { return k + 1.5 + 0.03*(k-zeroCK) }
	first := probe.Offset{Board: 7, Channel: 1, Offset: reads(zeroCK) - zeroCK, Point: zeroCK, Uncertainty: 0.2, Method: "ice point"}
	second := probe.Offset{Board: 7, Channel: 1, Offset: reads(steamK) - steamK, Point: steamK, Uncertainty: 0.3, Method: "steam point"}
	o := must.Get(TwoPoints(first, second))(t)
	for _, k := range []float64{zeroCK, zeroCK + 40, steamK} {
		must.Near(t, "true value", reads(k)-o.Excess(reads(k)), k, 1e-9)
	}
	must.Near(t, "uncertainty", o.Uncertainty, 0.3, 0)
	second.Point = zeroCK + 10
	must.Refuse(t, must.Err(TwoPoints(first, second)), "too close")
	second.Point, second.Offset = steamK, 40
	must.Refuse(t, must.Err(TwoPoints(first, second)), "another type")
	first.Point = math.NaN()
	_, err := TwoPoints(first, second)
	must.Be(t, err != nil, "a first point that nobody knows")
}

// Zeroing needs the operator's word; with gas under the sensor it needs the
// reading retyped; with the vessel under pressure there is no way.
func TestZeroIsHardByAccident(t *testing.T) {
	p := vessel.Invented() // 100 bar full scale: free up to 0.5 bar, never above 2 bar
	for _, tt := range []struct {
		name    string
		reads   signal
		gate    Gate
		refused string
	}{
		{"small zero", func(float64) float64 { return 0.12e5 }, GateVented, ""},
		{"negative zero", func(float64) float64 { return -0.3e5 }, GateVented, ""},
		{"gas trapped", func(float64) float64 { return 1.2e5 }, GateRetype, ""},
		{"under pressure", func(float64) float64 { return 30e5 }, GateShut, "UNDER PRESSURE"},
		{"leaking off", func(s float64) float64 { return 0.45e5 - 0.07e5*s/60 }, GateShut, "still moves"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := rand.New(rand.NewPCG(1, 1))
			b := start(t, Config{Profile: p, Method: MethodZero, Beside: -1})
			feed(t, b, p, map[int]signal{0: func(s float64) float64 { return tt.reads(s) + 300*r.NormFloat64() }}, 200)
			q := result(t, b, 0, nil)
			g, why := b.Gate(&q)
			must.Need(t, g == tt.gate && strings.Contains(q.Refused, tt.refused) && (tt.refused == "") == (q.Refused == ""),
				"gate %d (%s), refused %q", g, why, q.Refused)
			exact := "1.2 bar"
			for _, try := range []struct {
				vented  bool
				retyped string
				pass    bool
			}{
				{false, "", false}, {false, exact, false}, {true, "", g == GateVented},
				{true, "0.5 bar", g == GateVented}, {true, "1.2", g == GateVented}, {true, exact, g != GateShut},
			} {
				err := b.PassZero(&q, try.vented, try.retyped)
				must.Be(t, (err == nil) == try.pass, "vented %v, retyped %q: %v", try.vented, try.retyped, err)
			}
		})
	}
}

// A pressure that moves, or stands high, is refused within seconds and not after
// the patience; one that moves as little as a real zero does is not.
func TestZeroIsRefusedAtOnce(t *testing.T) {
	p := vessel.Invented()
	for _, tt := range []struct {
		name    string
		reads   signal
		refused string
		mostS   float64
	}{
		{"filling", func(s float64) float64 { return 20e5 / 60 * s }, "the pressure moves, +20.0 bar a minute", 10},
		{"venting", func(s float64) float64 { return 30e5 * math.Exp(-s/60) }, "the pressure moves, -", 10},
		{"begins to flow later", func(s float64) float64 { return math.Max(0, 6e5/60*(s-12)) }, "the pressure moves, +", 22},
		{"stands", func(float64) float64 { return 30e5 }, "THE VESSEL IS UNDER PRESSURE", 10},
		{"warms by a little", func(s float64) float64 { return 0.1e5 + 0.01e5*s/60 }, "", 200},
	} {
		r := rand.New(rand.NewPCG(2, 1))
		b := start(t, Config{Profile: p, Method: MethodZero, Beside: -1})
		at := feed(t, b, p, map[int]signal{0: func(s float64) float64 { return tt.reads(s) + 300*r.NormFloat64() }}, 200)
		q := result(t, b, 0, nil)
		must.Be(t, at <= tt.mostS && strings.Contains(q.Refused, tt.refused) && (tt.refused == "") == (q.Refused == ""),
			"%s: after %.0f s: %q", tt.name, at, q.Refused)
		must.Be(t, tt.refused == "" || q.Do != "", "%s: it does not say what to do", tt.name)
	}
}

// A zero within the free share that is far from the last one is not believed
// at once either.
func TestZeroAgainstTheLast(t *testing.T) {
	p := vessel.Invented()
	b := start(t, Config{Profile: p, Method: MethodZero, Beside: -1})
	feed(t, b, p, map[int]signal{0: func(s float64) float64 { return 0.4e5 + 100*math.Sin(9*s) }}, 200)
	q := result(t, b, 0, &probe.Offsets{List: []probe.Offset{{Board: 7, Channel: 0, Pressure: true, Offset: 0.02e5, Uncertainty: 0.05e5}}})
	g, why := b.Gate(&q)
	must.Be(t, g == GateRetype && strings.Contains(why, "TRAPPED"), "gate %d, %q", g, why)
}

// The span check agrees or not, and the zero in force is taken off before.
func TestSpanCheck(t *testing.T) {
	p := vessel.Invented()
	zero := &probe.Offsets{List: []probe.Offset{{Board: 7, Channel: 0, Pressure: true, Offset: 0.4e5}}}
	for reads, refused := range map[float64]string{40.5e5: "", 46e5: "one of the two is wrong"} {
		b := start(t, Config{Profile: p, Method: MethodSpan, Typed: Typed{"40 bar", "0.4 bar"}, Beside: -1})
		feed(t, b, p, map[int]signal{0: func(s float64) float64 { return reads + 300*math.Sin(9*s) }}, 200)
		q := result(t, b, 0, zero)
		must.Be(t, (refused == "") == (q.Refused == "") && strings.Contains(q.Refused, refused), "reads %v: %q, %q", reads, q.Refused, q.Remarks)
	}
}

// The time that is left is told and comes true, within half of itself.
func TestTimeLeft(t *testing.T) {
	p, r := vessel.Invented(), rand.New(rand.NewPCG(2, 2))
	f := settling(r, 330, zeroCK, 60, 0.02)
	b := start(t, Config{Profile: p, Method: MethodIce, Beside: -1, Channels: []int{1}})
	total := feed(t, b, p, map[int]signal{1: f}, 900)
	b = start(t, Config{Profile: p, Method: MethodIce, Beside: -1, Channels: []int{1}})
	at := feed(t, b, p, map[int]signal{1: f}, 120)
	left := b.Probes()[0].LeftS
	must.Be(t, left > 0 && math.Abs(at+left-total) <= 0.5*(total-at), "at %.0f s: %.0f s left, but it was done at %.0f s", at, left, total)
}
