package vessel

import _ "embed"

//go:embed plover.toml
var example string

// Example is a commented profile of the invented vessel "Plover". It parses.
func Example() string { return example }
