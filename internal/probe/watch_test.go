package probe

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// bench is a synthetic vessel with a logger: what is true at a time, in °C and
// bar, and what a fault does to the raw sample.
type synthetic struct {
	gasC, sunC, shadeC, coldC, airC, bar func(s float64) float64
	spoil                                func(s *wire.Sample, timeS float64)
	noise                                float64 // times the usual
}

func steady(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// standing is a vessel that stands vented in the shade.
func standing() *synthetic {
	return &synthetic{gasC: steady(22), sunC: steady(24), shadeC: steady(21), coldC: steady(25), airC: steady(22), bar: steady(0), noise: 1}
}

// filling is a fill from 30 s on: 30 bar/min to 20 bar, the gas warming by 35 K
// (invented; of the size that an adiabatic bound with wall losses allows).
func filling() *synthetic {
	y := standing()
	part := func(s float64) float64 { return math.Min(math.Max(s-30, 0)/40, 1) }
	y.bar = func(s float64) float64 { return 20 * part(s) }
	y.gasC = func(s float64) float64 { return 22 + 35*math.Sqrt(part(s))*math.Exp(-math.Max(s-70, 0)/120) }
	y.sunC = func(s float64) float64 { return 24 + 12*part(s) }
	y.shadeC = func(s float64) float64 { return 21 + 12*part(s) }
	return y
}

// found is when a channel was first ill or doubted, and as what.
type found struct {
	timeS float64
	as    Health
}

// drive runs a Bank over a synthetic signal and tells what it first said of
// each channel.
func (y *synthetic) drive(t testing.TB, hz, forS float64) map[int]found {
	t.Helper()
	b := NewBank(vessel.Invented(), nil)
	must.Do(t, errors.Join(b.Hello(ploverHello())...))
	r := rand.New(rand.NewPCG(1, 2))
	out := map[int]found{}
	s := &wire.Sample{N: 6}
	for i := 0; i < int(forS*hz); i++ {
		now := float64(i) / hz
		y.sample(t, s, r, now)
		b.Sample(s, now)
		for k, q := range b.Readings() {
			as := q.Doubt
			if q.Health != HealthGood {
				as = q.Health
			}
			if _, told := out[k]; as != HealthUnknown && !told {
				out[k] = found{now, as}
			}
		}
	}
	return out
}

func (y *synthetic) sample(t testing.TB, s *wire.Sample, r *rand.Rand, now float64) {
	cold := y.coldC(now)
	nv := func(c float64) int32 {
		n := float64(nanovolts(t, c, cold)) + 900*y.noise*r.NormFloat64()
		return int32(math.Round(n/15.6) * 15.6)
	}
	step := func(c float64) int32 { return int32(math.Round((c+0.02*r.NormFloat64())/0.0625) * 62.5) }
	s.Values[atCold], s.Values[atAmbient] = step(cold), step(y.airC(now))
	s.Values[atPressure] = int32(math.Round((0.5+4*y.bar(now)/100)/5*4095 + 0.45*r.NormFloat64()))
	s.Values[atGas], s.Values[atSun], s.Values[atShade] = nv(y.gasC(now)), nv(y.sunC(now)), nv(y.shadeC(now))
	if y.spoil != nil {
		y.spoil(s, now)
	}
}

// from lets a fault begin at a time.
func from(atS float64, f func(s *wire.Sample)) func(*wire.Sample, float64) {
	return func(s *wire.Sample, now float64) {
		if now >= atS {
			f(s)
		}
	}
}

// Each fault on its own is found by its right name on its channel, in time.
func TestWatchFindsFaults(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	held := int32(0)
	freeze := func(at int, fromS float64) func(*wire.Sample, float64) {
		return func(s *wire.Sample, now float64) {
			if now < fromS {
				held = s.Values[at]
			}
			s.Values[at] = held
		}
	}
	for _, tt := range []struct {
		name    string
		make    func() *synthetic
		atS     float64
		channel int
		want    Health
		withinS float64
		forS    float64
	}{
		{"open", func() *synthetic {
			y := standing()
			y.spoil = from(40, func(s *wire.Sample) { s.Values[atGas] = wire.ValueMissing })
			return y
		}, 40, gasBead, HealthOpen, 0.1, 60},
		{"pressure short to ground", func() *synthetic {
			y := standing()
			y.spoil = from(40, func(s *wire.Sample) { s.Values[atPressure] = 1 })
			return y
		}, 40, pressure, HealthShortGround, 0.1, 60},
		{"pressure short to supply", func() *synthetic {
			y := standing()
			y.spoil = from(40, func(s *wire.Sample) { s.Values[atPressure] = 4095 })
			return y
		}, 40, pressure, HealthShortSupply, 0.1, 60},
		{"pressure at its rail", func() *synthetic {
			y := standing()
			y.spoil = from(40, func(s *wire.Sample) { s.Values[atPressure] = 4040 })
			return y
		}, 40, pressure, HealthAtRail, 0.1, 60},
		{"gas leads reversed", func() *synthetic {
			y := filling()
			y.spoil = from(0, func(s *wire.Sample) { s.Values[atGas] = -s.Values[atGas] })
			return y
		}, 30, gasBead, HealthReversed, 12, 80},
		{"wall leads reversed", func() *synthetic {
			y := filling()
			y.spoil = from(0, func(s *wire.Sample) { s.Values[atSun] = -s.Values[atSun] })
			return y
		}, 30, sun, HealthReversed, 45, 90},
		{"gas leads touch", func() *synthetic {
			y := filling()
			y.spoil = from(0, func(s *wire.Sample) { s.Values[atGas] = int32(900 * r.NormFloat64()) })
			return y
		}, 30, gasBead, HealthShorted, 12, 80},
		{"thermocouple frozen", func() *synthetic {
			y := standing()
			y.spoil = freeze(atSun, 40)
			return y
		}, 40, sun, HealthFrozen, 6, 60},
		{"pressure frozen in a hold", func() *synthetic {
			y := filling()
			y.spoil = freeze(atPressure, 75)
			return y
		}, 75, pressure, HealthFrozen, 40, 130},
		{"cold junction frozen", func() *synthetic {
			y := standing()
			y.airC = func(s float64) float64 { return 22 + s/500 }
			y.coldC = func(s float64) float64 { return 25 + s/500 }
			y.spoil = func(s *wire.Sample, _ float64) { s.Values[atCold] = 25000 }
			return y
		}, 0, coldEnd, HealthFrozen, 1300, 1400},
		{"single spike", func() *synthetic {
			y := standing()
			y.spoil = func(s *wire.Sample, now float64) {
				if now == 40 {
					s.Values[atGas] += 2e6
				}
			}
			return y
		}, 40, gasBead, HealthJump, 0.05, 60},
		{"bad contact", func() *synthetic {
			y := standing()
			y.spoil = from(40, func(s *wire.Sample) {
				if r.Float64() < 0.2 {
					s.Values[atPressure] += 900
				}
			})
			return y
		}, 40, pressure, HealthJump, 3, 60},
		{"noise grown", func() *synthetic {
			y := standing()
			y.spoil = from(100, func(s *wire.Sample) { s.Values[atShade] += int32(6e4 * r.NormFloat64()) })
			return y
		}, 100, shade, HealthNoisy, 20, 150},
		{"drifts apart", func() *synthetic {
			y := standing()
			y.gasC = func(s float64) float64 { return 22 + math.Max(s-950, 0)*0.02 }
			return y
		}, 950, gasBead, HealthDrift, 460, 1500},
		{"logger in the sun", func() *synthetic {
			y := standing()
			y.coldC = func(s float64) float64 { return 25 + math.Min(math.Max(s-100, 0)/60*1.5, 20) }
			return y
		}, 100, coldEnd, HealthColdDoubt, 660, 900},
		{"draught on the logger", func() *synthetic {
			y := standing()
			y.coldC = func(s float64) float64 { return 25 - math.Min(math.Max(s-100, 0)/60*6, 6) }
			return y
		}, 100, coldEnd, HealthColdDoubt, 60, 200},
		{"gas probe hangs outside", func() *synthetic {
			y := filling()
			y.gasC = steady(22)
			return y
		}, 30, gasBead, HealthContradicts, 25, 80},
		{"gas hotter than the pressure allows", func() *synthetic {
			y := standing()
			y.gasC = func(s float64) float64 { return 22 + math.Min(math.Max(s-40, 0), 30) }
			return y
		}, 40, gasBead, HealthContradicts, 25, 80},
	} {
		t.Run(tt.name, func(t *testing.T) {
			hz := 20.0
			if tt.forS > 300 {
				hz = 2
			}
			got, ok := tt.make().drive(t, hz, tt.forS)[tt.channel]
			must.Be(t, ok && got.as == tt.want && got.timeS >= tt.atS && got.timeS <= tt.atS+tt.withinS,
				"found %v as %q at %.1f s; want %q from %.1f to %.1f s", ok, got.as, got.timeS, tt.want, tt.atS, tt.atS+tt.withinS)
		})
	}
}

// A sound fill and a sound hold raise nothing, and reversed leads that were
// mended are believed again.
func TestWatchIsQuiet(t *testing.T) {
	if got := filling().drive(t, 20, 300); len(got) != 0 {
		t.Errorf("found %v", got)
	}
	// A bead by the inlet warms with the first gas and is blown cold again.
	y := filling()
	y.gasC = func(s float64) float64 { return 22 + 4*math.Max(0, 1-math.Abs(s-33)/3) }
	if got := y.drive(t, 20, 80); len(got) != 0 {
		t.Errorf("by the inlet: found %v", got)
	}
	// A vent: everything the other way.
	y = filling()
	bar, gas := y.bar, y.gasC
	y.bar = func(s float64) float64 { return bar(s) * math.Min(math.Max((200-s)/30, 0), 1) }
	y.gasC = func(s float64) float64 { return gas(s) - 25*math.Min(math.Max((s-170)/20, 0), 1) }
	if got := y.drive(t, 20, 300); len(got) != 0 {
		t.Errorf("vent: found %v", got)
	}
	// A fast vent leaves the gas 40 K colder than the wall: it warms at the wall's cost.
	y = standing()
	y.bar = func(s float64) float64 { return 38 * math.Min(math.Max((180-s)/80, 0), 1) }
	y.gasC = func(s float64) float64 {
		return 30 - 50*math.Min(math.Max((s-100)/80, 0), 1)*math.Exp(-math.Max(s-180, 0)/25)
	}
	y.sunC = func(s float64) float64 { return 38 - 16*math.Min(math.Max((s-100)/140, 0), 1) }
	y.shadeC = func(s float64) float64 { return 35 - 16*math.Min(math.Max((s-100)/140, 0), 1) }
	if got := y.drive(t, 20, 300); len(got) != 0 {
		t.Errorf("after a fast vent: found %v", got)
	}
}

// A jump of the pressure is shown at once, with a doubt: a burst hose must be
// seen.
func TestJumpThatStays(t *testing.T) {
	y := standing()
	y.bar = func(s float64) float64 {
		if s < 40 {
			return 40
		}
		return 2
	}
	b := NewBank(vessel.Invented(), nil)
	must.Do(t, errors.Join(b.Hello(ploverHello())...))
	r := rand.New(rand.NewPCG(1, 2))
	s := &wire.Sample{N: 6}
	for i := range 20 * 41 {
		now := float64(i) / 20
		y.sample(t, s, r, now)
		b.Sample(s, now)
		got := b.Readings()[pressure]
		near := got.Health == HealthGood && math.Abs(got.Value-y.bar(now)*1e5) < 1e4
		doubted := got.Doubt == HealthJump
		must.Be(t, near && doubted == (now >= 40 && now < 40.475), "at %.2f s: %q, doubt %q, %v Pa", now, got.Health, got.Doubt, got.Value)
	}
}

// Another type than the profile says is named when a point is known; near the
// cold junction nobody can tell.
func TestLikelyKind(t *testing.T) {
	for _, wired := range []vessel.Kind{vessel.KindJ, vessel.KindE, vessel.KindN} {
		hot, err1 := EMF(wired, zeroCK+99.97)
		cold, err2 := EMF(wired, zeroCK+25)
		must.Need(t, err1 == nil && err2 == nil, "%v %v", err1, err2)
		if got, ok := LikelyKind(vessel.KindK, hot-cold, zeroCK+25, zeroCK+99.97); !ok || got != wired {
			t.Errorf("%s is taken for %s, %v", wired, got, ok)
		}
		if got, ok := LikelyKind(wired, hot-cold, zeroCK+25, zeroCK+99.97); ok {
			t.Errorf("a sound %s is taken for %s", wired, got)
		}
		if got, ok := LikelyKind(vessel.KindK, 1e-5, zeroCK+25, zeroCK+25); ok {
			t.Errorf("at the cold junction it is a %s", got)
		}
	}
}
