//go:build !race

package endtoend

// underRace says that the race detector is on.
const underRace = false
