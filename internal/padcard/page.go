package padcard

import (
	"bytes"
	_ "embed"
	"html/template"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("card").Parse(pageText))

// Page is the card as one HTML page that prints on A5, black on white.
func (c *Card) Page() ([]byte, error) {
	var b bytes.Buffer
	if err := page.Execute(&b, c); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
