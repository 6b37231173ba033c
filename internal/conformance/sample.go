package conformance

import (
	"fmt"
	"math"
	"strings"

	"fillwright/internal/wire"
)

// segment is a run of samples at one nominal rate, of one session.
type segment struct {
	rateMHz uint32
	unsure  bool    // another rate was asked for, and no hello has answered
	ms      []int64 // device time, unwrapped
	atS     []float64
	over    []bool // flag overrun
	lastMS  uint32
}

func (x *Exam) segment() *segment {
	if len(x.segments) == 0 {
		return nil
	}
	return x.segments[len(x.segments)-1]
}

func (x *Exam) newSegment(unsure bool) {
	if g := x.segment(); g != nil && len(g.ms) == 0 {
		g.unsure = unsure
		return
	}
	if len(x.segments) < eventsMost {
		x.segments = append(x.segments, &segment{unsure: unsure})
	}
}

// channelStats is what the values of a channel were like.
type channelStats struct {
	n, missing, zeros, stand int
	least, most              int32
	nearLeast                int32 // least size of a value that is not zero
}

func (x *Exam) takeSample(body []byte) {
	var s wire.Sample
	if err := wire.ParseSample(body, &s); err != nil {
		x.spoilt(wire.TypeSample, err)
		return
	}
	if len(x.samples) >= samplesMost {
		x.tooMuch = true
		return
	}
	if x.known && s.N != x.hello.N {
		x.otherN++
	}
	x.flagsBad |= s.Flags &^ (wire.FlagColdJunctionFault | wire.FlagSupplyLow | wire.FlagOverrun)
	ms := x.follow(&s)
	x.samples = append(x.samples, s.Flags)
	for i := range s.N {
		x.channels[i].add(s.Values[i])
		x.faultsOfSample(i, ms, s.Values[i] == wire.ValueMissing)
	}
}

// follow puts the sample's time into its segment and gives it unwrapped.
func (x *Exam) follow(s *wire.Sample) int64 {
	if x.segment() == nil {
		x.newSegment(false)
	}
	g := x.segment()
	if len(g.ms) == 0 {
		g.rateMHz = x.hello.RateMHz
		g.ms = append(g.ms, x.firstOf(s.TimeMS))
	} else {
		step := int64(int32(s.TimeMS - g.lastMS))
		if step < 0 {
			x.stepBack(s.TimeMS, g.lastMS)
			x.newSegment(g.unsure)
			g = x.segment()
			g.rateMHz = x.hello.RateMHz
			g.ms = append(g.ms, int64(s.TimeMS))
		} else {
			g.ms = append(g.ms, g.ms[len(g.ms)-1]+step)
		}
	}
	g.lastMS = s.TimeMS
	g.atS = append(g.atS, x.nowS)
	g.over = append(g.over, s.Flags&wire.FlagOverrun != 0)
	x.restartIn.sameSession, x.restartIn.justHello = true, false
	x.lastMS = g.ms[len(g.ms)-1]
	for ; x.undated < len(x.hellos); x.undated++ {
		x.hellos[x.undated].atMS = x.lastMS
	}
	return x.lastMS
}

// firstOf unwraps the time of the first sample of a segment.
func (x *Exam) firstOf(now uint32) int64 {
	last := uint32(uint64(x.lastMS))
	step := int64(int32(now - last))
	switch {
	case len(x.samples) == 0:
		return int64(now)
	case x.restartIn.sameSession && step >= 0:
		return x.lastMS + step
	case x.restartIn.sameSession:
		x.stepBack(now, last)
	case x.format == printing && step < 0 && now >= freshMS:
		x.stepBack(now, last) // of lines the decoder takes it for a restart
	}
	return int64(now)
}

func (c *channelStats) add(v int32) {
	switch v {
	case wire.ValueMissing:
		c.missing++
		return
	case math.MaxInt32, -math.MaxInt32:
		c.stand++
		return
	}
	if c.n == 0 {
		c.least, c.most, c.nearLeast = v, v, math.MaxInt32
	}
	c.n++
	c.least, c.most = min(c.least, v), max(c.most, v)
	if v == 0 {
		c.zeros++
	} else {
		c.nearLeast = min(c.nearLeast, max(v, -v))
	}
}

func judgeSampleThere(x *Exam) (Verdict, string) {
	n := len(x.samples)
	switch {
	case x.tooMuch:
		return Wrong, fmt.Sprintf("more than %d samples: give a shorter recording", samplesMost)
	case n == 0 && x.good == 0:
		return NotSeen, "no frame came"
	case n == 0:
		return Wrong, "no sample came"
	}
	return Right, fmt.Sprintf("%d came", n)
}

func judgeSampleCount(x *Exam) (Verdict, string) {
	if x.otherN > 0 {
		return Wrong, fmt.Sprintf("%d of %d samples have another number of values than the hello's %d channels", x.otherN, len(x.samples), x.hello.N)
	}
	return Right, fmt.Sprintf("%d values each, as in the hello", x.hello.N)
}

func judgeFlags(x *Exam) (Verdict, string) {
	var over, supply, cold int
	for _, flags := range x.samples {
		over += int(flags >> 2 & 1)
		supply += int(flags >> 1 & 1)
		cold += int(flags & 1)
	}
	switch {
	case x.flagsBad != 0:
		return Wrong, fmt.Sprintf("flags 0x%04x are set, which have no meaning", x.flagsBad)
	case over+supply+cold > 0:
		return Right, fmt.Sprintf("known ones; samples with cold junction faulty: %d, supply low: %d, overrun: %d", cold, supply, over)
	}
	return Right, "none is set"
}

// What a value may be, by its kind. Beyond these it has another unit, or no
// sensor. Emf: the most of any letter is 76.4 mV (type E, NIST Monograph 175).
const (
	nanovoltMost    = 80_000_000
	milliDegreesLow = -90_000
	milliDegreesTop = 200_000
	microampereMost = 25_000
	pascalLeast     = -120_000
	wholeDegrees    = 150 // m°C that never go beyond look like °C
	wholeMilliamps  = 25
)

func judgeRange(x *Exam) (Verdict, string) {
	var said []string
	for i := range x.hello.N {
		c, s := &x.hello.Channels[i], &x.channels[i]
		if s.n == 0 {
			continue
		}
		if what := outside(c, s); what != "" {
			said = append(said, fmt.Sprintf("channel %d (%s): %s", c.Index, c.Label, what))
		}
	}
	if len(said) > 0 {
		return Wrong, strings.Join(said, "; ")
	}
	return Right, "every value is possible in its unit"
}

func outside(c *wire.Channel, s *channelStats) string {
	span := fmt.Sprintf("%d to %d", s.least, s.most)
	size := max(s.most, -s.least)
	switch c.Kind {
	case wire.KindNanovolt:
		if size > nanovoltMost {
			return span + " nV, and no thermocouple makes more than 80 mV"
		}
	case wire.KindMilliCelsius:
		if s.zeros < s.n && size <= wholeDegrees {
			return span + " m°C: this looks like °C"
		}
		if s.least < milliDegreesLow || s.most > milliDegreesTop {
			return span + " m°C can't be a junction or the air"
		}
	case wire.KindCounts:
		if c.Scale > 0 && (s.least < 0 || s.most > c.Scale) {
			return fmt.Sprintf("%s counts, of 0 to %d", span, c.Scale)
		}
	case wire.KindMicroampere:
		if s.zeros < s.n && size <= wholeMilliamps {
			return span + " µA: this looks like mA"
		}
		if s.least < -100 || s.most > microampereMost {
			return span + " µA is no current loop's"
		}
	case wire.KindPascal:
		if s.least < pascalLeast {
			return span + " Pa is below a vacuum"
		}
	}
	return ""
}

// judgeStandIn looks for numbers that stand for no reading.
func judgeStandIn(x *Exam) (Verdict, string) {
	var said, gone []string
	for i := range x.hello.N {
		c, s := &x.hello.Channels[i], &x.channels[i]
		thermal := c.Kind == wire.KindNanovolt || c.Kind == wire.KindMilliCelsius
		switch {
		case s.stand > 0:
			said = append(said, fmt.Sprintf("channel %d: full scale %d times", c.Index, s.stand))
		case thermal && s.zeros > 0 && s.zeros < s.n && s.nearLeast > zeroFar(c.Kind):
			said = append(said, fmt.Sprintf("channel %d: 0 in the midst of other values %d times", c.Index, s.zeros))
		case s.missing > 0:
			gone = append(gone, fmt.Sprintf("channel %d: %d", c.Index, s.missing))
		}
	}
	switch {
	case len(said) > 0:
		return Wrong, strings.Join(said, "; ") + "; where there is no reading, −2147483648 is sent"
	case len(gone) > 0:
		return Right, "missing readings are called missing (" + strings.Join(gone, ", ") + ")"
	}
	return Right, "no number stands for a missing reading"
}

// zeroFar is how far from zero all other values lie when a zero is no reading:
// about a degree.
func zeroFar(k wire.Kind) int32 {
	if k == wire.KindNanovolt {
		return 40_000
	}
	return 1_000
}
