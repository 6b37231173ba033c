package wire

import (
	"fmt"
	"strings"
	"testing"

	"fillwright/internal/must"
)

// lines decodes text and tells the frames in words.
func lines(t *testing.T, d *TextLines, text string) []string {
	t.Helper()
	var got []string
	seq := d.seq
	d.Decode([]byte(text), func(f Frame) {
		must.Be(t, f.Seq == seq, "seq is %d, want %d", f.Seq, seq)
		seq++
		said, _, err := describe(f)
		must.Be(t, err == nil, "%v", err)
		said = strings.Replace(said, fmt.Sprintf(" seq=%d", f.Seq), "", 1)
		said = strings.Replace(said, " protocol=1 restart=0 board=0x0000000000000000", "", 1)
		got = append(got, strings.Replace(said, " firmware=0.0 rate_mhz=0", "", 1))
	})
	return got
}

func compareLines(t *testing.T, got []string, want ...string) {
	t.Helper()
	must.Be(t, strings.Join(got, "\n") == strings.Join(want, "\n"), "got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
}

// The format's own example becomes a hello and a sample.
func TestTextExample(t *testing.T) {
	d := TextLines{Aligned: true}
	got := lines(t, &d, ExampleHeader+"\r\n12340,1638,1203000,24125\r\n")
	compareLines(t, got,
		"hello boot=1 channels=0:3:4095:pressure;1:1:0:gas;2:2:0:junction",
		"sample time_ms=12340 flags=0x0000 values=1638;1203000;24125")
	c := d.Counts()
	must.Be(t, c == (Counts{Good: 2}) && d.Problem() == nil, "%+v, %v", c, d.Problem())
}

// Each unit becomes its kind's whole number. psi: NIST SP 811 (2008) B.8,
// 6894.757 Pa; °F and K: SI brochure; the others are decimal prefixes.
func TestTextUnits(t *testing.T) {
	for _, c := range []struct {
		unit, cell string
		kind       Kind
		want       int32
	}{
		{"counts/1023", "1023", KindCounts, 1023}, {"counts/8388607", "-12", KindCounts, -12},
		{"nv", "1203000", KindNanovolt, 1203000}, {"uv", "1203.0004", KindNanovolt, 1203000}, {"mv", "-5.891", KindNanovolt, -5891000},
		{"mc", "-20500", KindMilliCelsius, -20500}, {"c", "24.1255", KindMilliCelsius, 24126}, {"C", " +1.5e1 ", KindMilliCelsius, 15000},
		{"f", "212", KindMilliCelsius, 100000}, {"f", "-40", KindMilliCelsius, -40000}, {"k", "273.15", KindMilliCelsius, 0},
		{"ua", "4000", KindMicroampere, 4000}, {"ma", "19.9996", KindMicroampere, 20000},
		{"pa", "-3", KindPascal, -3}, {"mbar", "1013.25", KindPascal, 101325}, {"kpa", "101.325", KindPascal, 101325},
		{"bar", "41", KindPascal, 4100000}, {"mpa", "4.1", KindPascal, 4100000}, {"psi", "600", KindPascal, 4136854},
	} {
		d := TextLines{Aligned: true}
		var got Sample
		var hello Hello
		d.Decode([]byte("time_ms,x_"+c.unit+"\n0,"+c.cell+"\n"), func(f Frame) {
			var err error
			if f.Type == TypeHello {
				err = ParseHello(f.Body, &hello)
			} else {
				err = ParseSample(f.Body, &got)
			}
			must.Be(t, err == nil, "%v", err)
		})
		must.Be(t, hello.Channels[0].Kind == c.kind && got.N == 1 && got.Values[0] == c.want,
			"%s in %s: %v %v, want %d %v", c.cell, c.unit, got.Values[0], hello.Channels[0].Kind, c.want, c.kind)
	}
}

// A blank cell and printf's nan are missing readings, not zeros.
func TestTextMissing(t *testing.T) {
	d := TextLines{Aligned: true}
	got := lines(t, &d, "time_s,a_c,flags,b_c\n0.5,,0x2,NaN\n1,0,4,\n")
	compareLines(t, got, "hello boot=1 channels=0:2:0:a;1:2:0:b",
		"sample time_ms=500 flags=0x0002 values=missing;missing",
		"sample time_ms=1000 flags=0x0004 values=0;missing")
}

// A line that can't be understood is counted, said why, and gives no sample.
func TestTextDamagedLines(t *testing.T) {
	for line, says := range map[string]string{
		"1,2":             "want 3 cells",
		"1,2,3,4":         "want 3 cells",
		"":                "",
		"# remark":        "",
		"x,2,3":           "cell 1: want a time",
		"-1,2,3":          "cell 1: want a time",
		",2,3":            "cell 1: want a time",
		"1e300,2,3":       "cell 1: want a time",
		"1,inf,3":         "cell 2: want a decimal number",
		"1,0x10,3":        "cell 2: want a decimal number",
		"1,1_0,3":         "cell 2: want a decimal number",
		"1,2,- 3":         "cell 3: want a decimal number",
		"1,2,--":          "cell 3: want a decimal number",
		"1,2,2147484":     "cell 3: want a value that fits",
		"1,-2147483648,3": "cell 2: want a value that fits",
		"1,2,3*0000":      "checksum",
		"1,2,3*":          "checksum",
		"boot ok":         "want 3 cells",
	} {
		d := TextLines{Aligned: true}
		got := lines(t, &d, "time_ms,a_nv,b_c\n"+line+"\n")
		must.Be(t, len(got) == 1, "%q: %q", line, got)
		problem := ""
		if d.Problem() != nil {
			problem = d.Problem().Error()
		}
		must.Be(t, (d.Counts().Damaged == 1) == (says != "") && strings.Contains(problem, says),
			"%q: %+v, %q, want %q", line, d.Counts(), problem, says)
	}
}

// A wrong header is refused with the column, what was expected and an example,
// and what follows it is not read by the header before.
func TestTextBadHeaders(t *testing.T) {
	many := "time_ms"
	for i := range ChannelMost + 1 {
		many += fmt.Sprintf(",x%d_c", i)
	}
	for header, says := range map[string]string{
		"time_ms":                      "at least one value",
		"time_h,a_c":                   "column 1, \"time_h\": time_ms, time_s or time_min",
		"time_ms,a":                    "column 2, \"a\": a name, _ and a unit",
		"time_ms,a_furlong":            "column 2",
		"time_ms,_c":                   "column 2",
		"time_ms,a_c,a_c":              "column 3, \"a_c\": each name once",
		"time_ms,a_counts":             "_counts/FULL",
		"time_ms,a_counts/0":           "count of a full-scale reading",
		"time_ms,a_counts/x":           "count of a full-scale reading",
		"time_ms,flags,a_c,flags":      "column 4, \"flags\": one flags column",
		"time_ms,much_too_long_name_c": "at most 12 letters",
		"time_ms,a\x1b[1mb_c":          "column 2, \"a\\x1b[1mb_c\": letters, digits and _",
		many:                           "at most 16 values",
		"time_ms,a_c,":                 "column 3",
	} {
		d := TextLines{Aligned: true}
		got := lines(t, &d, "time_ms,a_c\n1,2\n"+header+"\n3,4\n")
		must.Be(t, len(got) == 2 && d.Counts().Damaged == 2, "%q: %q, %+v", header, got, d.Counts())
		err := d.Declare(header)
		must.Be(t, err != nil && strings.Contains(err.Error(), says) && strings.Contains(err.Error(), ExampleHeader), "%q: %v, want %q", header, err, says)
	}
}

// Time that runs back is a restart; a u32 that wraps is not; a header printed
// again is one only if time ran back; another header always is.
func TestTextRestarts(t *testing.T) {
	d := TextLines{Aligned: true}
	got := lines(t, &d, "time_ms,a_c\n4294967290,1\n4,1\n4,1\n3,1\ntime_ms,a_c\n5,1\ntime_ms,a_c\n0,1\ntime_ms,b_c\n9,1\n")
	hello := func(boot int, name string) string { return fmt.Sprintf("hello boot=%d channels=0:2:0:%s", boot, name) }
	sample := func(ms int64) string { return fmt.Sprintf("sample time_ms=%d flags=0x0000 values=1000", ms) }
	compareLines(t, got, hello(1, "a"), sample(4294967290), sample(4), sample(4), hello(2, "a"), sample(3),
		hello(2, "a"), sample(5), hello(3, "a"), sample(0), hello(4, "b"), sample(9))
}

// Minutes and seconds run past 2³² ms and wrap as a u32 does.
func TestTextLongTimeWraps(t *testing.T) {
	d := TextLines{Aligned: true}
	got := lines(t, &d, "time_s,a_c\n4294967.295,1\n4294967.300,1\n")
	compareLines(t, got, "hello boot=1 channels=0:2:0:a",
		"sample time_ms=4294967295 flags=0x0000 values=1000", "sample time_ms=4 flags=0x0000 values=1000")
}

// Joining in the middle: the torn first line is dropped uncounted, a header
// that was declared serves, and without one the operator is told.
func TestTextJoined(t *testing.T) {
	d := TextLines{}
	got := lines(t, &d, "345,1\n400,1\n")
	must.Be(t, len(got) == 0 && d.Counts() == (Counts{Damaged: 1}) && strings.Contains(d.Problem().Error(), "no header yet"), "%q %+v %v", got, d.Counts(), d.Problem())
	d = TextLines{}
	must.Do(t, d.Declare(" time_ms,a_c "))
	compareLines(t, lines(t, &d, "345,1\n400,1\n"), "hello boot=1 channels=0:2:0:a", "sample time_ms=400 flags=0x0000 values=1000")
	d = TextLines{}
	compareLines(t, lines(t, &d, "time_ms,a_c\n400,1\n"), "hello boot=1 channels=0:2:0:a", "sample time_ms=400 flags=0x0000 values=1000")
}

// The checksum is the CRC of the frames: 29B1 over 123456789 (catalogue).
func TestTextChecksum(t *testing.T) {
	_, has, ok := splitSum([]byte("123456789*29B1"))
	must.Be(t, has && ok, "29B1 was refused")
	sum := func(s string) string { return fmt.Sprintf("%s*%04X\n", s, crc16([]byte(s))) }
	d := TextLines{Aligned: true}
	flipped := strings.Replace(sum("2,20"), "20", "30", 1)
	got := lines(t, &d, sum("time_ms,a_c")+sum("1,20")+flipped+"3,20\n"+sum("4,20"))
	compareLines(t, got, "hello boot=1 channels=0:2:0:a", "sample time_ms=1 flags=0x0000 values=20000", "sample time_ms=4 flags=0x0000 values=20000")
	must.Be(t, d.Counts().Damaged == 2, "%+v", d.Counts())
}

// A line of any length holds no more memory than one line.
func TestTextLongLine(t *testing.T) {
	d := TextLines{Aligned: true}
	longest := "1" + strings.Repeat(" ", LineMost-2-1) + ",2"
	got := lines(t, &d, "\uFEFFtime_ms,a_c\n"+longest+"\r\n "+longest+"\n"+strings.Repeat("9", 5000)+"\n2,2\n")
	compareLines(t, got, "hello boot=1 channels=0:2:0:a", "sample time_ms=1 flags=0x0000 values=2000", "sample time_ms=2 flags=0x0000 values=2000")
	c := d.Counts()
	must.Be(t, c.Oversize == 2 && c.Damaged == 0, "%+v", c)
	lines(t, &d, strings.Repeat("9", 700))
	must.Be(t, d.Pending() == 700, "pending %d", d.Pending())
}

// A stream of frames is not taken for text, nor text for frames.
func TestIsText(t *testing.T) {
	for in, want := range map[string]bool{
		"time_ms,a_c\r\n1,2": true, "\uFEFFtime_ms,a_c\n": true, "time_ms,a": false, "": false,
		string(AppendAskHello(nil, 0)) + "\n": false, "abc\x00\n": false, "abc\x80\n": false,
	} {
		must.Be(t, IsText([]byte(in)) == want, "IsText(%q) is %v", in, !want)
	}
}
