package conformance

import (
	"fmt"
	"math"

	"fillwright/internal/wire"
)

const (
	faultAll    = 255
	faultSoonMS = 1200 // a fault frame has to come so soon after a reading is missing
	faultOftMS  = 500
	faultLateMS = 1600
)

// faultWatch holds fault frames against missing values.
type faultWatch struct {
	frames    int
	badCode   string
	lastMS    [256]int64 // device time of the last one of each channel
	valued    [256]int   // values since then
	missed    [256]int   // missing ones since then
	withValue map[uint8]bool
	unsent    map[uint8]bool
	often     int
	late      int
	paired    int
	missSince [wire.ChannelMost]int64 // device time; −1: not missing
}

func (w *faultWatch) init() {
	w.withValue, w.unsent = map[uint8]bool{}, map[uint8]bool{}
	for i := range w.lastMS {
		w.lastMS[i] = math.MinInt64 / 2
	}
	for i := range w.missSince {
		w.missSince[i] = -1
	}
}

func (x *Exam) takeFault(body []byte) {
	var f wire.Fault
	if err := wire.ParseFault(body, &f); err != nil {
		x.spoilt(wire.TypeFault, err)
		return
	}
	w := &x.faults
	w.frames++
	if (f.Code < wire.FaultOpen || f.Code > wire.FaultMemory) && f.Code != wire.FaultUnknown {
		w.badCode = fmt.Sprintf("code %d has no meaning", uint8(f.Code))
	}
	if x.known && f.Channel != faultAll && !x.has(f.Channel) {
		w.badCode = fmt.Sprintf("channel %d is not in the hello", f.Channel)
	}
	ms := int64(f.TimeMS)
	since := ms - w.lastMS[f.Channel]
	if since >= 0 && since < faultLateMS*4 {
		w.paired++
		switch {
		case since < faultOftMS:
			w.often++
		case since > faultLateMS && w.valued[f.Channel] == 0:
			w.late++
		}
		lost := f.Code == wire.FaultOpen || f.Code == wire.FaultShort || f.Code == wire.FaultADC
		if lost && since < faultLateMS && w.valued[f.Channel] > w.missed[f.Channel] {
			w.withValue[f.Channel] = true
		}
	}
	w.lastMS[f.Channel], w.valued[f.Channel], w.missed[f.Channel] = ms, 0, 0
}

func (x *Exam) has(index uint8) bool {
	for i := range x.hello.N {
		if x.hello.Channels[i].Index == index {
			return true
		}
	}
	return false
}

// faultsOfSample is told of each value; only those of thermocouples and
// of converters that can fail are followed.
func (x *Exam) faultsOfSample(i int, ms int64, missing bool) {
	if !x.known || i >= x.hello.N || x.format == printing {
		return
	}
	w, index := &x.faults, x.hello.Channels[i].Index
	if !missing {
		w.valued[index]++
		w.missSince[i] = -1
		return
	}
	w.missed[index]++
	if w.missSince[i] < 0 || ms < w.missSince[i] {
		w.missSince[i] = ms
		return
	}
	told := max(w.lastMS[index], w.lastMS[faultAll])
	// A device time near 0: the channel is not ready yet.
	if ms-w.missSince[i] > faultSoonMS && told < ms-2*faultSoonMS && ms > freshMS {
		w.unsent[index] = true
	}
}

func judgeFaultBody(x *Exam) (Verdict, string) {
	switch {
	case x.faults.badCode != "":
		return Wrong, x.faults.badCode
	case x.faults.frames == 0:
		return NotSeen, "nothing was faulty: pull a thermocouple during the check"
	}
	return Right, fmt.Sprintf("%d fault frames, of known codes and channels", x.faults.frames)
}

func judgeFaultValue(x *Exam) (Verdict, string) {
	if len(x.faults.withValue) > 0 {
		return Wrong, fmt.Sprintf("channels with a fault still have values: %v; the value must be missing", keys(x.faults.withValue))
	}
	if x.faults.paired == 0 {
		return NotSeen, "no fault lasted"
	}
	return Right, "a channel with a fault has no value"
}

func judgeFaultSent(x *Exam) (Verdict, string) {
	if len(x.faults.unsent) > 0 {
		return LeftOut, fmt.Sprintf("channels without a reading and without a fault frame: %v", keys(x.faults.unsent))
	}
	if x.faults.frames == 0 {
		return NotSeen, "nothing was faulty: pull a thermocouple during the check"
	}
	return Right, "a missing reading is told by a fault frame"
}

func judgeFaultPeriod(x *Exam) (Verdict, string) {
	w := &x.faults
	switch {
	case w.often > 1:
		return Wrong, fmt.Sprintf("fault frames of one channel come within half a second, %d times; wanted is one a second", w.often)
	case w.late > 1:
		return Wrong, fmt.Sprintf("a fault that lasts is told too seldom, %d times; wanted is one a second", w.late)
	case w.paired == 0:
		return NotSeen, "no fault lasted"
	}
	return Right, "once a second while it lasts"
}

func keys(m map[uint8]bool) []int {
	var out []int
	for i := range 256 {
		if m[uint8(i)] {
			out = append(out, i)
		}
	}
	return out
}
