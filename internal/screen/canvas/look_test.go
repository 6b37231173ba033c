package canvas

import (
	"strings"
	"testing"

	"fillwright/internal/must"
)

func env(pairs ...string) func(string) string {
	return func(key string) string {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == key {
				return pairs[i+1]
			}
		}
		return ""
	}
}

// TestDepth after https://no-color.org (any value that is not empty).
func TestDepth(t *testing.T) {
	for _, c := range []struct {
		getenv func(string) string
		want   Depth
	}{
		{env("TERM", "xterm-256color"), DepthColour}, {env("TERM", "xterm", "NO_COLOR", "1"), DepthMono},
		{env("TERM", "xterm", "NO_COLOR", ""), DepthColour}, {env("TERM", "dumb"), DepthNone}, {env(), DepthNone},
		{env("TERM", "vt100"), DepthMono},
	} {
		must.Equal(t, DepthOf(c.getenv), c.want, "depth")
	}
	must.Be(t, !WantsASCII(env("LANG", "de_AT.UTF-8")) && WantsASCII(env("LC_ALL", "C", "LANG", "de_AT.UTF-8")) && WantsASCII(env()),
		"the locale is read wrongly")
}

// TestMonochromeHasNoColour: NO_COLOR leaves bold and reverse only.
func TestMonochromeHasNoColour(t *testing.T) {
	for l := range Looks {
		p := NewPalette(l, DepthMono)
		for r, on := range p.on {
			for _, param := range strings.FieldsFunc(on, func(r rune) bool { return strings.ContainsRune("\x1b[;m", r) }) {
				must.Be(t, param == "1" || param == "7", "look %v, role %d writes %q", l, r, on)
			}
		}
		must.Be(t, p.on[Abort] != "" && p.on[Abort] != p.on[Caution], "abort and caution look alike")
	}
	p := NewPalette(LookSun, DepthNone)
	must.Be(t, p.base == "" && strings.Join(p.on[:], "") == "", "a terminal without styling gets some")
}
