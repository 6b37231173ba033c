// Package wire encodes and decodes the frames that travel between a logger
// and the host, and that lie in a run log. The protocol is written out in
// firmware-protocol/.
package wire

// Type is a frame's first byte. 0x01..0x3f come from the logger, 0x40..0x7f
// go to it, 0x80 and up are the host's own and only ever lie in a run log.
type Type uint8

// Frame types.
const (
	TypeHello  Type = 0x01
	TypeSample Type = 0x02
	TypeFault  Type = 0x03
	TypePong   Type = 0x04

	TypeAskHello Type = 0x40
	TypeSetRate  Type = 0x41
	TypePing     Type = 0x42

	TypeLogStart Type = 0x80 // first frame of a run log: LogStart
	TypeText     Type = 0x81 // a part of a text that was in force: Text
	TypeClock    Type = 0x82 // the host's clock: Clock
	TypeEntry    Type = 0x83 // something the operator did: Entry
	TypeSilence  Type = 0x84 // no frame came: Silence
	TypeLink     Type = 0x85 // the cable's state changed: Link
	TypeArrival  Type = 0x86 // when what follows came: Arrival
)

// Limits of protocol version 1.
const (
	Version     = 1   // protocol and log version
	ContentMost = 512 // bytes before COBS: type, seq, body, crc
	BodyMost    = ContentMost - 4
	ChannelMost = 16
	LabelMost   = 12 // bytes of a channel's role label
)

// Kind is the unit of a channel's 32-bit value.
type Kind uint8

// Channel kinds on the wire.
const (
	KindNanovolt     Kind = 1 // thermocouple emf, nV
	KindMilliCelsius Kind = 2 // cold junction, ambient or a sensor with its own converter, m°C
	KindCounts       Kind = 3 // ADC counts; Scale is the count of a full-scale reading (4095, say)
	KindMicroampere  Kind = 4 // current loop, µA
	KindPascal       Kind = 5 // gauge pressure from a sensor with its own converter, Pa
)

// ValueMissing in a sample's value means that the logger has no reading
// there (an open thermocouple, a blank cell), not a zero.
const ValueMissing = -1 << 31

// Flags of a sample.
const (
	FlagColdJunctionFault uint16 = 1 << 0
	FlagSupplyLow         uint16 = 1 << 1
	FlagOverrun           uint16 = 1 << 2 // the logger skipped readings before this one
)

// RestartCause says why the logger last started.
type RestartCause uint8

// Restart causes.
const (
	RestartUnknown  RestartCause = 0
	RestartPower    RestartCause = 1
	RestartPin      RestartCause = 2
	RestartWatchdog RestartCause = 3
	RestartBrownOut RestartCause = 4
)

// Label is a short ASCII name, padded with zero bytes.
type Label [LabelMost]byte

// Channel is a row of a hello's channel table.
type Channel struct {
	Index uint8
	Kind  Kind
	Scale int32 // counts: full-scale count; other kinds: 0
	Label Label // role label, for people
}

// Hello introduces a logger. It is sent at start, on request and every 5 s.
type Hello struct {
	Protocol  uint8
	Restart   RestartCause
	Board     uint64 // the board's own number
	Boot      uint16 // differs from one start of the board to the next
	FirmMajor uint8
	FirmMinor uint8
	RateMHz   uint32 // nominal sample rate in millihertz
	N         int    // channels in use
	Channels  [ChannelMost]Channel
}

// Sample holds one reading of every channel, in the order of the hello's table.
type Sample struct {
	TimeMS uint32 // device time, wraps
	Flags  uint16
	N      int
	Values [ChannelMost]int32
}

// FaultCode says what a logger found wrong with itself.
type FaultCode uint8

// Fault codes.
const (
	FaultOpen    FaultCode = 1 // a thermocouple circuit is open
	FaultShort   FaultCode = 2 // an input is shorted to ground or supply
	FaultADC     FaultCode = 3 // a converter does not answer
	FaultMemory  FaultCode = 4
	FaultUnknown FaultCode = 255
)

// Fault is sent when a fault begins and once a second while it lasts.
type Fault struct {
	TimeMS  uint32
	Code    FaultCode
	Channel uint8 // 255: the whole logger
	Detail  int32
}

// Pong answers a ping with the same token and the device time.
type Pong struct {
	Token  uint32
	TimeMS uint32
}

// SetRate asks for a sample rate in millihertz.
type SetRate struct{ RateMHz uint32 }

// Ping asks for a pong.
type Ping struct{ Token uint32 }

// LogStart opens a run log, and opens it again where it was appended to.
type LogStart struct {
	Version uint8
	UnixMS  int64 // host clock
	App     Label // program version, for people
}

// TextKind says which text a Text frame carries a part of.
type TextKind uint8

// Texts in force.
const (
	TextProfile TextKind = 1 // vessel profile, TOML
	TextOffsets TextKind = 2 // offsets, TOML
	TextModel   TextKind = 3 // wall model, TOML
)

// TextPartMost is the most bytes in one part of a text.
const TextPartMost = 400

// Text is part Part of Parts of a text; all parts lie one after the other.
// Data aliases the decoder's memory.
type Text struct {
	Kind        TextKind
	Part, Parts uint16
	Data        []byte
}

// Clock ties the log to the host's clock; it changes no estimate.
type Clock struct{ UnixMS int64 }

// UndoMostS is how long ago a surface reading may lie that EntryUndo takes back.
const UndoMostS = 600.0

// UndoMost is the most surface readings that can be taken back one after the
// other.
const UndoMost = 8

// EntryKind says what the operator did.
type EntryKind uint8

// Operator's entries. Each can change a Snapshot, so each lies in the log.
const (
	EntryAcknowledge EntryKind = 1 // Text: alarm name, empty for all
	EntrySurface     EntryKind = 2 // Station, Value in m°C: a hand-held surface reading
	EntryUndo        EntryKind = 3 // takes the last surface reading back
	EntryMark        EntryKind = 4 // Text: remark
	EntryConfirm     EntryKind = 5 // Text: readiness item confirmed by hand, or "vent": it is being vented
	EntryTarget      EntryKind = 6 // Value in Pa: new target, gauge
	EntryWithdraw    EntryKind = 7 // Text: what is taken back of these, or "leak": look again
	EntryRemind      EntryKind = 8 // Text: what to be reminded of, every Value seconds; 0 ends it

	EntryLast = EntryRemind // the last kind that this version knows
)

// EntryTextMost is the most bytes of an entry's text.
const EntryTextMost = 120

// Entry is one act of the operator, at the session time of the input before it.
type Entry struct {
	Kind    EntryKind
	Station uint8 // index in the profile's stations
	Value   int32
	Text    string
}

// Silence says that no sample that could be read came from the logger for
// AgeMS. The host writes one every SilenceEveryMS while that lasts, so that staleness is in
// the log and a replay finds the same time-outs.
type Silence struct{ AgeMS uint32 }

// SilenceEveryMS is the host's rhythm of Silence frames.
const SilenceEveryMS = 250

// Arrival is the host's steady clock, in milliseconds from any moment on; it
// wraps. The logger's frames behind it came at that time or less than
// ArrivalEveryMS later. The host writes one at least every ArrivalMostMS,
// whatever comes, so that a replay measures the logger's clock and the age of
// every reading as the host did. Logs from before it was written have none.
type Arrival struct{ HostMS uint32 }

// The host's rhythm of Arrival frames: while frames come, and at the least.
const (
	ArrivalEveryMS = 50
	ArrivalMostMS  = 250
)

// LinkState is the state of the cable.
type LinkState uint8

// Link states.
const (
	LinkUp       LinkState = 1
	LinkDown     LinkState = 2
	LinkLogLost  LinkState = 3 // the run log can't be written
	LinkLogBack  LinkState = 4
	LinkLogRoom  LinkState = 5 // the run log is written, and its disk has room
	LinkLogTight LinkState = 6 // the run log is written, and its disk is nearly full
	LinkLogNone  LinkState = 7 // nothing is recorded
)

// Link records a change of the cable or of the log, with a text for people.
type Link struct {
	State LinkState
	Text  string
}

// Frame is one good frame. Body aliases the decoder's memory and is valid
// until the next call; Clone it to keep it.
type Frame struct {
	Type Type
	Seq  uint8
	Body []byte
}

// Clone copies the body too.
func (f Frame) Clone() Frame {
	f.Body = append([]byte(nil), f.Body...)
	return f
}

// Counts is what a decoder has met so far.
type Counts struct {
	Good     uint64 // frames
	Damaged  uint64 // bad COBS, bad CRC, too short
	Oversize uint64 // longer than ContentMost
	Lost     uint64 // gaps in seq of the logger's frames
	Repeated uint64 // same seq, type and body again
}
