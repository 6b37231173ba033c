package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fillwright/internal/probe"
	"fillwright/internal/quantity"
)

// number is an option that takes a number as people write it: 2.5 or 2,5.
type number float64

func numberVar(f *pflag.FlagSet, p *float64, name string, otherwise float64, help string) {
	*p = otherwise
	f.Var((*number)(p), name, help)
}

// Set implements pflag.Value.
func (n *number) Set(s string) error {
	x, err := quantity.ParseNumber(s)
	if err == nil {
		*n = number(x)
	}
	return err
}

// String implements pflag.Value.
func (n *number) String() string { return fmt.Sprint(float64(*n)) }

// Type implements pflag.Value.
func (n *number) Type() string { return "number" }

// lapse is an option that takes a time as people write it: 10s, 1m30s, "1,5 min".
type lapse time.Duration

func lapseVar(f *pflag.FlagSet, p *time.Duration, name string, otherwise time.Duration, help string) {
	*p = otherwise
	f.Var((*lapse)(p), name, help)
}

// Set implements pflag.Value.
func (l *lapse) Set(s string) error {
	d, err := parseLapse(s)
	if err == nil {
		*l = lapse(d)
	}
	return err
}

// String implements pflag.Value.
func (l *lapse) String() string { return time.Duration(*l).String() }

// Type implements pflag.Value.
func (l *lapse) Type() string { return "time" }

// parseLapse reads a time. A minus is read too: what it means is the option's.
func parseLapse(s string) (time.Duration, error) {
	s = strings.TrimSpace(s)
	if d, err := time.ParseDuration(s); err == nil {
		return d, nil
	}
	t, err := quantity.ParseSeconds(s)
	if err != nil {
		return 0, err
	}
	if s := float64(t); s > maxLapseS {
		return 0, fmt.Errorf("%s is too long a time", t)
	}
	return time.Duration(float64(t) * float64(time.Second)), nil
}

const maxLapseS = 365 * 24 * 3600

// suggested adds to an error about a word what was most likely meant: one of
// words, found as the command library finds its commands.
func suggested(e *usageError, typed, before string, words []string) *usageError {
	tree := &cobra.Command{SuggestionsMinimumDistance: 2}
	for _, w := range words {
		tree.AddCommand(&cobra.Command{Use: w, Run: func(*cobra.Command, []string) {}})
	}
	if near := tree.SuggestionsFor(typed); len(near) > 0 {
		return e.hint("did you mean: " + before + strings.Join(near, ", "+before))
	}
	return e
}

// subcommands are the words that may follow a command.
func subcommands(c *cobra.Command) []string {
	var words []string
	for _, sub := range c.Commands() {
		words = append(words, sub.Name())
	}
	return words
}

// unknownCommand says that a command is none, and which was meant.
func unknownCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	e := usage("there is no command %q", strings.TrimPrefix(c.CommandPath()+" "+args[0], c.Root().Name()+" "))
	return suggested(e, args[0], c.CommandPath()+" ", subcommands(c)).
		hint("the commands are listed by: " + c.CommandPath() + " --help")
}

// gone are options of earlier versions, and what to do now.
var gone = map[string]string{
	"way":          "it is called --method now; for example: --method ice",
	"old":          fmt.Sprintf("an offset is old after %d days, everywhere", probe.OldDays),
	"offsets-days": fmt.Sprintf("an offset is old after %d days, everywhere; leave the option out", probe.OldDays),
}

// wrongFlag words what is wrong with an option, and which was meant.
func wrongFlag(c *cobra.Command, err error) error {
	e := usage("%s", err)
	if _, name, unknown := strings.Cut(err.Error(), "unknown flag: --"); unknown && gone[name] != "" {
		e = e.hint(gone[name])
	} else if unknown {
		var words []string
		c.Flags().VisitAll(func(f *pflag.Flag) { words = append(words, f.Name) })
		e = suggested(e, name, "--", words)
	}
	return e.hint("the options are listed by: " + c.CommandPath() + " --help")
}
