package card

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fillwright/internal/probe"
)

const childFile = "FILLWRIGHT_CARD_CHILD"

func TestMain(m *testing.M) {
	if file := os.Getenv(childFile); file != "" {
		os.Exit(child(file))
	}
	os.Exit(m.Run())
}

const board = 0x5A17C0DE

func offset(channel int, k float64, date string) probe.Offset {
	return probe.Offset{Board: board, Channel: channel, Offset: k, Uncertainty: 0.3, Point: 273.15, Date: date, Method: "ice point"}
}

func readCard(t testing.TB, file string) *Card {
	t.Helper()
	c, err := Read(file)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func put(t testing.TB, c *Card, fresh ...probe.Offset) (moved string) {
	t.Helper()
	moved, err := c.Put(fresh)
	if err != nil {
		t.Fatal(err)
	}
	return moved
}

// child writes one offset after another until it is killed. Each writing says
// its number in all its channels, so that a mixture would show.
func child(file string) int {
	for n := 0; n < 1_000_000; n++ {
		if n%20 == 0 {
			if err := os.Remove(file); err != nil && n > 0 {
				fmt.Println(err)
				return 1
			}
			if err := replace(file, []byte("# begun\n")); err != nil {
				fmt.Println(err)
				return 1
			}
		}
		c, err := Read(file)
		if err == nil {
			x := float64(n%1000) / 100
			_, err = c.Put([]probe.Offset{offset(1, x, "2026-05-01"), offset(2, x, "2026-05-01"), offset(3, x, "2026-05-01")})
		}
		if err != nil {
			fmt.Println(err)
			return 1
		}
		if n == 0 {
			fmt.Println("writing")
		}
	}
	return 0
}

// Killed (SIGKILL) at any moment, the writer leaves the old or the new file,
// whole: it can be read, and its channels are of one writing.
func TestKilledWhileWriting(t *testing.T) {
	kills, wrote := 40, 0
	for i := range kills {
		file := filepath.Join(t.TempDir(), "offsets.toml")
		put(t, readCard(t, file), offset(1, 0, "2026-04-01"), offset(2, 0, "2026-04-01"), offset(3, 0, "2026-04-01"))
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childFile+"="+file)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		line := make([]byte, 8)
		if _, err := out.Read(line); err != nil || !strings.HasPrefix("writing\n", string(bytes.TrimRight(line, "\x00"))) {
			t.Fatalf("child said %q, %v", line, err)
		}
		time.Sleep(time.Duration(i*137) * time.Microsecond) // another moment each time
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		if err := cmd.Wait(); err == nil {
			t.Fatal("the child ended by itself")
		}
		if _, err := os.Stat(file); err != nil {
			continue // between its own removal and its next beginning
		}
		wrote++
		c := readCard(t, file)
		seen := map[float64]bool{}
		for _, o := range c.Offsets.List {
			seen[o.Offset] = true
		}
		if n := len(c.Offsets.List); n != 0 && n != 3 || len(seen) > 1 {
			t.Fatalf("kill %d: %d offsets of %d writings:\n%s", i, n, len(seen), c.Text)
		}
	}
	if wrote < kills/2 {
		t.Errorf("only %d of %d kills left a file to look at", wrote, kills)
	}
}

// What was replaced is history; a file that grew too long moves its history to
// a file of its own, and nothing is lost.
func TestHistoryIsKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	c := readCard(t, file)
	seen := map[string]bool{}
	moves := 0
	const writings = 150
	for n := range writings {
		o := offset(1, float64(n)/100, "2026-05-01")
		o.Remark = fmt.Sprintf("writing %d.", n)
		o.Conditions = strings.Repeat("c", 115)
		if put(t, c, o) != "" {
			moves++
		}
	}
	if moves == 0 {
		t.Error("the history never moved")
	}
	files, err := filepath.Glob(file + "*")
	if err != nil || len(files) != moves+1 {
		t.Fatalf("%d files after %d moves, %v", len(files), moves, err)
	}
	for _, f := range files {
		all := readCard(t, f).Offsets
		for _, list := range [][]probe.Offset{all.List, all.History} {
			for _, o := range list {
				seen[o.Remark] = true
			}
		}
	}
	if len(seen) != writings {
		t.Errorf("%d of %d writings are left", len(seen), writings)
	}
	if o, ok := readCard(t, file).Offsets.Find(board, 1); !ok || math.Abs(o.Offset-1.49) > 1e-9 {
		t.Errorf("in force is %+v", o)
	}
}

// A file that somebody else changed meanwhile is not overwritten, and a link
// stays a link.
func TestWriteIsCareful(t *testing.T) {
	dir := t.TempDir()
	file, link := filepath.Join(dir, "real.toml"), filepath.Join(dir, "offsets.toml")
	put(t, readCard(t, file), offset(1, 1, "2026-05-01"))
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	mine, other := readCard(t, link), readCard(t, link)
	put(t, other, offset(1, 2, "2026-05-02"))
	if _, err := mine.Put([]probe.Offset{offset(1, 3, "2026-05-03")}); err == nil || !strings.Contains(err.Error(), "changed by somebody else") {
		t.Errorf("overwritten: %v", err)
	}
	if o, _ := readCard(t, file).Offsets.Find(board, 1); o.Offset != 2 {
		t.Errorf("holds %+v", o)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v", err)
	}
	if _, err := Read(dir); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	if err := other.Note(probe.Offset{Board: board, Channel: 0, Pressure: true, Offset: 1e4, Uncertainty: math.NaN(), Point: 40e5, Method: "span check"}); err != nil {
		t.Fatal(err)
	}
	if all := readCard(t, file).Offsets; len(all.History) != 2 || len(all.List) != 1 {
		t.Errorf("after a note: %+v", all)
	}
}

var today = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

// Age is counted in days, and told when it is too great or not known.
func TestAge(t *testing.T) {
	all := &probe.Offsets{List: []probe.Offset{offset(1, -1.2, "2026-05-31"), offset(2, 0.5, "2026-04-01"), offset(3, 6, "")}}
	lines, old := Describe(all, today, AgeMostDays)
	want := []string{
		"logger 0x5A17C0DE channel 1: -1.20 ± 0.30 °C, 1 day old (ice point)",
		"logger 0x5A17C0DE channel 2: +0.50 ± 0.30 °C, 61 days old, more than 30 (ice point): OLD, find it again with: fillwright offsets",
		"logger 0x5A17C0DE channel 3: +6.00 ± 0.30 °C, of unknown age (ice point): OLD, find it again with: fillwright offsets",
	}
	if !old || strings.Join(lines, "\n") != strings.Join(want, "\n") {
		t.Errorf("old %v:\n%s", old, strings.Join(lines, "\n"))
	}
	if _, old := Describe(&probe.Offsets{List: all.List[:1]}, today, 30); old {
		t.Error("a day is old")
	}
}

// A replay with other offsets says what changed.
func TestChanges(t *testing.T) {
	before := &probe.Offsets{List: []probe.Offset{offset(1, -1.2, "2026-05-01"), offset(2, 1, "2026-05-01"), offset(4, 1, "2026-05-01")}}
	after := &probe.Offsets{List: []probe.Offset{offset(1, 6, "2026-06-01"), offset(3, 1, "2026-06-01"), offset(4, 1, "2026-05-02")}}
	want := []string{
		"logger 0x5A17C0DE channel 1: +6.00 ± 0.30 °C of 2026-06-01, was -1.20 ± 0.30 °C of 2026-05-01",
		"logger 0x5A17C0DE channel 3: +1.00 ± 0.30 °C of 2026-06-01, none before",
		"logger 0x5A17C0DE channel 2: none, was +1.00 ± 0.30 °C of 2026-05-01",
	}
	if got := Changes(before, after); strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%s", strings.Join(got, "\n"))
	}
	if got := Changes(nil, nil); len(got) != 0 {
		t.Errorf("%q", got)
	}
}

// The card shows each sensor's past with its bands and its trend.
func TestPicture(t *testing.T) {
	all := &probe.Offsets{
		History: []probe.Offset{offset(1, 0.2, "2026-01-01"), offset(1, 0.9, "2026-02-15"), offset(1, 1.3, "2026-04-01")},
		List:    []probe.Offset{offset(1, 2.1, "2026-05-28"), {Board: board, Channel: 0, Pressure: true, Offset: 0.12e5, Uncertainty: 0.05e5, Date: "2026-03-01", Method: "pressure zero"}},
	}
	got := Picture{Width: 100, ASCII: true, Now: today, Naming: func(c int) string { return map[int]string{1: "gas"}[c] }}.Draw(all)
	for _, want := range []string{
		"channel 0 on logger 0x5A17C0DE",
		"channel 1 gas on logger 0x5A17C0DE",
		"in force: 92 days old, more than 30: OLD; too few for a trend",
		"in force: 4 days old; moves by +4.", "> 2026-05-28 +2.10 ± 0.30 °C",
		"-5                 0              +5 °C",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	// The dots walk to the right as the offset grows.
	last := -1
	for _, line := range strings.Split(got, "\n") {
		if at := strings.LastIndex(line, "o-"); strings.Contains(line, "ice point") {
			if at <= last {
				t.Errorf("the dot does not move right in %q", line)
			}
			last = at
		}
	}
	if last < 0 {
		t.Error("no dot was drawn")
	}
	if got := (Picture{Now: today}).Draw(&probe.Offsets{}); !strings.Contains(got, "No offsets yet") {
		t.Error(got)
	}
	t.Log("\n" + got)
}
