package main

import (
	"github.com/spf13/cobra"

	"fillwright/internal/runlog"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
)

func importCommand(t *terminal) *cobra.Command {
	in := inputs{bare: true}
	var out string
	c := &cobra.Command{
		Use: "import CSV -o RUN", Short: "Makes a run log out of a CSV file",
		Long: `Makes a run log out of a CSV file with one header line. The names of the columns
carry their units: time_s (or time_ms, time_min), pressure_bar (or _psi, _kpa,
_mpa; gauge), gas_c (or _f), ambient_c, wall_STATION_c for an attached sensor,
surface_STATION_c for hand-held readings, supply_bar. A blank cell is a missing
reading, not a zero.`,
		Args: wanted(1, 1, "one CSV file", "fillwright import fill.csv -o fill.run --vessel vessel.toml"),
		RunE: func(_ *cobra.Command, args []string) error { return t.importCSV(args[0], out, &in) },
	}
	in.vesselFlag(c, "vessel profile to put into the run log")
	c.Flags().StringVarP(&out, "out", "o", "", "run log to make (`file`)")
	return c
}

func (t *terminal) importCSV(path, out string, in *inputs) error {
	if out == "" {
		return usage("import needs the name of the run log to make").hint("add for example: -o fill.run")
	}
	if err := in.load(); err != nil {
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

func (t *terminal) importFrom(r *runlog.Reader, out string, in *inputs) (int, error) {
	if r.Kind() != runlog.FileCSV {
		return 0, &runlog.FileError{File: r.Name(), What: "is no CSV file but a " + r.Kind().String(), Do: "it can be used as it is: fillwright replay " + r.Name()}
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
	return runlog.WriteLog(out, wire.LogStart{App: wire.MakeLabel(release)}, &in.texts, r)
}

// stationsOf are the stations of a profile that may not be there.
func stationsOf(p *vessel.Profile) []vessel.Station {
	if p == nil {
		return nil
	}
	return p.Stations
}
