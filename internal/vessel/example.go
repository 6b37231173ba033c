package vessel

import (
	_ "embed"
	"strings"
)

//go:embed plover.toml
var example string

// Example is a commented profile of the invented vessel "Plover". It parses.
func Example() string { return example }

// Invented is the Profile of Example, made anew each time.
func Invented() *Profile {
	p, err := Parse("plover.toml", []byte(example))
	if err != nil {
		panic(err) // a text of our own, which a test reads
	}
	return p
}

// templateLine stands in a template until its writer takes it out.
const templateLine = "template = true                # DELETE THIS LINE when every number is your own vessel's\n"

// Template is Example with a line that marks it as nobody's vessel: a profile
// with that line watches no logger. It parses.
func Template() string {
	return strings.Replace(example, "[vessel]\n", "[vessel]\n"+templateLine, 1)
}
