//go:build browser

package padcard

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/plan"
	"fillwright/internal/quantity"
)

// With -tags browser, on a machine that has one (.ci/run installs it): TestPrints
// proves in a real browser that the fullest card, in the unit with the
// longest numbers, prints on one page of A5.
func TestPrints(t *testing.T) {
	browser := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			browser = path
			break
		}
	}
	must.Need(t, browser != "", "this test prints with chromium; install it: apt-get install chromium")
	p := shady(t)
	p.Answer.StandS = 14 * 60 // the longest words
	legs := p.Answer.Course
	p.Answer.Course = append(append([]plan.CourseLeg{}, legs[0], plan.CourseLeg{FromPa: legs[0].ToPa, ToPa: legs[0].ToPa, FromS: legs[0].ToS, ToS: legs[0].ToS + 60}), legs[1:]...)
	c := New(p, quantity.SystemKPaC)
	c.Day += ", " + c.Day[:min(len(c.Day), 60)]
	page := must.Get(c.Page())(t)
	folder := t.TempDir()
	html, pdf := filepath.Join(folder, "card.html"), filepath.Join(folder, "card.pdf")
	must.Do(t, os.WriteFile(html, page, 0o600))
	out, err := exec.CommandContext(t.Context(), browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-pdf-header-footer",
		"--user-data-dir="+filepath.Join(folder, "profile"), "--print-to-pdf="+pdf, "file://"+html).CombinedOutput()
	must.Need(t, err == nil, "%v\n%s", err, out)
	data := must.Get(os.ReadFile(pdf))(t)
	n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(data, -1))
	must.Be(t, n == 1, "the card prints on %d pages", n)
	box := regexp.MustCompile(`/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]`).FindSubmatch(data)
	must.Need(t, box != nil, "no page size in the print")
	wide, _ := strconv.ParseFloat(string(box[1]), 64)
	high, _ := strconv.ParseFloat(string(box[2]), 64)
	// A5 is 148 × 210 mm (ISO 216).
	must.Be(t, math.Abs(wide-148*72/25.4) <= 1.5 && math.Abs(high-210*72/25.4) <= 1.5, "the page is %.0f by %.0f points", wide, high)
}
