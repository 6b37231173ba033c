package table

import (
	"errors"
	"io"
	"strings"
	"testing"

	"fillwright/internal/must"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// FuzzTable: whatever a table holds, it either gives frames whose times rise and
// whose values a sensor can have, or a wrongfile.Error; no frame after an error, and doubts that can be
// read.
func FuzzTable(f *testing.F) {
	f.Add("time_s,pressure_bar,gas_c,wall_sun_c,surface_shade_c\n0,1,20,,30\n1.5,2,,21,\n")
	f.Add("time_min;pressure_psi;note\n# x\n0;\"1\";\"a\"\"b\"\n")
	f.Add("\xef\xbb\xbftime_ms\tpressure_mpa\r\n-5\t1e1\r\n")
	f.Add("time_s,pressure_bar\n0,1,5\n")
	f.Add("time_s,pressure_bar\n0,1\n0,1\n")
	f.Add("time_s;pressure_bar;gas_c;ambient_c;wall_sun_c;supply_c\n0,0;1,5;20,5;;21;9\n1,5;2;1.2;3;4;\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := NewReader("x.csv", strings.NewReader(text), nil)
		last, n := int64(-1), 0
		for err == nil {
			var frame wire.Frame
			if frame, err = c.Next(); err != nil || frame.Type != wire.TypeSample {
				continue
			}
			var s wire.Sample
			must.Do(t, wire.ParseSample(frame.Body, &s))
			must.Need(t, int64(s.TimeMS) > last && (n != 0 || s.TimeMS == 0), "time %d after %d", s.TimeMS, last)
			last, n = int64(s.TimeMS), n+1
			checkValues(t, &s, c.Channels())
		}
		var fe *wrongfile.Error
		must.Need(t, errors.Is(err, io.EOF) || errors.As(err, &fe), "error %v", err)
		must.Need(t, n <= strings.Count(text, "\n")+1, "%d samples of %q", n, text)
		if c == nil {
			return
		}
		for _, d := range c.survey(nil).Doubts {
			must.Need(t, d.Column != "" && d.What != "" && d.Do != "", "%q draws the doubt %+v", text, d)
		}
		_, again := c.Next()
		must.Need(t, again == err, "after %v came %v", err, again)
	})
}

func checkValues(t *testing.T, s *wire.Sample, channels []vessel.Channel) {
	for i, ch := range channels {
		v := s.Values[i]
		least, most := int32(-273_150), int32(1_500_000)
		if ch.Kind == vessel.KindGauge {
			least, most = -120_000, 200_000_000
		}
		must.Need(t, v == wire.ValueMissing || v >= least && v <= most, "channel %d has %d", i, v)
	}
}
