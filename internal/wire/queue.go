package wire

// Queue keeps the frames that one piece of input gave, with copies of
// their bodies, until they are asked for.
type Queue struct {
	frames []Frame
	bodies []byte
	at     int
}

// Push keeps a frame. It is only called while the queue is being filled, that
// is, after Reset.
func (q *Queue) Push(f Frame) {
	if q.at == len(q.frames) {
		q.Reset()
	}
	start := len(q.bodies)
	q.bodies = append(q.bodies, f.Body...)
	f.Body = q.bodies[start:len(q.bodies):len(q.bodies)]
	q.frames = append(q.frames, f)
}

// Pop gives the oldest frame.
func (q *Queue) Pop() (Frame, bool) {
	if q.at == len(q.frames) {
		return Frame{}, false
	}
	f := q.frames[q.at]
	q.at++
	return f, true
}

// Reset forgets all.
func (q *Queue) Reset() {
	q.frames, q.bodies, q.at = q.frames[:0], q.bodies[:0], 0
}
