//go:build race

package endtoend

// underRace says that the race detector is on: everything takes five to ten
// times as long, and tests over many fills take fewer.
const underRace = true
