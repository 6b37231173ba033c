package run

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"fillwright/internal/calibrate"
	"fillwright/internal/probe"
	"fillwright/internal/quantity"
)

// Consent is what the operator says before offsets are written.
type Consent struct {
	Vented  bool   // the vessel is vented: for a pressure zero
	Retyped string // the sensor's reading retyped, where gas may be trapped
	Remark  string
}

// Wants says what a zero still wants: the word that the vessel is vented, and
// the reading retyped; why says why. All false for the other methods.
func (r *Run) Wants() (vented, retype bool, why string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.view.Method != calibrate.MethodZero || len(r.view.Results) == 0 {
		return false, false, ""
	}
	g, why := r.cal.Gate(&r.view.Results[0])
	return g != calibrate.GateShut, g == calibrate.GateRetype, why
}

// Take writes what was found into the offsets file and says what it wrote.
// Refused sensors are left as they were. A span check corrects nothing and goes
// into the history alone.
func (r *Run) Take(c Consent) (said string, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, file := &r.view, r.cfg.File
	switch {
	case !v.Done:
		return "", errors.New("nothing to write yet: the sensors have not come to rest")
	case !v.BoardKnown:
		return "", errors.New("nothing is written: the logger has not said who it is")
	}
	span := v.Method == calibrate.MethodSpan
	remark := []rune(strings.TrimSpace(r.cfg.Pretence + " " + c.Remark))
	remark = remark[:min(len(remark), remarkMost)]
	var fresh []probe.Offset
	for i := range v.Results {
		q := &v.Results[i]
		if math.IsNaN(q.Offset) || q.Refused != "" && !span {
			continue
		}
		o, err := r.correction(q, c, string(remark))
		if err != nil {
			return "", err
		}
		fresh = append(fresh, o)
	}
	switch {
	case len(fresh) == 0:
		return "", errors.New("nothing is written: no sensor came to a result")
	case span:
		said, err = "the span check stands in the history of "+file.Name+"; it corrects nothing", file.Note(fresh[0])
	default:
		said, err = fmt.Sprintf("%d of %d offsets written to %s", len(fresh), len(v.Results), file.Name), file.Put(fresh)
	}
	if err != nil {
		return "", err
	}
	v.Written = said
	r.refresh()
	return said, nil
}

// correction is what goes into the file for one result.
func (r *Run) correction(q *calibrate.Result, c Consent, remark string) (probe.Offset, error) {
	if r.view.Method == calibrate.MethodZero {
		if err := r.cal.PassZero(q, c.Vented, c.Retyped); err != nil {
			return probe.Offset{}, err
		}
	}
	o := r.cal.Correction(q, r.view.Board, r.cfg.Now().Format(time.DateOnly), remark)
	switch {
	case !r.view.Second:
		return o, nil
	case q.Last == nil:
		return o, fmt.Errorf("channel %d has no first point in %s; find one first, without the second point", q.Channel, r.cfg.File.Name)
	}
	return calibrate.TwoPoints(*q.Last, o)
}

const remarkMost = 120 // runes

// Lines is a result in lines for people: the sensor, what it reads too much and
// how sure that is, and what is to be said about it.
func Lines(q *calibrate.Result, u quantity.System) []string {
	name := fmt.Sprintf("channel %d %s", q.Channel, q.Name())
	if q.Refused != "" {
		return append([]string{fmt.Sprintf("%s: REFUSED: %s.", name, q.Refused)}, q.Do)
	}
	value, unit := u.DifferenceValue, u.TemperatureUnit()
	if q.Kind.Pressure() {
		value, unit = u.PressureValue, u.PressureUnit()
	}
	return append([]string{fmt.Sprintf("%s: reads %+.2f %s too much, ± %.2f %s (k = %.2f)", name, value(q.Offset), unit, value(q.U), unit, q.K)}, q.Remarks...)
}
