package vessel

import "math"

// Untouched names what in a profile is still the invented Plover's: its name,
// and the numbers that a wrong advice would come from. All says that nothing of
// these was changed. A vessel may share a number or two with Plover.
func Untouched(p *Profile) (still []string, all bool) {
	plover, err := Parse("the invented vessel", []byte(example))
	if err != nil {
		return nil, false // TestExample proves that it parses
	}
	checks := []struct {
		what string
		same bool
	}{
		{"name", p.Name == plover.Name},
		{"volume", same(p.Volume, plover.Volume)},
		{"wall thickness", same(p.Wall.Thickness, plover.Wall.Thickness)},
		{"onset", same(p.Resin.Onset, plover.Resin.Onset)},
		{"pressure limit", same(p.Limits.Pressure, plover.Limits.Pressure)},
		{"target", same(p.Fill.Target, plover.Fill.Target)},
	}
	for _, c := range checks {
		if c.same {
			still = append(still, c.what)
		}
	}
	return still, len(still) == len(checks)
}

// same is so for two ways to write one number.
func same[T ~float64](a, b T) bool { return math.Abs(float64(a-b)) <= 1e-9*math.Abs(float64(b)) }
