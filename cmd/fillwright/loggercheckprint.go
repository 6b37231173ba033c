package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"fillwright/internal/conformance"
)

// conformanceJSON is the report as --json gives it. Names are stable.
type conformanceJSON struct {
	Format   string        `json:"format"`
	ListenS  float64       `json:"listened_s"`
	Frames   int           `json:"frames"`
	Samples  int           `json:"samples"`
	Right    int           `json:"right"`
	Wrong    int           `json:"wrong"`
	LeftOut  int           `json:"left_out"`
	NotSeen  int           `json:"not_seen"`
	Findings []findingJSON `json:"findings"`
}

type findingJSON struct {
	Rule    string `json:"rule"`
	Clause  string `json:"clause"`
	Verdict string `json:"verdict"`
	Text    string `json:"text"`
}

func writeConformance(w io.Writer, r *conformance.Report, asJSON bool) error {
	if asJSON {
		return writeConformanceJSON(w, r)
	}
	var b strings.Builder
	for _, f := range r.Findings {
		verdict := f.Verdict.String()
		if f.Verdict == conformance.Wrong {
			verdict = "WRONG"
		}
		fmt.Fprintf(&b, "%-8s  %-17s  %s (%s)\n", verdict, f.Rule, f.Text, f.Clause)
	}
	fmt.Fprintf(&b, "\n%d rules: %d right, %d wrong, %d left out, %d not seen; %d samples in %.0f s\n",
		len(r.Findings), r.Count(conformance.Right), r.Count(conformance.Wrong), r.Count(conformance.LeftOut),
		r.Count(conformance.NotSeen), r.Samples, r.Seconds)
	b.WriteString("This is about what the logger says. What its sensors measure is for the list at the end\n" +
		"of the protocol's page (Check before you trust a logger), with nothing under pressure.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func writeConformanceJSON(w io.Writer, r *conformance.Report) error {
	out := conformanceJSON{Format: r.Format, ListenS: r.Seconds, Frames: r.Frames, Samples: r.Samples,
		Right: r.Count(conformance.Right), Wrong: r.Count(conformance.Wrong),
		LeftOut: r.Count(conformance.LeftOut), NotSeen: r.Count(conformance.NotSeen)}
	for _, f := range r.Findings {
		out.Findings = append(out.Findings, findingJSON{f.Rule, f.Clause, f.Verdict.String(), f.Text})
	}
	return json.NewEncoder(w).Encode(out)
}
