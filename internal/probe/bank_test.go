package probe

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

// ploverHello is the table of the logger on the invented vessel, with the
// channels out of the profile's order.
func ploverHello() *wire.Hello {
	h := &wire.Hello{Protocol: wire.Version, Board: 0x5A17C0DE, RateMHz: 50000}
	for _, c := range []wire.Channel{
		{Index: 4, Kind: wire.KindMilliCelsius},
		{Index: 5, Kind: wire.KindMilliCelsius},
		{Index: 0, Kind: wire.KindCounts, Scale: 4095},
		{Index: 1, Kind: wire.KindNanovolt},
		{Index: 2, Kind: wire.KindNanovolt},
		{Index: 3, Kind: wire.KindNanovolt},
	} {
		h.Channels[h.N] = c
		h.N++
	}
	return h
}

// Places in ploverHello's samples.
const (
	atCold = iota
	atAmbient
	atPressure
	atGas
	atSun
	atShade
)

// nanovolts is what a K thermocouple gives with its terminals at coldC, from
// the reference function, in the logger's unit.
func nanovolts(t testing.TB, tempC, coldC float64) int32 {
	t.Helper()
	hot, err1 := EMF(vessel.KindK, tempC+zeroCK)
	cold, err2 := EMF(vessel.KindK, coldC+zeroCK)
	must.Do(t, errors.Join(err1, err2))
	return int32(math.Round((hot - cold) * 1e9))
}

// calm is a sample in good health: terminals 25 °C, ambient 23 °C, 2047.5
// counts of 4095 are 2.5 V, that is 50 bar on 0.5 to 4.5 V for 100 bar.
func calm(t testing.TB) *wire.Sample {
	s := &wire.Sample{N: 6}
	s.Values[atCold], s.Values[atAmbient], s.Values[atPressure] = 25000, 23000, 2048
	s.Values[atGas], s.Values[atSun], s.Values[atShade] = nanovolts(t, 40, 25), nanovolts(t, 35, 25), nanovolts(t, 28, 25)
	return s
}

// bank is the example's Bank after its hello and one calm sample at 0 s.
func bank(t testing.TB, off *Offsets) (*Bank, *wire.Sample) {
	t.Helper()
	b := NewBank(vessel.Invented(), off)
	must.Do(t, errors.Join(b.Hello(ploverHello())...))
	s := calm(t)
	b.Sample(s, 0)
	return b, s
}

const (
	pressure = iota // places in the profile
	gasBead
	sun
	shade
	coldEnd
	ambient
)

func wantHealth(t *testing.T, b *Bank, i int, want Health) {
	t.Helper()
	r := b.Readings()[i]
	must.Be(t, r.Health == want, "channel %d (%s) is %q, want %q", r.Channel, r.Role, r.Health, want)
	good := want == HealthGood
	must.Be(t, good != math.IsNaN(r.Value), "channel %d (%s) is %q with value %v", r.Channel, r.Role, r.Health, r.Value)
}

// Raw values become K and gauge Pa, in the profile's order, whatever the
// logger's order.
func TestBankValues(t *testing.T) {
	b, s := bank(t, nil)
	want := []Reading{
		{Channel: 0, Role: vessel.RolePressure, Kind: vessel.KindRatiometric, Raw: 2048, Value: (2048.0/4095*5 - 0.5) / 4 * 100e5},
		{Channel: 1, Role: vessel.RoleGas, Kind: vessel.KindK, Raw: s.Values[atGas], Value: 313.15},
		{Channel: 2, Role: vessel.RoleWall, Kind: vessel.KindK, Station: "sun", Raw: s.Values[atSun], Value: 308.15},
		{Channel: 3, Role: vessel.RoleWall, Kind: vessel.KindK, Station: "shade", Raw: s.Values[atShade], Value: 301.15},
		{Channel: 4, Role: vessel.RoleColdJunction, Kind: vessel.KindCelsius, Raw: 25000, Value: 298.15},
		{Channel: 5, Role: vessel.RoleAmbient, Kind: vessel.KindCelsius, Raw: 23000, Value: 296.15},
	}
	for i := range want {
		want[i].Health, want[i].LastGood = HealthGood, want[i].Value
	}
	// A nanovolt is 25 µK on type K.
	d := cmp.Diff(want, b.Readings(), cmpopts.EquateApprox(0, 2e-5))
	must.Be(t, d == "", "%v", d)
}

// Before the first hello nothing is known, and nothing is good.
func TestBankBeforeHello(t *testing.T) {
	b := NewBank(vessel.Invented(), nil)
	b.Fault(&wire.Fault{Code: wire.FaultOpen, Channel: 1})
	b.Sample(calm(t), 0)
	b.Advance(10)
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthUnknown)
	}
}

// Pressure by hand, for each kind of sensor: zero, half and full scale, and
// the ends of health (0.1 and 4.9 V of 5 V; NAMUR NE 43 from memory).
func TestPressureSensors(t *testing.T) {
	tests := []struct {
		kind   vessel.Kind
		raw    int32
		bar    float64
		health Health
	}{
		{vessel.KindRatiometric, 1000, 0, HealthGood}, // scale 10000 on 5 V: 0.5 mV a count
		{vessel.KindRatiometric, 5000, 50, HealthGood},
		{vessel.KindRatiometric, 9000, 100, HealthGood},
		{vessel.KindRatiometric, 9799, 109.9875, HealthGood},
		{vessel.KindRatiometric, 9801, 0, HealthAtRail},
		{vessel.KindRatiometric, 199, 0, HealthAtRail},
		{vessel.KindRatiometric, 0, 0, HealthShortGround},
		{vessel.KindRatiometric, -5, 0, HealthShortGround},
		{vessel.KindRatiometric, 10000, 0, HealthShortSupply},
		{vessel.KindRatiometric, 950, -0.625, HealthGood},      // part of a vacuum is possible
		{vessel.KindRatiometric, 500, -6.25, HealthOutOfRange}, // less than nothing is not
		{vessel.KindRatiometric, wire.ValueMissing, 0, HealthOpen},
		{vessel.KindLoop, 4000, 0, HealthGood},
		{vessel.KindLoop, 12000, 50, HealthGood},
		{vessel.KindLoop, 20000, 100, HealthGood},
		{vessel.KindLoop, 3850, -0.9375, HealthGood},
		{vessel.KindLoop, 3700, 0, HealthOutOfRange},
		{vessel.KindLoop, 3599, 0, HealthAtRail},
		{vessel.KindLoop, 0, 0, HealthAtRail},
		{vessel.KindLoop, 20499, 103.11875, HealthGood},
		{vessel.KindLoop, 20600, 0, HealthOutOfRange},
		{vessel.KindLoop, 21001, 0, HealthAtRail},
		{vessel.KindGauge, 4100000, 41, HealthGood},
		{vessel.KindGauge, 0, 0, HealthGood},
		{vessel.KindGauge, -300000, 0, HealthOutOfRange},
		{vessel.KindGauge, 30000000, 0, HealthOutOfRange},
	}
	for _, tt := range tests {
		p := vessel.Invented()
		p.Channels = p.Channels[:1]
		p.Channels[0].Kind = tt.kind
		if tt.kind == vessel.KindGauge {
			p.Channels[0].FullScale = 0
		}
		b := NewBank(p, nil)
		h := &wire.Hello{N: 1}
		h.Channels[0] = wire.Channel{Kind: WireKind(tt.kind), Scale: 10000}
		must.Do(t, errors.Join(b.Hello(h)...))
		s := &wire.Sample{N: 1}
		s.Values[0] = tt.raw
		b.Sample(s, 0)
		wantHealth(t, b, 0, tt.health)
		got := b.Readings()[0].Value
		must.Be(t, tt.health != HealthGood || math.Abs(got-tt.bar*1e5) <= 1e-6, "%s %d: %v Pa, want %v bar", tt.kind, tt.raw, got, tt.bar)
	}
}

// Each way for a reading to be ill, on its own, and what it leaves alone.
func TestHealth(t *testing.T) {
	tests := []struct {
		name string
		make func(b *Bank, s *wire.Sample)
		ill  int
		want Health
	}{
		{"open thermocouple", func(_ *Bank, s *wire.Sample) { s.Values[atGas] = wire.ValueMissing }, gasBead, HealthOpen},
		{"input at its rail", func(_ *Bank, s *wire.Sample) { s.Values[atGas] = 78e6 }, gasBead, HealthOpen},
		{"negative rail", func(_ *Bank, s *wire.Sample) { s.Values[atSun] = -78e6 }, sun, HealthOpen},
		{"wall too hot", func(_ *Bank, s *wire.Sample) { s.Values[atSun] = nanovolts(t, 251, 25) }, sun, HealthOutOfRange},
		{"wall too cold", func(_ *Bank, s *wire.Sample) { s.Values[atSun] = nanovolts(t, -61, 25) }, sun, HealthOutOfRange},
		{"gas too cold", func(_ *Bank, s *wire.Sample) { s.Values[atGas] = nanovolts(t, -101, 25) }, gasBead, HealthOutOfRange},
		{"gas too hot", func(_ *Bank, s *wire.Sample) { s.Values[atGas] = nanovolts(t, 251, 25) }, gasBead, HealthOutOfRange},
		{"ambient blank", func(_ *Bank, s *wire.Sample) { s.Values[atAmbient] = wire.ValueMissing }, ambient, HealthOpen},
		{"ambient too hot", func(_ *Bank, s *wire.Sample) { s.Values[atAmbient] = 81000 }, ambient, HealthOutOfRange},
		{"pressure wire broken", func(_ *Bank, s *wire.Sample) { s.Values[atPressure] = 3 }, pressure, HealthShortGround},
		{"supply low", func(_ *Bank, s *wire.Sample) { s.Flags = wire.FlagSupplyLow }, pressure, HealthFault},
		{"open, says the logger", func(b *Bank, _ *wire.Sample) { b.Fault(&wire.Fault{Code: wire.FaultOpen, Channel: 1}) }, gasBead, HealthOpen},
		{"short, says the logger", func(b *Bank, _ *wire.Sample) { b.Fault(&wire.Fault{Code: wire.FaultShort, Channel: 2}) }, sun, HealthShort},
		{"converter silent", func(b *Bank, _ *wire.Sample) { b.Fault(&wire.Fault{Code: wire.FaultADC, Channel: 3}) }, shade, HealthFault},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b, s := bank(t, nil)
			tt.make(b, s)
			b.Sample(s, 0.02)
			for i := range b.Readings() {
				want := HealthGood
				if i == tt.ill {
					want = tt.want
				}
				wantHealth(t, b, i, want)
			}
			if r := b.Readings()[tt.ill]; tt.want != HealthGood && (r.TimeS != 0 || math.IsNaN(r.LastGood)) {
				t.Errorf("last good is %v at %v s, want the value at 0 s", r.LastGood, r.TimeS)
			}
		})
	}
}

// Without a cold junction no thermocouple is good; the rest goes on. A cold
// junction that skips samples is held for StaleS, a senseless one is not.
func TestColdJunction(t *testing.T) {
	thermos := func(t *testing.T, b *Bank, want Health) {
		t.Helper()
		for _, i := range []int{gasBead, sun, shade} {
			wantHealth(t, b, i, want)
		}
		wantHealth(t, b, pressure, HealthGood)
	}
	t.Run("fault flag", func(t *testing.T) {
		b, s := bank(t, nil)
		s.Flags = wire.FlagColdJunctionFault
		b.Sample(s, 0.02)
		thermos(t, b, HealthNoColdJunction)
		s.Flags = 0
		b.Sample(s, 0.04)
		thermos(t, b, HealthGood)
	})
	t.Run("skips samples", func(t *testing.T) {
		b, s := bank(t, nil)
		s.Values[atCold] = wire.ValueMissing
		b.Sample(s, 0.9)
		thermos(t, b, HealthGood)
		b.Sample(s, 1.1)
		thermos(t, b, HealthNoColdJunction)
	})
	t.Run("senseless", func(t *testing.T) {
		b, s := bank(t, nil)
		s.Values[atCold] = 120000
		b.Sample(s, 0.02)
		wantHealth(t, b, coldEnd, HealthOutOfRange)
		thermos(t, b, HealthNoColdJunction)
	})
	t.Run("compensated by the logger", func(t *testing.T) {
		p := vessel.Invented()
		for i := range p.Channels {
			p.Channels[i].Compensated = p.Channels[i].Kind.Thermocouple()
		}
		b := NewBank(p, nil)
		must.Do(t, errors.Join(b.Hello(ploverHello())...))
		s := calm(t)
		s.Values[atCold] = wire.ValueMissing
		s.Values[atGas] = nanovolts(t, 40, 0)
		b.Sample(s, 0)
		must.Near(t, "gas K", b.Readings()[gasBead].Value, 313.15, 1e-4)
	})
}

// Silence makes every reading stale after StaleS, and one good sample makes
// it good again. The last good value stays for the record.
func TestStale(t *testing.T) {
	b, s := bank(t, nil)
	b.Advance(1)
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthGood)
	}
	b.Advance(1.001)
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthStale)
	}
	r := b.Readings()[ambient]
	must.Be(t, r.LastGood == 296.15 && r.TimeS == 0, "last good %v at %v", r.LastGood, r.TimeS)
	b.Sample(s, 1.5)
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthGood)
	}
	b.StaleS = 0.1
	b.Advance(1.7)
	wantHealth(t, b, pressure, HealthStale)
	// A sample that has lost its last channel ages that one only.
	b.StaleS = 1
	s.N = 5
	b.Sample(s, 2)
	b.Sample(s, 2.6)
	wantHealth(t, b, shade, HealthStale)
	wantHealth(t, b, sun, HealthGood)
}

// A fault frame counts from at once until the logger has stopped repeating it.
func TestFaultLasts(t *testing.T) {
	b, s := bank(t, nil)
	b.Fault(&wire.Fault{Code: wire.FaultMemory, Channel: faultChannelAll})
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthFault)
	}
	for now := 0.1; now < faultHoldS; now += 0.1 {
		b.Sample(s, now)
		wantHealth(t, b, pressure, HealthFault)
	}
	b.Sample(s, faultHoldS+0.1)
	for i := range b.Readings() {
		wantHealth(t, b, i, HealthGood)
	}
}

// A logger that does not fit the profile is refused channel by channel, in
// words; what fits goes on.
func TestHelloDisagrees(t *testing.T) {
	tests := []struct {
		name string
		make func(h *wire.Hello)
		bad  int // place in the profile
		text string
	}{
		{"kind", func(h *wire.Hello) { h.Channels[atGas].Kind = wire.KindMilliCelsius }, gasBead,
			`channel 1 (gas, K): the logger sends temperature in millidegrees Celsius, but this kind needs thermocouple emf in nanovolt; write kind = "celsius" in the profile, or change the logger's channel`},
		{"unknown kind", func(h *wire.Hello) { h.Channels[atGas].Kind = 99 }, gasBead, "unknown kind 99"},
		{"missing", func(h *wire.Hello) { h.Channels[atSun].Index = 9 }, sun, "the logger has no channel 2; it has 4, 5, 0, 1, 9, 3"},
		{"no scale", func(h *wire.Hello) { h.Channels[atPressure].Scale = 0 }, pressure, "gives 0 as the count of a full reading"},
		{"short table", func(h *wire.Hello) { h.N = 5 }, shade, "has no channel 3"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := NewBank(vessel.Invented(), nil)
			h := ploverHello()
			tt.make(h)
			errs := b.Hello(h)
			var bad *BindError
			must.Need(t, len(errs) == 1 && errors.As(errs[0], &bad) && strings.Contains(errs[0].Error(), tt.text) && bad.Do != "", "got %v", errs)
			b.Sample(calm(t), 0)
			b.Advance(5)
			for i := range b.Readings() {
				want := HealthStale
				if i == tt.bad {
					want = HealthUnbound
				}
				wantHealth(t, b, i, want)
			}
			must.Do(t, errors.Join(b.Hello(ploverHello())...))
			b.Sample(calm(t), 6)
			wantHealth(t, b, tt.bad, HealthGood)
		})
	}
	h := ploverHello()
	h.N = 1000 // must not be believed
	if errs := NewBank(vessel.Invented(), nil).Hello(h); errs != nil {
		t.Errorf("an overlong table: %v", errs)
	}
	h.N = 0
	if errs := NewBank(vessel.Invented(), nil).Hello(h); len(errs) != 6 || !strings.Contains(errs[0].Error(), "it has none") {
		t.Errorf("an empty table: %v", errs)
	}
}

// The hello that comes every five seconds changes nothing; another board's
// forgets everything.
func TestHelloAgain(t *testing.T) {
	b, _ := bank(t, nil)
	before := append([]Reading(nil), b.Readings()...)
	must.Do(t, errors.Join(b.Hello(ploverHello())...))
	d := cmp.Diff(before, b.Readings())
	must.Be(t, d == "", "%v", d)
	h := ploverHello()
	h.Board++
	must.Do(t, errors.Join(b.Hello(h)...))
	for i, r := range b.Readings() {
		wantHealth(t, b, i, HealthUnknown)
		must.Be(t, math.IsNaN(r.LastGood) && math.IsNaN(r.TimeS), "channel %d remembers another board: %+v", i, r)
	}
}

// A gas colder than its limits is believed, and alarmed on elsewhere.
func TestColdGasIsBelieved(t *testing.T) {
	b, s := bank(t, nil)
	s.Values[atGas] = nanovolts(t, -90, 25)
	b.Sample(s, 3)
	wantHealth(t, b, gasBead, HealthGood)
}

// A value depends on its sample, not on what came before. What came before
// only ever takes a value away.
func TestBankIsPure(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		long, s := bank(t, nil)
		draw := func() {
			for i := range s.N {
				s.Values[i] = rapid.Int32Range(-8e6, 60e6).Draw(rt, "raw")
			}
			s.Values[atCold] = rapid.Int32Range(-39000, 84000).Draw(rt, "cold")
		}
		n := rapid.IntRange(1, 20).Draw(rt, "n")
		for i := range n {
			draw()
			long.Sample(s, float64(i)*0.02)
		}
		fresh := NewBank(vessel.Invented(), nil)
		fresh.Hello(ploverHello())
		fresh.Sample(s, float64(n-1)*0.02)
		for i, r := range fresh.Readings() {
			q := long.Readings()[i]
			if q.Health == HealthJump || q.Health == HealthFrozen {
				continue
			}
			if r.Health != q.Health || math.Float64bits(r.Value) != math.Float64bits(q.Value) {
				rt.Fatalf("channel %d: %v %v after history, %v %v without", i, q.Value, q.Health, r.Value, r.Health)
			}
		}
	})
}

// Every health has its words; only the good one needs no advice.
func TestHealthWords(t *testing.T) {
	seen := map[string]bool{}
	for h := range Health(len(healthWords)) {
		must.Be(t, h.String() != "" && !seen[h.String()] && (h == HealthGood) == (h.Means() == "") && (h == HealthGood) == (h.Do() == ""),
			"health %d: %q, %q, %q", h, h, h.Means(), h.Do())
		seen[h.String()] = true
	}
	must.Be(t, Health(200).String() == HealthUnknown.String(), "a health out of the list")
}

// Taking in a sample does not allocate.
func TestSampleDoesNotAllocate(t *testing.T) {
	b, s := bank(t, nil)
	now := 0.0
	if n := testing.AllocsPerRun(100, func() {
		now += 0.02
		b.Sample(s, now)
		b.Advance(now)
		must.Be(t, b.Readings()[0].Health == HealthGood, "not good")
	}); n != 0 {
		t.Errorf("%v allocations a sample", n)
	}
}
