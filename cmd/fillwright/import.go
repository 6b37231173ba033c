package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"fillwright/internal/quantity"
	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

func importCommand(t *terminal) *cobra.Command {
	in := inputs{bare: true}
	var out string
	var anyway bool
	c := &cobra.Command{
		Use: "import CSV -o RUN", Short: "Makes a run log out of a CSV file",
		Long: `Makes a run log out of a CSV file with one header line. The names of the columns
carry their units: time_s (or time_ms, time_min), pressure_bar (or _psi, _kpa,
_mpa; gauge), gas_c (or _f), gas_far_c of a probe at the far end, ambient_c,
wall_STATION_c for an attached sensor, surface_STATION_c for hand-held readings,
supply_bar. A blank cell is a missing reading, not a zero. It prints what each
column holds and what looks wrong, and refuses what physics does not allow.`,
		Args: wanted(1, 1, "one CSV file", "fillwright import fill.csv -o fill.run --vessel vessel.toml"),
		RunE: func(_ *cobra.Command, args []string) error { return t.importCSV(args[0], out, anyway, &in) },
	}
	in.vesselFlag(c, "vessel profile to put into the run log")
	c.Flags().BoolVar(&anyway, "anyway", false, "import what physics does not allow, as it is")
	c.Flags().StringVarP(&out, "out", "o", "", "run log to make (`file`)")
	return c
}

func (t *terminal) importCSV(path, out string, anyway bool, in *inputs) error {
	if out == "" {
		return usage("import needs the name of the run log to make").hint("add for example: -o fill.run")
	}
	if err := in.load(); err != nil {
		return err
	}
	if err := t.surveyed(path, anyway, in); err != nil {
		return err
	}
	r, err := runlog.Open(path, stationsOf(in.profile))
	if err != nil {
		return err
	}
	n, err := t.importFrom(r, out, in)
	if cerr := r.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		t.note("%s: %d frames written; show it with: fillwright replay %s", out, n, out)
	}
	return err
}

// surveyed prints what a table holds and what looks wrong in it, and refuses
// what physics does not allow.
func (t *terminal) surveyed(path string, anyway bool, in *inputs) error {
	told := t.begin("looking through "+path, false)
	s, err := runlog.SurveyCSV(path, in.profile, told.at)
	told.end()
	if err != nil {
		return err
	}
	each := ""
	if s.Rows > 1 {
		each = fmt.Sprintf(", one every %.3g s", s.SpanS/float64(s.Rows-1))
	}
	lines := []string{fmt.Sprintf("%s: %d rows in %s%s", path, s.Rows, quantity.Clock(s.SpanS), each)}
	for _, c := range s.Columns {
		line := fmt.Sprintf("  %-20s no reading", c.Name)
		if c.Values > 0 {
			line = fmt.Sprintf("  %-20s %9.2f to %9.2f", c.Name, c.Least, c.Most)
		}
		if c.Blank > 0 && c.Values > 0 {
			line += fmt.Sprintf("   %d of %d cells blank", c.Blank, s.Rows)
		}
		lines = append(lines, line)
	}
	forbidden := 0
	for _, d := range s.Doubts {
		word := "DOUBT"
		if d.Forbidden {
			word = "NOT POSSIBLE"
			forbidden++
		}
		lines = append(lines, "  "+word+" "+d.String())
	}
	if len(s.Doubts) == 0 {
		lines = append(lines, "  nothing in it looks wrong")
	}
	for _, line := range lines {
		if _, err := fmt.Fprintln(t.out, line); err != nil {
			return err
		}
	}
	if forbidden > 0 && !anyway {
		return &wrongfile.Error{File: path, What: "is not imported: physics does not allow what it says; the lines above say where",
			Do: "correct the file, or take it as it is: --anyway"}
	}
	return nil
}

func (t *terminal) importFrom(r *runlog.Reader, out string, in *inputs) (int, error) {
	if r.Kind() != runlog.FileCSV {
		return 0, &wrongfile.Error{File: r.Name(), What: "is no CSV file but a " + r.Kind().String(), Do: "it can be used as it is: fillwright replay " + r.Name()}
	}
	if in.profile == nil {
		t.note("without --vessel the run log holds no vessel profile; replay will ask for one")
	} else {
		if _, err := r.ProfileFor(in.profile); err != nil {
			return 0, err
		}
		text, err := runlog.ReplaceChannels(in.vesselFile, []byte(in.texts.Profile), r.Channels())
		if err != nil {
			return 0, err
		}
		in.texts.Profile = string(text)
	}
	told := t.begin("importing "+r.Name(), false)
	defer told.end()
	return runlog.WriteLog(out, wire.LogStart{App: wire.MakeLabel(release)}, &in.texts, &toldReader{Reader: r, told: told})
}

// stationsOf are the stations of a profile that may not be there.
func stationsOf(p *vessel.Profile) []vessel.Station {
	if p == nil {
		return nil
	}
	return p.Stations
}
