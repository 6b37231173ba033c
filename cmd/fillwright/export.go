package main

import (
	"errors"
	"io"
	"time"

	"github.com/spf13/cobra"

	"fillwright/internal/table"
)

func exportCommand(t *terminal) *cobra.Command {
	in := inputs{bare: true}
	var out string
	var every time.Duration
	c := &cobra.Command{
		Use: "export RUN -o CSV", Short: "Writes a recorded fill as CSV",
		Long: "Writes the readings of a run log, a capture or a CSV file as a CSV file whose\n" +
			"column names carry their units. Readings that are not known to be good are blank.",
		Args: wanted(1, 1, "one recording", "fillwright export fill.run -o fill.csv --every 1s"),
		RunE: func(_ *cobra.Command, args []string) error { return t.export(args[0], out, every, &in) },
	}
	in.vesselFlag(c, "vessel profile instead of the recorded one")
	in.offsetsFlag(c)
	c.Flags().StringVarP(&out, "out", "o", "", "CSV `file` to make; - or nothing: print it")
	lapseVar(c.Flags(), &every, "every", 0, "least `time` between rows, such as 1s; nothing: every sample")
	return c
}

func (t *terminal) export(path, out string, every time.Duration, in *inputs) error {
	if err := in.load(); err != nil {
		return err
	}
	rec, err := openRecording(path, in)
	if err != nil {
		return err
	}
	rec.tell(t)
	var done table.Exported
	told := t.begin("exporting "+path, out == "" || out == "-")
	src := &toldReader{Reader: rec.reader, told: told}
	write := func(w io.Writer) (err error) {
		done, err = table.Export(w, src, rec.profile, rec.offsets, every.Seconds())
		told.end()
		return err
	}
	if out == "" || out == "-" {
		err = write(t.out)
	} else {
		err = newFile(out, write)
	}
	if err = errors.Join(err, rec.reader.Close()); err != nil {
		return err
	}
	for _, p := range done.Problems {
		t.note("%s: left blank: %v", path, p)
	}
	if out != "" && out != "-" {
		t.note("%s: %d rows written", out, done.Rows)
	}
	return nil
}
