package plan

// Plan is a day with its answer and the remedies compared.
type Plan struct {
	Setup      Setup
	Answer     Answer
	Comparison Comparison
	Sides      string // what the warm side does to the tube; "" where no plies are known
}

// Make works a whole plan out. The setup must be sound.
func Make(s Setup) Plan {
	p := Plan{Setup: s, Answer: Solve(s, DepthFull)}
	p.Comparison = Compare(s, p.Answer.RampPaS)
	p.Sides = s.Sides(&p.Answer)
	return p
}

// AdvisedInS is the time to the target by the advised way: the course where it is
// worth it, else one ramp.
func (a *Answer) AdvisedInS() float64 {
	if a.CourseAdvised() {
		return a.CourseInS
	}
	return a.TargetInS
}

// CourseAdvised says that the course saves enough to be followed in place of one
// ramp.
func (a *Answer) CourseAdvised() bool {
	return a.Verdict != NoGo && len(a.Course) > 1 && a.CourseSaves >= CourseWorth
}

// LeavePaS is the ramp that the verdict gives leave for: none for a no-go, whatever the
// wall alone would bear.
func (a *Answer) LeavePaS() float64 {
	if a.Verdict == NoGo {
		return 0
	}
	return a.RampPaS
}

// OnlyIf is what the word of a plan that is no no-go hangs on: what it does not know,
// and readings that hardly go together.
func (a *Answer) OnlyIf() []string {
	var out []string
	switch {
	case a.Verdict == NoGo:
		return nil
	case !a.Supply.Known:
		out = append(out, "the supply holds enough gas (not said)")
	}
	if a.Odd != "" {
		out = append(out, a.Odd+" read so again")
	}
	return out
}
