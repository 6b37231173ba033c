package wire

import (
	"encoding/binary"
	"fmt"
)

// Bodies are little-endian and packed. A body may be longer than this version
// knows: a newer minor revision appends fields, and readers ignore them.

var le = binary.LittleEndian

const (
	helloBoardAt = 2
	helloBootAt  = 10
	helloSize    = 19 // before the channel table
	channelSize  = 6 + LabelMost
	sampleSize   = 7 // before the values
)

// AppendHello appends a hello frame. h.N above ChannelMost panics.
func AppendHello(dst []byte, seq uint8, h *Hello) []byte {
	mustFit("channels of a hello", h.N, ChannelMost)
	var body [helloSize + ChannelMost*channelSize]byte
	return AppendFrame(dst, TypeHello, seq, appendHelloBody(body[:0], h))
}

func appendHelloBody(b []byte, h *Hello) []byte {
	b = append(b, h.Protocol, byte(h.Restart))
	b = le.AppendUint64(b, h.Board)
	b = le.AppendUint16(b, h.Boot)
	b = append(b, h.FirmMajor, h.FirmMinor)
	b = le.AppendUint32(b, h.RateMHz)
	b = append(b, byte(h.N))
	for i := range h.N {
		c := &h.Channels[i]
		b = append(b, c.Index, byte(c.Kind))
		b = le.AppendUint32(b, uint32(c.Scale))
		b = append(b, c.Label[:]...)
	}
	return b
}

// ParseHello reads a hello's body into h. With
// ErrVersion only h.Protocol is meaningful. A kind this version does not know
// is let through: the channel can't be used, the others can.
func ParseHello(body []byte, h *Hello) error {
	*h = Hello{}
	if err := need(TypeHello, body, "protocol", 1); err != nil {
		return err
	}
	if h.Protocol = body[0]; h.Protocol != Version {
		return bad(TypeHello, "protocol", int(h.Protocol), fmt.Sprint(Version), ErrVersion)
	}
	if err := need(TypeHello, body, "channel count", helloSize); err != nil {
		return err
	}
	h.Restart = RestartCause(body[1])
	h.Board = le.Uint64(body[helloBoardAt:])
	h.Boot = le.Uint16(body[helloBootAt:])
	h.FirmMajor, h.FirmMinor = body[12], body[13]
	h.RateMHz = le.Uint32(body[14:])
	return parseChannels(body, int(body[18]), h)
}

func parseChannels(body []byte, n int, h *Hello) error {
	if n > ChannelMost {
		return outside(TypeHello, "channel count", n, fmt.Sprintf("0 to %d", ChannelMost))
	}
	if err := need(TypeHello, body, "channel table", helloSize+n*channelSize); err != nil {
		return err
	}
	for i := range n {
		row := body[helloSize+i*channelSize:]
		c := &h.Channels[i]
		c.Index, c.Kind, c.Scale = row[0], Kind(row[1]), int32(le.Uint32(row[2:]))
		copy(c.Label[:], row[6:])
		for j := range i {
			if h.Channels[j].Index == c.Index {
				return outside(TypeHello, "channel index", int(c.Index), "each index once")
			}
		}
	}
	h.N = n
	return nil
}

// AppendSample appends a sample frame. s.N above ChannelMost panics.
func AppendSample(dst []byte, seq uint8, s *Sample) []byte {
	mustFit("values of a sample", s.N, ChannelMost)
	var body [sampleSize + ChannelMost*4]byte
	return AppendFrame(dst, TypeSample, seq, appendSampleBody(body[:0], s))
}

func appendSampleBody(b []byte, s *Sample) []byte {
	b = le.AppendUint32(b, s.TimeMS)
	b = le.AppendUint16(b, s.Flags)
	b = append(b, byte(s.N))
	for _, v := range s.Values[:s.N] {
		b = le.AppendUint32(b, uint32(v))
	}
	return b
}

// ParseSample reads a sample's body into s. Values from s.N on are zero.
func ParseSample(body []byte, s *Sample) error {
	*s = Sample{}
	if err := need(TypeSample, body, "value count", sampleSize); err != nil {
		return err
	}
	n := int(body[6])
	if n > ChannelMost {
		return outside(TypeSample, "value count", n, fmt.Sprintf("0 to %d", ChannelMost))
	}
	if err := need(TypeSample, body, "values", sampleSize+4*n); err != nil {
		return err
	}
	s.TimeMS, s.Flags, s.N = le.Uint32(body), le.Uint16(body[4:]), n
	for i := range n {
		s.Values[i] = int32(le.Uint32(body[sampleSize+4*i:]))
	}
	return nil
}

// AppendFault appends a fault frame.
func AppendFault(dst []byte, seq uint8, f Fault) []byte {
	var body [10]byte
	b := le.AppendUint32(body[:0], f.TimeMS)
	b = append(b, byte(f.Code), f.Channel)
	b = le.AppendUint32(b, uint32(f.Detail))
	return AppendFrame(dst, TypeFault, seq, b)
}

// ParseFault reads a fault's body into f. Unknown codes are let through.
func ParseFault(body []byte, f *Fault) error {
	*f = Fault{}
	if err := need(TypeFault, body, "detail", 10); err != nil {
		return err
	}
	*f = Fault{TimeMS: le.Uint32(body), Code: FaultCode(body[4]), Channel: body[5], Detail: int32(le.Uint32(body[6:]))}
	return nil
}

// AppendPong appends a pong frame.
func AppendPong(dst []byte, seq uint8, p Pong) []byte {
	var body [8]byte
	b := le.AppendUint32(body[:0], p.Token)
	return AppendFrame(dst, TypePong, seq, le.AppendUint32(b, p.TimeMS))
}

// ParsePong reads a pong's body into p.
func ParsePong(body []byte, p *Pong) error {
	*p = Pong{}
	if err := need(TypePong, body, "device time", 8); err != nil {
		return err
	}
	*p = Pong{Token: le.Uint32(body), TimeMS: le.Uint32(body[4:])}
	return nil
}

// Requests go from the host to the logger. Their seq is the host's own count.

// AppendAskHello appends a request for a hello. Its body is empty.
func AppendAskHello(dst []byte, seq uint8) []byte {
	return AppendFrame(dst, TypeAskHello, seq, nil)
}

// AppendSetRate appends a request for a sample rate.
func AppendSetRate(dst []byte, seq uint8, r SetRate) []byte {
	var body [4]byte
	return AppendFrame(dst, TypeSetRate, seq, le.AppendUint32(body[:0], r.RateMHz))
}

// ParseSetRate reads a set-rate's body into r. Which rates it can do is the
// logger's to judge; it answers with a hello that names the rate in force.
func ParseSetRate(body []byte, r *SetRate) (err error) {
	r.RateMHz, err = u32(TypeSetRate, body, "rate")
	return err
}

// AppendPing appends a request for a pong.
func AppendPing(dst []byte, seq uint8, p Ping) []byte {
	var body [4]byte
	return AppendFrame(dst, TypePing, seq, le.AppendUint32(body[:0], p.Token))
}

// ParsePing reads a ping's body into p.
func ParsePing(body []byte, p *Ping) (err error) {
	p.Token, err = u32(TypePing, body, "token")
	return err
}
