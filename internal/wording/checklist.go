package wording

import (
	"fmt"
	"strings"
)

// What was found for the list before a fill, or what to do; short. The rules
// are those of sentences.go.

func NotRead(channel int) Text {
	return Words(fmt.Sprintf("channel %d has not been read yet", channel))
}

func CheckChannel(channel int, k float64) Text {
	return say("channel {} reads {}: check it", number(float64(channel), 0), degrees(k, 0))
}

func CheckBoth(gasK, ambientK float64) Text {
	return say("gas {}, ambient {}: check both", degrees(gasK, 0), degrees(ambientK, 0))
}

func AllOf(n int) Text { return Words(fmt.Sprintf("all %d", n)) }

func Within(pa float64) Text { return say("within {}", pressure(pa, 2)) }

func ZeroOff(pa float64) Text { return say("reads {}: vent, or take a new zero", pressure(pa, 1)) }

func ReadByHand(stations []string) Text {
	return Words("read by hand: " + strings.Join(stations, ", "))
}

func LearnedFromOther(name string) Text {
	return Words(fmt.Sprintf("it was learned from the vessel %q", name))
}

func LearnedFrom(fills int) Text { return Words(fmt.Sprintf("learned from %d fills", fills)) }

func TargetAndLimit(pa, limitPa float64) Text {
	return say("{}, limit {}", pressure(pa, 1), pressure(limitPa, 1))
}

func NoOffsetOf(channel int) Text {
	return Words(fmt.Sprintf("channel %d has none on this logger", channel))
}

func OldestDays(days int) Text { return say("the oldest is {} days old", number(float64(days), 0)) }

func AtMostDays(days int) Text { return say("at most {} days old", number(float64(days), 0)) }

var (
	LookThenConfirm = Words("look, then confirm")
	TestThenConfirm = Words("test it, then confirm")
	IsConfirmed     = Words("confirmed")
	NoReadingYet    = Words("no reading yet")
	NoNewReadings   = Words("no new readings: check the cable")
	NoPressureYet   = Words("no pressure yet")
	FarNeverRead    = Words("no fill read the far end: wide band; put a sensor there in one, and learn from it")
	HandbookValues  = Words("handbook values: nothing learned of it, wide band")
	Unknown         = Words("not known")
	NoWallYet       = Words("no estimate of the wall yet")
	CoolEnough      = Words("cool enough at the advised ramp")
	ShadeOrCool     = Words("shade or cool it")
	NoOffsetsFile   = Words("no offsets file was given")
	NoNumberYet     = Words("the logger's number is not known yet")
	NoneWanted      = Words("no sensor wants one")
	SomeUndated     = Words("some have no date")
	NoDate          = Words("today's date is not known")
	FutureDate      = Words("dated in the future: check the clock")
)

// WallReadBy names the stations that a sensor reads, and those read by hand.
func WallReadBy(sensor, hand []string) Text {
	var how []string
	if sensor != nil {
		how = append(how, "by sensor: "+strings.Join(sensor, ", "))
	}
	if hand != nil {
		how = append(how, "by hand: "+strings.Join(hand, ", "))
	}
	return Words(strings.Join(how, "; "))
}
