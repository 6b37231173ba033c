package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"fillwright/internal/bend"
	"fillwright/internal/quantity"
	"fillwright/internal/vessel"
)

func profileCommand(t *terminal) *cobra.Command {
	c := &cobra.Command{
		Use: "profile", Short: "Writes or checks a vessel profile",
		Args: unknownCommand,
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	example := false
	fresh := &cobra.Command{
		Use: "new [FILE]", Short: "Writes a commented profile of an invented vessel, to be filled in",
		Args: wanted(0, 1, "at most one file name", "fillwright profile new vessel.toml"),
		RunE: func(_ *cobra.Command, args []string) error { return t.newProfile(args, example) },
	}
	fresh.Flags().BoolVar(&example, "example", false, "the invented vessel as it is, to practise with; not to be filled in")
	c.AddCommand(fresh, &cobra.Command{
		Use: "check FILE", Short: "Checks a profile and says what is wrong or unusual",
		Args: wanted(1, 1, "one file name", "fillwright profile check vessel.toml"),
		RunE: func(_ *cobra.Command, args []string) error { return t.checkProfile(args[0]) },
	})
	return c
}

func (t *terminal) newProfile(args []string, example bool) error {
	text := vessel.Template()
	if example {
		text = vessel.Example()
	}
	write := func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
	if len(args) == 0 {
		return write(t.out)
	}
	if err := newFile(args[0], write); err != nil {
		return err
	}
	if example {
		t.note("%s holds the profile of an invented vessel, to practise with a pretended logger: fillwright mimic --help", args[0])
		return nil
	}
	t.note("%s holds the profile of an invented vessel; put your vessel's numbers in and delete the line template = true, then type: fillwright profile check %s", args[0], args[0])
	return nil
}

func (t *terminal) checkProfile(path string) error {
	in := inputs{vesselFile: path, bare: true}
	if err := in.load(); err != nil {
		return err
	}
	p, u := in.profile, quantity.SystemBarC
	_, err := fmt.Fprintf(t.out, "%s: no mistake found\n  %s: %s, %.2f L for gas, limit %s, target %s\n"+
		"  resin softens from %s, reserve %s; %d stations, %d channels\n",
		path, p.Name, p.Gas, p.GasVolumeM3()*1e3, u.Pressure(float64(p.Limits.Pressure)), u.Pressure(float64(p.Fill.Target)),
		u.Temperature(float64(p.Resin.Onset)), u.Difference(float64(p.Limits.Reserve)), len(p.Stations), len(p.Channels))
	if l, ok := bend.AsBuilt(p); ok && err == nil {
		along, round := l.Moduli()
		_, err = fmt.Fprintf(t.out, "  wall from the inside out: %s; cold, %.3g GPa along and %.3g GPa round\n", l.Words(), along/1e9, round/1e9)
	}
	for _, n := range vessel.Check(p) {
		if err == nil {
			_, err = fmt.Fprintf(t.out, "  remark on %s: %s; %s\n", n.Where, n.Text, n.Do)
		}
	}
	return err
}
