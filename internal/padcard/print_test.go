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
	if browser == "" {
		t.Fatal("this test prints with chromium; install it: apt-get install chromium")
	}
	p := shady(t)
	p.Answer.StandS = 14 * 60 // the longest words
	legs := p.Answer.Course
	p.Answer.Course = append(append([]plan.CourseLeg{}, legs[0], plan.CourseLeg{FromPa: legs[0].ToPa, ToPa: legs[0].ToPa, FromS: legs[0].ToS, ToS: legs[0].ToS + 60}), legs[1:]...)
	c := New(p, quantity.SystemKPaC)
	c.Day += ", " + c.Day[:min(len(c.Day), 60)]
	page, err := c.Page()
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	html, pdf := filepath.Join(folder, "card.html"), filepath.Join(folder, "card.pdf")
	if err := os.WriteFile(html, page, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-pdf-header-footer",
		"--user-data-dir="+filepath.Join(folder, "profile"), "--print-to-pdf="+pdf, "file://"+html).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	data, err := os.ReadFile(pdf)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(data, -1)); n != 1 {
		t.Errorf("the card prints on %d pages", n)
	}
	box := regexp.MustCompile(`/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]`).FindSubmatch(data)
	if box == nil {
		t.Fatal("no page size in the print")
	}
	wide, _ := strconv.ParseFloat(string(box[1]), 64)
	high, _ := strconv.ParseFloat(string(box[2]), 64)
	// A5 is 148 × 210 mm (ISO 216).
	if math.Abs(wide-148*72/25.4) > 1.5 || math.Abs(high-210*72/25.4) > 1.5 {
		t.Errorf("the page is %.0f by %.0f points", wide, high)
	}
}
