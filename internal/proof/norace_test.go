//go:build !race

package proof

// underRace says that the race detector is on.
const underRace = false
