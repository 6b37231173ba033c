package wire

import "fmt"

// MakeLabel makes a label of s, cut to LabelMost bytes.
func MakeLabel(s string) Label {
	var l Label
	copy(l[:], s)
	return l
}

// String is the label up to its padding. It came over a cable: whatever is not
// printable ASCII shows as '?', so that it can't upset a terminal.
func (l Label) String() string {
	n := len(l)
	for n > 0 && l[n-1] == 0 {
		n--
	}
	out := l
	for i, b := range out[:n] {
		if b < ' ' || b > '~' {
			out[i] = '?'
		}
	}
	return string(out[:n])
}

var typeNames = map[Type]string{
	TypeHello: "hello", TypeSample: "sample", TypeFault: "fault", TypePong: "pong",
	TypeAskHello: "ask-hello", TypeSetRate: "set-rate", TypePing: "ping",
	TypeLogStart: "log-start", TypeText: "text", TypeClock: "clock",
	TypeEntry: "entry", TypeSilence: "silence", TypeLink: "link",
	TypeArrival: "arrival",
}

// String is the frame's name in the protocol, or its number.
func (t Type) String() string { return name(typeNames, t) }

var kindNames = map[Kind]string{
	KindNanovolt: "nV", KindMilliCelsius: "m°C", KindCounts: "counts",
	KindMicroampere: "µA", KindPascal: "Pa",
}

// String is the kind's unit, or its number.
func (k Kind) String() string { return name(kindNames, k) }

var restartNames = map[RestartCause]string{
	RestartUnknown: "unknown", RestartPower: "power-on", RestartPin: "reset pin",
	RestartWatchdog: "watchdog", RestartBrownOut: "brown-out",
}

// String says in words why the logger started, or gives the number.
func (r RestartCause) String() string { return name(restartNames, r) }

var faultNames = map[FaultCode]string{
	FaultOpen: "open circuit", FaultShort: "short circuit", FaultADC: "converter does not answer",
	FaultMemory: "memory", FaultUnknown: "unknown",
}

// String says in words what is wrong, or gives the number.
func (f FaultCode) String() string { return name(faultNames, f) }

func name[T ~uint8](names map[T]string, v T) string {
	if s, ok := names[v]; ok {
		return s
	}
	return fmt.Sprintf("0x%02x", uint8(v))
}
