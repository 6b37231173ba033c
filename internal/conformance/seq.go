package conformance

import (
	"fmt"

	"fillwright/internal/wire"
)

// seqWatch follows seq beside the decoder: how it goes wrong tells the mistake.
type seqWatch struct {
	lost, repeated uint64
	frames         int
	stood          int // another frame with the same seq
	single         int // next in its type's own count, and not in the common one
	any            bool
	last           uint8
	ofType         map[wire.Type]uint8
}

func (s *seqWatch) add(f *wire.Frame) {
	if f.Type < 0x01 || f.Type > 0x3f {
		return
	}
	s.frames++
	own, seen := s.ofType[f.Type]
	switch {
	case !s.any || f.Seq == s.last+1:
	case f.Seq == s.last:
		s.stood++
	case seen && f.Seq == own+1:
		s.single++
	}
	if s.ofType == nil {
		s.ofType = map[wire.Type]uint8{}
	}
	s.any, s.last, s.ofType[f.Type] = true, f.Seq, f.Seq
}

// pause tells that the next frame belongs to a count of its own.
func (s *seqWatch) pause() {
	s.any = false
	clear(s.ofType)
}

func judgeSeq(x *Exam) (Verdict, string) {
	s := &x.seqs
	switch {
	case s.stood > s.frames/4:
		return Wrong, fmt.Sprintf("seq stands still: %d of %d frames have the seq of the one before", s.stood, s.frames)
	case s.single > 2:
		return Wrong, fmt.Sprintf("each type seems to have a count of its own (%d times); there is one over all frames", s.single)
	case s.lost > 0 && len(x.damage) == 0:
		return Wrong, fmt.Sprintf("seq leaves out %d numbers, and no damaged frame tells why", s.lost)
	case s.lost > 0:
		return Wrong, fmt.Sprintf("%d frames lost on the line", s.lost)
	}
	return Right, fmt.Sprintf("no gap in %d frames", s.frames)
}

func judgeRepeats(x *Exam) (Verdict, string) {
	if n := x.seqs.repeated; n > 0 {
		return Wrong, fmt.Sprintf("%d frames came twice, byte for byte; a logger gives each its own seq (a bridge may repeat them, too)", n)
	}
	return Right, "no frame came twice"
}
