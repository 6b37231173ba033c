package wording

import (
	"fmt"
	"strings"

	"fillwright/internal/quantity"
)

// The rules: an order is a verb with its object; what is the case is told with
// its numbers; nothing promises safety. A reason begins small and has no full
// stop: the screen makes a sentence of it. Units are those of the arguments' names.

// Reasons of the planner.

func WallWouldPeak(peakK, bandK, limitK float64) Text {
	return say("wall would peak at {}, limit {}", about(peakK, bandK, 0), degrees(limitK, 0))
}

// NoFaster is a reason with what keeps a first ramp from being faster before it.
func NoFaster(why, reason Text) Text { return say("{}; {}", inner(why), inner(reason)) }

func FastestLearned(rampPaS float64) Text {
	return say("fastest fill learned from: {}", ramp(rampPaS))
}

func TopUpWouldPeak(peakK, bandK, limitK float64) Text {
	return say("below target; wall would peak at {}, limit {}", about(peakK, bandK, 0), degrees(limitK, 0))
}

func SunAlone(peakK, limitK float64, remedy Text) Text {
	return say("the sun alone may bring the wall to {}, limit {}: {}", degrees(peakK, 0), degrees(limitK, 0), inner(remedy))
}

// WallUnread is for a sun of which no reading has spoken.
func WallUnread(peakK, limitK float64) Text {
	return say("nobody has read the wall: it may be at {}, limit {}: read the sunny side", degrees(peakK, 0), degrees(limitK, 0))
}

// EvenSlowest tells the peak of the slowest fill; where only its band reaches the
// limit, that it may.
func EvenSlowest(peakK, bandK, limitK float64, remedy Text) Text {
	would := say("would take the wall to {}", about(peakK, bandK, 0))
	if peakK < limitK {
		would = say("may take the wall to {}", degrees(peakK+bandK, 0))
	}
	return say("even the slowest fill {}, limit {}: {}", inner(would), degrees(limitK, 0), inner(remedy))
}

func ShadeIsNotEnough(forS, ambientK float64) Text {
	return say("shading it for {} is not enough in air of {}", words(Minutes(forS)), degrees(ambientK, 0))
}

func ShadeUntil(wallK, inS float64) Text {
	return say("shade it until the wall is at {}, about {}", degrees(wallK, 0), words(Minutes(inS)))
}

func GoingOnIsTooWarm(limitK float64) Text {
	return say("going on may take the wall past {}: shut the supply and wait", degrees(limitK, 0))
}

func TooFast(rampPaS, peakK, limitK float64) Text {
	return say("at {} the wall may reach {}, limit {}", ramp(rampPaS), degrees(peakK, 0), degrees(limitK, 0))
}

func MayStayFull(forS float64) Text {
	return say("at target; the vessel may stay full {}, then vent it, or shade it from a distance", words(Minutes(forS)))
}

func TooWarmToGoOn(limitK float64) Text {
	return say("wall too warm to go on: limit {}", degrees(limitK, 0))
}

// LetItVent tells the coldest gas of a vent whose opening is left as it is.
func LetItVent(coldK float64) Text {
	return say("Let it vent. Keep your distance. Left so, gas falls to about {}", degrees(coldK, 0))
}

var (
	LetItVentOnly     = Words("Let it vent. Keep your distance")
	LetItVentWarms    = Words("Let it vent. Keep your distance. Left so, the gas gets little colder")
	HandTime          = Words("faster leaves no time to react")
	ShadeIt           = Words("shade it, and keep it shaded")
	TargetReached     = Words("target reached: shut the supply")
	MayNotStayFull    = Words("at target, and too warm to stay full: vent it, or shade it from a distance")
	MayStayFullAlways = Words("at target; the vessel may stay full")
	NoWall            = Words("no estimate of the wall: shut the supply")
	WaitingForLogger  = Words("waiting for the logger")
	NoSession         = Words("no session yet")
)

// Reasons of the monitor, which go over the planner's.

func ShutBecause(why Text) Text { return say("{}: shut the supply", inner(why)) }

func ReadingsAreOld(ageS float64) Text {
	return say("readings are {} s old: shut the supply until they come", number(ageS, 0))
}

func NotKnown(what string) Text { return say("the {} is not known: shut the supply", words(what)) }

func MayPeakOver(peakK, limitK float64) Text {
	return say("the wall may peak at {}, limit {}: shut the supply and wait", degrees(peakK, 0), degrees(limitK, 0))
}

func RampNow(rampPaS, mostPaS float64) Text {
	return say("now {}, at most {}", ramp(rampPaS), ramp(mostPaS))
}

func ReachedOnset(atS float64) Text {
	return say("the wall may have reached onset under pressure, at {}", words(quantity.Clock(atS)))
}

var (
	NoPressure       = Words("no trustworthy pressure: shut the supply")
	NoPressureInVent = Words("no trustworthy pressure: look at a second gauge")
	DataJustBack     = Words("readings have only just come back: keep the supply shut")
	VentIsSaid       = Words("it is said to be vented: keep the supply shut")
	RampNotKnown     = Words("it is not known yet how fast gas comes in: shut the supply until it is")
	NoGasBeforeFill  = Words("no trustworthy gas temperature: a fill would be blind")
	NoGasInHold      = Words("no trustworthy gas temperature: keep the supply shut")
	LetItSettle      = Words("let the gas settle before a top-up")
	MayLeak          = Words("gas may be leaking: no more gas until that is known")
	NoMargin         = Words("no margin is left between wall and onset: shade it, or read it again")
	LoggerFromTheNew = Words("another logger: it is judged from the start")
)

// Causes of alarms.

func NoReading(forS float64) Text { return say("no reading for {} s", number(forS, 0)) }

func WatchIsQuiet(forS float64) Text {
	return say("nothing has come from the watch for {} s: nothing is known here; ask the operator", number(forS, 0))
}

func FillingWithout(what Text) Text { return say("filling without trustworthy {}", inner(what)) }

// What a fill goes on without, after FillingWithout.

func DataBut(why Text) Text { return say("data: {}", inner(why)) }

var (
	Data           = Words("data")
	ThePressure    = Words("pressure")
	GasTemperature = Words("gas temperature")
)

func SensorIll(channel int, name, what string) Text {
	return Words(fmt.Sprintf("channel %d, %s: %s", channel, name, what))
}

func GoingBy(station string) Text { return say("; going by the {} sensor", words(station)) }

func PressureAndLimit(pa, limitPa float64) Text {
	return say("{}, vessel limit {}", pressure(pa, 1), pressure(limitPa, 1))
}

func PressureAboutLimit(pa, zeroBandPa, limitPa float64) Text {
	return say("{}, vessel limit {}", pressureAbout(pa, zeroBandPa, 1), pressure(limitPa, 1))
}

func Pressure(pa float64) Text { return say(gap, pressure(pa, 1)) }

func Hottest(k, bandK, onsetK float64) Text {
	return say("hottest {}, onset {}", about(k, bandK, 1), degrees(onsetK, 1))
}

func TooLate(hottest Text) Text {
	const late = "stopping later may take the wall to the onset"
	if hottest.Empty() {
		return Words(late)
	}
	return say(late+"; {}", inner(hottest))
}

func MayReachShut(peakK, onsetK float64) Text {
	return say("with the supply shut the wall may still reach {}, onset {}", degrees(peakK, 1), degrees(onsetK, 1))
}

func StayFullMore(s float64) Text {
	if s < 1 {
		return Words("the vessel may not stay full any longer")
	}
	return say("the vessel may stay full {} s more", number(s, 0))
}

func GasAt(k float64) Text { return say("gas {}", degrees(k, 0)) }

func StillComesIn(rampPaS float64) Text {
	return say("gas still comes in at {}, and none is advised", ramp(rampPaS))
}

func Losing(rateKgS, bandKgS float64) Text {
	decimals := int8(quantity.Decimals(bandKgS * 6e4))
	return say("losing {} ± {} g/min", number(rateKgS*6e4, decimals), number(bandKgS*6e4, decimals))
}

func LosingLooked(losing Text) Text { return losing.And(Words("; a second look is under way")) }

func LosingCalled(losing Text) Text { return losing.And(Words(" when it was called")) }

func LosingUnasked(rampPaS float64) Text {
	return say("losing {}, and the cause is not known", ramp(rampPaS))
}

func LostUnsaid(fromPa float64) Text {
	return say("it lost gas from {} on, and nobody said that it was vented", pressure(fromPa, 1))
}

func ReadingImpossible(k float64, station string) Text {
	return say("{} at {} can't be: read again, or take it back", degrees(k, 1), words(station))
}

func ReadingColder(k float64, station string) Text {
	return say("{} at {} is colder than estimated: read again", degrees(k, 1), words(station))
}

func SideSoft(warm, cool string, share, limit float64) Text {
	return Words(fmt.Sprintf("%s side keeps %.0f %% of the stiffness of the %s side, limit %.0f %%", warm, 100*share, cool, 100*limit))
}

func OtherLogger(change string) Text {
	return say("the logger is not the one from before: {}", words(change))
}

var LogLost = Words("the run log can't be written")

// Why the band is wide.

func OtherVessel(name string) Text {
	return Words(fmt.Sprintf("the model is of another vessel, %q", name))
}

func Doubtful(role, means string) Text { return say("{}: {}", words(role), words(means)) }

func PressureScatters(pa float64) Text { return say("the pressure scatters by {}", pressure(pa, 2)) }

func ProbeScatters(k float64) Text { return say("the gas probe scatters by {}", difference(k, 1)) }

func NoSensorAt(station string) Text { return say("no trustworthy sensor at {}", words(station)) }

func Disagree(who string) Text {
	return say("{} and the estimate differ by more than its band", words(who))
}

func OtherSupply(inflow string) Text {
	return say("no supply reading as in the fills behind the model (inflow {})", words(inflow))
}

var (
	ProbeTooHot     = Words("gas probe reads hotter than the pressure allows")
	ProbeTooCold    = Words("gas probe reads colder than the pressure allows")
	NoGasProbe      = Words("no trustworthy gas probe: by pressure alone")
	OneGasProbe     = Words("one of the two gas probes is not trustworthy")
	ByProbeAlone    = Words("no trustworthy pressure: by the gas probe alone, the vessel taken as shut")
	NoAir           = Words("no trustworthy air temperature")
	NoSupplyLearned = Words("model learned without supply readings")
)

// Events.

func AlarmRaised(level, name string, cause Text) Text {
	return say("{} {}: {}", words(level), words(name), inner(cause))
}

func PhaseAt(phase string, pa float64) Text { return say("{} at {}", words(phase), pressure(pa, 1)) }

func BeganWithOpen(items []string) Text {
	return say("filling began with things still to do: {}", words(strings.Join(items, ", ")))
}

// FillOver is the account of a fill; tail is its counts.
func FillOver(forS, peakK, bandK, mostPa, rampPaS float64, tail string) Text {
	return say("fill over after {} s: {}, {}", number(forS, 0),
		inner(say("peak {}, {}, fastest {}", about(peakK, bandK, 1), pressure(mostPa, 1), ramp(rampPaS))), words(tail))
}

func Acknowledged(what string) Text { return say("acknowledged: {}", words(what)) }

func Marked(remark string) Text { return say("mark: {}", words(remark)) }

func SurfaceRead(station string, k float64) Text {
	return say("surface {} read {}", words(station), degrees(k, 1))
}

// What became of a hand-held reading, after SurfaceRead.

func EstimateIs(k float64) Text {
	return say(", not used yet: the estimate is {}; read again, a second such reading counts", degrees(k, 1))
}

func HotterThan(k float64) Text {
	return say(", hotter than the {} estimated: the estimate follows it", degrees(k, 1))
}

var (
	NotPossible     = Words(", not used: sun, air and gas do not allow it; read again, or take it back")
	SecondToSaySo   = Words(", the second to say so: the estimate follows it")
	IgnoredTooEarly = Words(", ignored: no pressure and gas temperature yet")
)

func TargetRefused(pa, limitPa float64) Text {
	return say("target {} refused: vessel limit is {}", pressure(pa, 1), pressure(limitPa, 1))
}

func Target(pa float64) Text { return say("target {}", pressure(pa, 1)) }

func UnknownItem(name string) Text {
	return Words(fmt.Sprintf("confirmation of an unknown item %q ignored", name))
}

func Confirmed(name string, yes bool) Text {
	if !yes {
		return say("confirmation taken back: {}", words(name))
	}
	return say("confirmed: {}", words(name))
}

func NoSuchReminder(what string) Text { return say("no such reminder: {}", words(what)) }

func ReminderEnded(what string) Text { return say("reminder ended: {}", words(what)) }

func ReminderRhythm(what string, leastS, mostS int) Text {
	return say("reminder {} refused: every {} s to {} s", words(what), number(float64(leastS), 0), number(float64(mostS), 0))
}

func TooManyReminders(what string, most int) Text {
	return say("reminder {} refused: {} are the most", words(what), number(float64(most), 0))
}

func ReminderSet(everyS float64, what string) Text {
	return say("reminder every {} s: {}", number(everyS, 0), words(what))
}

func SecondLookFound(rateKgS, bandKgS float64, verdict Text) Text {
	return say("second look: {}: {}", inner(Losing(rateKgS, bandKgS)), inner(verdict))
}

func FramesLost(now, all uint64) Text {
	return Words(fmt.Sprintf("frames were lost on the way: %d, in all %d; check cable and ground", now, all))
}

func LoggerChanged(change string) Text {
	return say("the logger has changed: {}; it is judged from the start", words(change))
}

func LoggerRestarted(why string) Text { return say("the logger has started again: {}", words(why)) }

// OffsetK and OffsetPa are what is taken off a channel, with its day.
func OffsetK(channel int, k float64, date string) string {
	return offset(channel, signed(k, "°C"), date)
}

func OffsetPa(channel int, pa float64, date string) string {
	return offset(channel, signed(pa/1e5, "bar"), date)
}

func offset(channel int, size, date string) string {
	if date != "" {
		size += " of " + date
	}
	return fmt.Sprintf("channel %d %s", channel, size)
}

func OffsetsTakenOff(parts []string) Text {
	return say("offsets taken off: {}", words(strings.Join(parts, ", ")))
}

func NoOffsetsHere(board string) Text {
	return say("none of the offsets is for this logger, {}", words(board))
}

var (
	OtherOnPort       = Words("another logger answers on this port: check that it is this vessel's")
	LoggerAccepted    = Words("the logger is accepted as it is now")
	EstimateAnew      = Words("the pressure changed while no readings came: the estimate starts again")
	UnknownStation    = Words("surface reading of an unknown station ignored")
	NothingToUndo     = Words("nothing to undo: no surface reading in the last ten minutes")
	TakenBackAnew     = Words("surface reading taken back; the estimate had begun anew since it, or not begun")
	TakenBack         = Words("surface reading taken back")
	VentTakenBack     = Words("taken back: that it is being vented")
	VentSaid          = Words("said: it is being vented")
	ReminderOfNothing = Words("reminder of nothing ignored")
	NoLeakCalled      = Words("second look ignored: no leak was called")
	MustStandShut     = Words("second look refused: the vessel must stand shut for it")
	DidNotStand       = Words("second look refused: the vessel did not stand")
	SecondLookBegins  = Words("second look for the leak begins; the call stands until it ends")
	LeakStands        = Words("the leak stands")
	LeakTakenBack     = Words("the leak is taken back")
	LeakNotTold       = Words("it can't tell; the leak stands")
)
