package page

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"

	"fillwright/internal/advise"
	"fillwright/internal/alarm"
	"fillwright/internal/monitor"
	"fillwright/internal/must"
	"fillwright/internal/phase"
	"fillwright/internal/quantity"
	"fillwright/internal/review"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wording"
)

// told is the record of a made-up fill: ten minutes, two stations, an alarm, a
// hand-held reading, words that mean no good.
func told(t *testing.T, name string) *review.Record {
	t.Helper()
	v := vessel.Invented()
	v.Name = name
	teller := review.NewTeller()
	teller.Begin(v)
	s := monitor.Snapshot{Summary: monitor.NoSummary(), Phase: phase.Vented, AmbientK: 295, BeadK: math.NaN()}
	for i := range v.Stations {
		s.Stations = append(s.Stations, monitor.Station{Name: v.Stations[i].Name, HottestK: 300, OuterK: 299, SensorK: 299.5, BandK: 1})
	}
	for i := range 3000 {
		s.TimeS, s.Seq = float64(i)/5, uint64(i)
		s.GasK, s.GasBandK, s.HottestK, s.BandK, s.MarginK = 300+20*math.Sin(s.TimeS/100), 2, 300+s.TimeS/100, 1, 25-s.TimeS/100
		s.PressurePa = math.Min(s.TimeS, 300) * 1e4
		s.Model.Fresh = i%5 == 0
		switch i {
		case 100:
			s.Phase, s.Summary.Begun, s.Summary.BeginS = phase.Filling, true, s.TimeS
			s.RampPaS, s.Advice = 1e4, advise.Advice{Verdict: advise.VerdictFill, RampPaS: 1.1e4, PeakK: 306, PeakBandK: 2, PeakInS: 300}
			s.Outlook.Path = []advise.Point{{InS: 0, HottestK: 300, BandK: 1}, {InS: 300, HottestK: 306, BandK: 2}}
		case 500:
			s.Alarms = []alarm.Active{{Name: alarm.WallMargin, Level: alarm.LevelCaution, State: alarm.StateUnacknowledged, SinceS: s.TimeS, EndS: math.NaN(), Cause: wording.Words("<b>& \"hot\"")}}
		case 1500:
			s.Phase, s.Summary.PressureMostPa = phase.Holding, 3e6
		}
		typ, body := wire.TypeSample, []byte(nil)
		if i == 600 {
			var d wire.Decoder
			d.Aligned = true
			d.Decode(wire.AppendEntry(nil, 0, wire.Entry{Kind: wire.EntryMark, Text: "</script><script>alert(1)</script>"}), func(f wire.Frame) { body = bytes.Clone(f.Body) })
			typ = wire.TypeEntry
		}
		teller.Add(wire.Frame{Type: typ, Body: body}, &s)
	}
	return teller.Done(review.File{Name: "<i>a&b.fill", Kind: "run log", SHA256: strings.Repeat("0", 64), Program: "1"})
}

func written(t *testing.T, r *review.Record) string {
	t.Helper()
	var b bytes.Buffer
	must.Do(t, Write(&b, r, quantity.SystemBarC))
	return b.String()
}

// TestFetchesNothing proves that nothing in a page makes a browser ask anybody
// for anything, and that the page forbids it too.
func TestFetchesNothing(t *testing.T) {
	text := written(t, told(t, "Plover"))
	for _, pattern := range []string{`(?i)\bsrc\s*=`, `(?i)https?:`, `(?i)url\(`, `(?i)@import`, `(?i)srcset`, `(?i)<(iframe|object|embed|img|video|audio|form)\b`} {
		found := regexp.MustCompile(pattern).FindString(text)
		must.Be(t, found == "", "%s is in the page", found)
	}
	for _, link := range regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		must.Be(t, strings.HasPrefix(link[1], "#") || link[1] == "data:,", "link to %s", link[1])
	}
	must.Be(t, strings.Contains(text, `Content-Security-Policy" content="default-src 'none'`), "nothing forbids it")
}

// TestReadAloud proves that each picture has a title and a description of its
// own, that what refers to an id finds one, and that a table stands behind each.
func TestReadAloud(t *testing.T) {
	text := written(t, told(t, "Plover"))
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(text, -1) {
		ids[m[1]]++
		must.Be(t, ids[m[1]] <= 1, "id %s stands twice", m[1])
	}
	svg := regexp.MustCompile(`(?s)<svg class="(wide|narrow)"[^>]* role="img" aria-labelledby="(\S+) (\S+)">\s*<title id="(\S+)">[^<]+</title>\s*<desc id="(\S+)">[^<]+</desc>`).FindAllStringSubmatch(text, -1)
	must.Need(t, len(svg) >= 10 && len(svg) == strings.Count(text, "<svg"),
		"%d of %d pictures have a title and a description", len(svg), strings.Count(text, "<svg"))
	for _, m := range svg {
		must.Be(t, m[2] == m[4] && m[3] == m[5] && ids[m[2]] == 1 && ids[m[3]] == 1, "%v", m[1:])
	}
	for _, m := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(text, -1) {
		must.Be(t, ids[m[1]] == 1, "a link to %s leads nowhere", m[1])
	}
	figures, tables := strings.Count(text, "<figure>"), strings.Count(text, "<details>")
	must.Be(t, figures == tables, "%d pictures, %d with numbers", figures, tables)
	must.Be(t, !strings.Contains(text, "NaN") && !strings.Contains(text, "Inf"), "a number that is none is in the page")
	for _, c := range review.Cautions {
		must.Be(t, strings.Contains(text, strings.ReplaceAll(c, "\"", "&#34;")), "not there: %s", c)
	}
}

// TestNumbersAreThoseOfJSON proves that the page holds the record as --json
// prints it, whole, and shows its account.
func TestNumbersAreThoseOfJSON(t *testing.T) {
	r := told(t, "Plover")
	text := written(t, r)
	m := regexp.MustCompile(`(?s)<script type="application/json" id="record">(.*?)</script>`).FindStringSubmatch(text)
	must.Need(t, m != nil, "there is no record in the page")
	line := must.Get(r.JSON())(t)
	must.Be(t, m[1] == string(line) && json.Valid([]byte(m[1])), "the page has another record than --json")
	f := r.Parts[0].Fills[0]
	for _, row := range f.Rows(quantity.SystemBarC, &r.Parts[0].Vessel) {
		must.Be(t, strings.Contains(text, row[1]), "%s: %s is not in the page", row[0], row[1])
	}
}

// TestHostileWords proves that words of a recording stay words.
func TestHostileWords(t *testing.T) {
	text := written(t, told(t, "</title><script>alert(2)</script>"))
	n := strings.Count(text, "<script")
	must.Be(t, n == 1 && !strings.Contains(text, "<b>&") && !strings.Contains(text, "<i>a"), "%d scripts in the page", n)
	must.Be(t, strings.Contains(written(t, told(t, "Plover")), "Invented.") && !strings.Contains(written(t, told(t, "Heron")), "Invented."),
		"what is invented is not told from what is not")
}

// TestTicks proves that marks of an axis are round, in order and few.
func TestTicks(t *testing.T) {
	for _, span := range [][2]float64{{0, 1}, {-3, 97}, {288.15, 288.2}, {-1e6, 1e6}, {0, 86400}} {
		for _, list := range [][]float64{ticks(span[0], span[1], 6), timeTicks(span[0], span[1], 6)} {
			must.Be(t, len(list) <= ticksMost, "%v: %d marks", span, len(list))
			for i, x := range list {
				must.Be(t, x >= span[0] && x <= span[1] && (i <= 0 || x > list[i-1]), "%v: %v", span, list)
			}
		}
	}
}

// TestComparedPage proves that the page of many fills is one that fetches
// nothing, has no id twice, lays only the newest over each other, and holds the
// comparison as --json prints it.
func TestComparedPage(t *testing.T) {
	var records []*review.Record
	for range laidMost + 3 {
		records = append(records, told(t, "Plover"))
	}
	c := review.CompareAll(records, nil, "nobody wanted it")
	var b bytes.Buffer
	must.Do(t, WriteCompared(&b, c, "1", quantity.SystemBarC))
	text := b.String()
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(text, -1) {
		must.Be(t, !ids[m[1]], "id %s stands twice", m[1])
		ids[m[1]] = true
	}
	line, err := c.JSON()
	must.Be(t, err == nil && strings.Contains(text, ">"+string(line)+"</script>"), "the page has another comparison than --json: %v", err)
	must.Be(t, !strings.Contains(text, "http:") && !strings.Contains(text, "NaN") && strings.Contains(text, "13 fills of Plover compared"),
		"not as it should be")
	first := text[:strings.Index(text, "Pressure of each fill")]
	n := strings.Count(first, `<path class="r1" d="M`)
	must.Be(t, n >= 2, "%d curves of the first stroke", n)
}
