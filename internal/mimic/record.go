package mimic

import (
	"fmt"

	"fillwright/internal/vessel"
)

// Record runs a scene as fast as it goes. wire gets the bytes of each frame
// that the logger sends (valid during the call) before the vessel goes on, so
// that a monitor fed from it can advise the operator of the same run; truth,
// which may be nil, gets a row at the start and every RowEveryS. The first
// error of either ends the run.
func Record(p *vessel.Profile, sc Scene, o Options, wire func([]byte) error, truth func(Row) error) error {
	if err := o.check(); err != nil {
		return err
	}
	d, err := NewDevice(p, sc, o)
	if err != nil {
		return err
	}
	length := o.ForS
	if length <= 0 {
		length = sc.ForS
	}
	if !(length > 0) {
		return fmt.Errorf("mimic: scene %q does not say how long it runs; give a time", sc.Name)
	}
	var failed error
	emit := func(b []byte) {
		if failed == nil {
			failed = wire(b)
		}
	}
	for row := 0; failed == nil; row++ {
		at := float64(row) * o.RowEveryS
		d.Advance(min(at, length), emit)
		if failed == nil && truth != nil {
			failed = truth(d.State())
		}
		if at >= length {
			break
		}
	}
	if failed != nil {
		return fmt.Errorf("mimic: scene %q stopped at %.1f s: %w", sc.Name, d.TimeS(), failed)
	}
	return nil
}
