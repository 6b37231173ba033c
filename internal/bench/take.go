package bench

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"fillwright/internal/bath"
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
// the reading retyped; why says why. All false for the other ways.
func (b *Bench) Wants() (vented, retype bool, why string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.view.Way != bath.WayZero || len(b.view.Results) == 0 {
		return false, false, ""
	}
	g, why := b.bath.Gate(&b.view.Results[0])
	return g != bath.GateShut, g == bath.GateRetype, why
}

// Take writes what was found into the offsets file and says what it wrote, one
// line each. Refused sensors are left as they were. A span check corrects
// nothing and goes into the history alone.
func (b *Bench) Take(c Consent) (lines []string, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	v := &b.view
	switch {
	case !v.Done:
		return nil, errors.New("nothing to write yet: the sensors have not come to rest")
	case !v.BoardKnown:
		return nil, errors.New("nothing is written: the logger has not said who it is")
	}
	date, remark := b.cfg.Now().Format(time.DateOnly), b.remark(c.Remark)
	var fresh []probe.Offset
	for i := range v.Results {
		r := &v.Results[i]
		if math.IsNaN(r.Offset) || r.Refused != "" && v.Way != bath.WaySpan {
			continue
		}
		o, err := b.correction(r, c, date, remark)
		if err != nil {
			return nil, err
		}
		fresh = append(fresh, o)
	}
	if len(fresh) == 0 {
		return nil, errors.New("nothing is written: no sensor came to a result")
	}
	lines, err = b.keep(fresh)
	if err == nil {
		v.Written = strings.Join(lines, "; ")
		b.refresh()
	}
	return lines, err
}

// correction is what goes into the file for one result.
func (b *Bench) correction(r *bath.Result, c Consent, date, remark string) (probe.Offset, error) {
	if b.view.Way == bath.WayZero {
		if err := b.bath.PassZero(r, c.Vented, c.Retyped); err != nil {
			return probe.Offset{}, err
		}
	}
	o := b.bath.Correction(r, b.view.Board, date, remark)
	if !b.view.Second {
		return o, nil
	}
	if r.Last == nil {
		return o, fmt.Errorf("channel %d has no first point in %s; find one first, without the second point", r.Channel, b.cfg.Card.File)
	}
	return bath.TwoPoints(*r.Last, o)
}

// keep puts fresh corrections into the file.
func (b *Bench) keep(fresh []probe.Offset) (lines []string, err error) {
	if b.view.Way == bath.WaySpan {
		if err := b.cfg.Card.Note(fresh[0]); err != nil {
			return nil, err
		}
		return []string{"the span check stands in the history of " + b.cfg.Card.File + "; it corrects nothing"}, nil
	}
	moved, err := b.cfg.Card.Put(fresh)
	if err != nil {
		return nil, err
	}
	if moved != "" {
		lines = append(lines, "the history had grown long and lies in "+moved+" now")
	}
	return append(lines, fmt.Sprintf("%d of %d offsets written to %s", len(fresh), len(b.view.Results), b.cfg.Card.File)), nil
}

// remark marks what a pretended logger said.
func (b *Bench) remark(typed string) string {
	typed = strings.TrimSpace(b.cfg.Pretence + " " + typed)
	if r := []rune(typed); len(r) > remarkMost {
		typed = string(r[:remarkMost])
	}
	return typed
}

const remarkMost = 120

// Line is a result in one line, for plain output: the sensor, what it reads
// too much, how sure, and what is to be said about it.
func Line(r *bath.Result, u quantity.System) []string {
	name := fmt.Sprintf("channel %d %s", r.Channel, r.Name())
	if r.Refused != "" {
		out := []string{fmt.Sprintf("%s: REFUSED: %s.", name, r.Refused)}
		if r.Do != "" {
			out = append(out, "  "+r.Do)
		}
		return out
	}
	out := []string{fmt.Sprintf("%s: reads %s too much, ± %s (k = %.2f)", name, Amount(r, r.Offset, u), strings.TrimPrefix(Amount(r, r.U, u), "+"), r.K)}
	for _, m := range r.Remarks {
		out = append(out, "  "+m)
	}
	return out
}

// Amount prints a difference of the result's quantity with two decimals.
func Amount(r *bath.Result, x float64, u quantity.System) string {
	if r.Kind.Pressure() {
		return fmt.Sprintf("%+.2f %s", u.PressureValue(x), u.PressureUnit())
	}
	if x != x {
		return quantity.Unknown
	}
	return fmt.Sprintf("%+.2f %s", u.DifferenceValue(x), u.TemperatureUnit())
}
