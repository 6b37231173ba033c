package runlog

import (
	"errors"
	"math"

	"fillwright/internal/recording"
	"fillwright/internal/wire"
)

// LengthS is the session time of the last sample, NaN for a recording that was
// appended to: there session time begins anew. It reads the recording through
// and goes back to its first frame.
func (r *Reader) LengthS() (float64, error) {
	if err := r.Rewind(); err != nil {
		return math.NaN(), err
	}
	lengthS, err := r.lastS()
	return lengthS, errors.Join(err, r.Rewind())
}

func (r *Reader) lastS() (float64, error) {
	if len(r.parts) > 1 {
		return math.NaN(), nil
	}
	var play recording.Playback
	if err := each(r, func(f wire.Frame) error { play.Step(f); return nil }); err != nil {
		return math.NaN(), err
	}
	return play.Time.LastS(), nil
}
