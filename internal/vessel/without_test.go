package vessel

import (
	"testing"

	"fillwright/internal/must"
)

// Leaving the wall sensors out takes them and nothing else, and leaves the
// profile itself as it was.
func TestWithoutWall(t *testing.T) {
	p := must.Get(Parse("example", []byte(Example())))(t)
	n := len(p.Channels)
	q := p.WithoutWall()
	_, has := q.ChannelOf(RoleWall)
	must.Be(t, !has && len(q.Channels) == n-2 && len(p.Channels) == n, "%d of %d channels left", len(q.Channels), n)
}
