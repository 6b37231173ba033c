package wallmodel

import (
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/quantity"
	"fillwright/internal/thermal"
	"fillwright/internal/vessel"
)

// A model shows that no fill behind it read a long vessel's far end: it is as unsure of
// that end as before. Where a sensor stood there it is surer, a short vessel has no such end,
// and of the handbook nobody expects a reading.
func TestFarUnread(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what    string
		slender float64
		fills   []string
		share   float64 // of what is not known of an end that nobody read
		want    bool
		taught  bool
	}{
		{"never read", 10, []string{"a"}, 1, true, false},
		{"read", 10, []string{"a"}, 0.5, false, true},
		{"short", 4, []string{"a"}, 1, false, false},
		{"handbook", 10, nil, 1, false, false},
	} {
		v := vessel.Invented()
		v.Length = quantity.Length(c.slender * float64(v.InnerDiameter))
		l := HandbookFor(v)
		l.Fills = c.fills
		_, sigma := PriorUnread(v, l.Variant, thermal.ParFar)
		l.Cov[thermal.ParFar][thermal.ParFar] = c.share * c.share * sigma * sigma
		must.Equal(t, l.FarUnread(v), c.want, "%s: unread", c.what)
		must.Equal(t, l.FarTaught(v), c.taught, "%s: taught", c.what)
	}
	read := vessel.Invented()
	read.Length = 10 * read.InnerDiameter
	read.Stations[0].End = vessel.EndFar
	l := HandbookFor(read)
	l.Fills = []string{"a"}
	must.Be(t, !l.FarUnread(read), "what handbooks say of an end that is read counts as unread")
}
