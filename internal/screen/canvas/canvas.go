// Package canvas is what every screen is drawn with: rows of text in roles,
// the looks that say how a role appears, glyphs with their ASCII stand-ins, large
// letters, a chart, and the painter that brings a picture onto the terminal.
//
// A picture is made of Rows. A Row holds Spans; each has a Role (a label, a
// value, a caution), never a colour. Sizes are in cells of the terminal, and
// every rune of a Row is one cell wide: Clean sees to that for text from
// outside. Frame and Painter write only what has changed since the last picture.
package canvas
