package offsets

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fillwright/internal/must"
	"fillwright/internal/probe"
)

const board = 0x5A17C0DE

func offset(channel int, k float64, date string) probe.Offset {
	return probe.Offset{Board: board, Channel: channel, Offset: k, Uncertainty: 0.3, Point: 273.15, Date: date, Method: "ice point"}
}

func read(t testing.TB, file string) *File {
	t.Helper()
	return must.Get(Read(file))(t)
}

func put(t testing.TB, f *File, fresh ...probe.Offset) {
	t.Helper()
	must.Do(t, f.Put(fresh))
}

// A file as it was written before, with what was replaced under [[history]],
// is read, and what is found now is added to it. Nothing in it is lost, the
// words of people neither.
func TestOldFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	const old = `# Sensor offsets: what each sensor reads too much, by logger and channel.
# [[offset]] is in force; [[history]] are earlier ones, kept and not used.

[[history]] # the first day
board = "0x5A17C0DE"
channel = 1
offset = "0.5 °C"
uncertainty = "0.3 °C"
point = "0 °C"
date = 2026-01-01
method = "ice point"
conditions = "melting ice; mean of 60 s"

[[offset]]
board = "0x5A17C0DE"
channel = 1
offset = "6 °C"
gain = 0.010000
date = 2026-02-01
method = "two points: ice point, steam point"
`
	must.Do(t, os.WriteFile(file, []byte(old), 0o600))
	for n := range 10 {
		put(t, read(t, file), offset(1, float64(n)/100, "2026-05-01"), offset(2, 1, "2026-05-01"))
	}
	f := read(t, file)
	if len(f.Offsets.List) != 2 || len(f.Offsets.History) != 20 || f.Offsets.History[0].Offset != 0.5 || f.Offsets.History[1].SlopeError != 0.01 || !bytes.HasPrefix(f.Text, []byte(old)) {
		t.Errorf("%d in force, %d earlier", len(f.Offsets.List), len(f.Offsets.History))
	}
	o, ok := f.Offsets.Find(board, 1)
	must.Be(t, ok && math.Abs(o.Offset-0.09) <= 1e-9, "in force is %+v", o)
	kept, err := probe.ParseOffsets("of a run log", []byte(f.Offsets.Format()))
	d := cmp.Diff(f.Offsets.List, kept.List, cmpopts.EquateNaNs())
	must.Be(t, err == nil && d == "" && len(kept.History) == 0, "%v %v", err, d)
}

// A file that grew too long is begun anew with what is in force; the long one
// stays beside it, and nothing is lost.
func TestLongHistory(t *testing.T) {
	file := filepath.Join(t.TempDir(), "offsets.toml")
	entry := func(n int) probe.Offset {
		o := offset(1, float64(n)/100, "2026-05-01")
		o.Remark = fmt.Sprintf("writing %d.", n)
		return o
	}
	const writings, ready = 155, 140
	var text string
	for n := range ready {
		o := entry(n)
		text += o.Format("offset")
	}
	must.Do(t, os.WriteFile(file, []byte(text), 0o600))
	for f, n := read(t, file), ready; n < writings; n++ {
		put(t, f, entry(n))
	}
	files, err := filepath.Glob(file + "*")
	must.Need(t, err == nil && len(files) == 2, "%d files, %v; %d bytes at first", len(files), err, len(text))
	seen := map[string]bool{}
	for _, name := range files {
		all := read(t, name).Offsets
		for _, o := range append(all.List, all.History...) {
			seen[o.Remark] = true
		}
	}
	o, ok := read(t, file).Offsets.Find(board, 1)
	must.Be(t, len(seen) == writings && ok && math.Abs(o.Offset-1.54) <= 1e-9, "%d of %d writings are left, in force is %+v", len(seen), writings, o)
}

// A file that somebody else changed meanwhile is not overwritten, and a link
// stays a link.
func TestWriteIsCareful(t *testing.T) {
	dir := t.TempDir()
	file, link := filepath.Join(dir, "real.toml"), filepath.Join(dir, "offsets.toml")
	put(t, read(t, file), offset(1, 1, "2026-05-01"))
	must.Do(t, os.Symlink(file, link))
	mine, other := read(t, link), read(t, link)
	put(t, other, offset(1, 2, "2026-05-02"))
	must.Refuse(t, mine.Put([]probe.Offset{offset(1, 3, "2026-05-03")}), "changed by somebody else")
	o, _ := read(t, file).Offsets.Find(board, 1)
	must.Be(t, o.Offset == 2, "holds %+v", o)
	info, err := os.Lstat(link)
	must.Be(t, err == nil && info.Mode()&os.ModeSymlink != 0, "the link is gone: %v", err)
	must.Refuse(t, must.Err(Read(dir)), "is a folder")
	must.Do(t, other.Note(probe.Offset{Board: board, Channel: 0, Pressure: true, Offset: 1e4, Uncertainty: math.NaN(), Point: 40e5, Method: "span check"}))
	all := read(t, file).Offsets
	must.Be(t, len(all.History) == 2 && len(all.List) == 1, "after a note: %+v", all)
}

var today = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

// Age is counted in days, and told when it is too great or not known.
func TestAge(t *testing.T) {
	all := &probe.Offsets{List: []probe.Offset{offset(1, -1.2, "2026-05-31"), offset(2, 0.5, "2026-04-01"), offset(3, 6, "")}}
	want := []string{
		"logger 0x5A17C0DE channel 1: -1.20 ± 0.30 °C, 1 day old (ice point)",
		"logger 0x5A17C0DE channel 2: +0.50 ± 0.30 °C, 61 days old, more than 7 (ice point): OLD, find it again with: fillwright offsets",
		"logger 0x5A17C0DE channel 3: +6.00 ± 0.30 °C, of unknown age (ice point): OLD, find it again with: fillwright offsets",
	}
	got := Describe(all, today)
	must.Be(t, strings.Join(got, "\n") == strings.Join(want, "\n"), "%s", strings.Join(got, "\n"))
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
	got := Changes(before, after)
	must.Be(t, strings.Join(got, "\n") == strings.Join(want, "\n"), "%s", strings.Join(got, "\n"))
	got = Changes(nil, nil)
	must.Be(t, len(got) == 0, "%q", got)
}

// Each sensor's past is told with its age and trend.
func TestHistory(t *testing.T) {
	all := &probe.Offsets{
		History: []probe.Offset{offset(1, 0.2, "2026-01-01"), offset(1, 0.9, "2026-02-15"), offset(1, 1.3, "2026-04-01")},
		List:    []probe.Offset{offset(1, 2.1, "2026-05-28"), {Board: board, Channel: 0, Pressure: true, Offset: 0.12e5, Uncertainty: 0.05e5, Date: "2026-03-01", Method: "pressure zero"}},
	}
	got := History(all, today, func(c int) string { return map[int]string{1: "gas"}[c] })
	at := 0
	for _, want := range []string{
		"logger 0x5A17C0DE channel 0", "> 2026-03-01  +0.12 ± 0.05 bar            pressure zero\n", "in force: 92 days old, more than 7: OLD; too few for a trend",
		"logger 0x5A17C0DE channel 1 gas\n", "  2026-01-01  +0.20 ± 0.30 °C", "> 2026-05-28  +2.10 ± 0.30 °C",
		"in force: 4 days old; moves by +4.",
	} {
		i := strings.Index(got[at:], want)
		must.Need(t, i >= 0, "%q is missing, or not in its place, in\n%s", want, got)
		at += i
	}
	if got := History(&probe.Offsets{}, today, nil); !strings.Contains(got, "No offsets yet") {
		t.Error(got)
	}
}
