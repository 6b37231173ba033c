// Package background settles the terminal's background before Bubble Tea starts.
//
// Bubble Tea's package init asks the terminal for its background colour and
// waits up to 5 s on one that never answers (a bare pseudo-terminal, a serial
// console), whatever the subcommand. Go initialises packages in the order of
// their import paths once their imports are ready, and "fillwright/..." sorts
// before "github.com/charmbracelet/bubbletea": so this package, which needs
// nothing but lipgloss, comes first and answers the question itself.
//
// The answer is never used: the looks of the screen are fixed palettes.
package background

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
