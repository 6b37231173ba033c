package wire

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
