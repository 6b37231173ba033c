package main

import (
	"io"

	"fillwright/internal/mimic"
	"fillwright/internal/runlog"
	"fillwright/internal/session"
	"fillwright/internal/wire"
)

// offlineMost is the most bytes of a recording that is kept in memory: a day
// at 20 Hz.
const offlineMost = 128 << 20

// mimicOffline records a scene into a new run log. The same seed gives the same
// file: the host's clock stays out of it.
func (t *terminal) mimicOffline(o *mimicFlags, scene mimic.Scene, opt mimic.Options, listener *session.Listener) error {
	var frames []byte
	take := func(b []byte) error {
		if len(frames)+len(b) > offlineMost {
			return usage("the recording is longer than can be kept").hint("give a shorter --for or a lower --rate")
		}
		frames = append(frames, b...)
		if !o.follow {
			return nil
		}
		_, err := listener.Write(b)
		return err
	}
	told := t.begin("recording "+o.log, false)
	lengthS := opt.ForS
	if lengthS <= 0 {
		lengthS = scene.ForS
	}
	err := t.withTruth(o, func(truth *mimic.TruthFile) error {
		return mimic.Record(o.profile, scene, opt, take, func(r mimic.Row) error {
			told.at(r.TimeS / lengthS)
			if truth == nil {
				return nil
			}
			return truth.Write(r)
		})
	})
	told.end()
	if err != nil {
		return err
	}
	src := &kept{frames: frames}
	n, err := runlog.WriteLog(o.log, wire.LogStart{App: wire.MakeLabel(release)}, &o.texts, src)
	if err == nil {
		t.note("%s: %d frames of an invented fill, scene %s, seed %d; show it with: fillwright replay %s", o.log, n, scene.Name, o.seed, o.log)
	}
	return err
}

// kept gives the good frames of what came over the pretended cable.
type kept struct {
	frames []byte
	dec    wire.Decoder
	queue  []wire.Frame
}

// Next implements recording.Source.
func (k *kept) Next() (wire.Frame, error) {
	for len(k.queue) == 0 {
		if len(k.frames) == 0 {
			return wire.Frame{}, io.EOF
		}
		n := min(len(k.frames), 64<<10)
		k.dec.Aligned = true
		k.dec.Decode(k.frames[:n], func(f wire.Frame) { k.queue = append(k.queue, f.Clone()) })
		k.frames = k.frames[n:]
	}
	f := k.queue[0]
	k.queue = k.queue[1:]
	return f, nil
}
