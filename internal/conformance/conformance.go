// Package conformance holds what a logger says against the protocol's page,
// firmware-protocol/README.md, clause by clause: what it does right, what it may
// not do, and what it leaves out. It has no clock: the time at which bytes came
// is handed in, so that a live logger, a recording and a test are judged alike.
//
// It judges what a logger says, not whether its sensors measure well.
package conformance

// Verdict is what was found about one rule.
type Verdict uint8

// The verdicts.
const (
	Right   Verdict = iota + 1
	Wrong           // it does what the page forbids, or not what it demands
	LeftOut         // it lacks what the page only advises
	NotSeen         // nothing of it was seen, so nothing can be said
)

var verdictNames = [...]string{"", "right", "wrong", "left out", "not seen"}

// String is the verdict's name: right, wrong, left out, not seen.
func (v Verdict) String() string {
	if int(v) >= len(verdictNames) {
		return ""
	}
	return verdictNames[v]
}

// Finding is the verdict on one rule.
type Finding struct {
	Rule    string // stable, dotted
	Clause  string // heading of the page that it stands under
	Verdict Verdict
	Text    string // what was seen, for people
}

// Report is what an Exam found, in the order of the page.
type Report struct {
	Format   string  // frames, lines, or unknown
	Seconds  float64 // how long was listened; of a recording, by device time
	Frames   int     // good ones; of a logger that prints, lines
	Samples  int
	Findings []Finding
}

// Count is how many findings have a verdict.
func (r *Report) Count(v Verdict) int {
	n := 0
	for _, f := range r.Findings {
		if f.Verdict == v {
			n++
		}
	}
	return n
}

// Options of an Exam.
type Options struct {
	// Live says that bytes come at the host's times; otherwise they are a
	// recording, nothing is asked, and only device time counts.
	Live bool
	// ForS is how long a live logger is heard; 0: DefaultS. At least LeastS.
	ForS float64
	// LineBytesS is what the line carries, bytes a second; 0: not known.
	LineBytesS float64
	// Header is that of a logger that prints lines without one.
	Header string
}

// How long a live logger is heard.
const (
	DefaultS = 30
	LeastS   = 27
)

// Limits on what is kept. Beyond samplesMost a recording is not looked at.
const (
	samplesMost = 2_000_000
	eventsMost  = 20_000
)

// rule is one row of what is judged. lines and frames say for which loggers.
type rule struct {
	id, clause    string
	frames, lines bool
	lacks         func(*Exam) string // what has to be seen first and was not; "": nothing
	judge         func(*Exam) (Verdict, string)
}

// Report judges everything seen so far.
func (x *Exam) Report() Report {
	x.finish()
	r := Report{Format: x.format.String(), Seconds: x.seconds(), Frames: x.good, Samples: len(x.samples)}
	for i := range rules {
		if w := &rules[i]; w.frames && x.format != printing || w.lines && x.format == printing {
			v, text := NotSeen, w.lacks(x)
			if text == "" {
				v, text = w.judge(x)
			}
			r.Findings = append(r.Findings, Finding{w.id, w.clause, v, text})
		}
	}
	return r
}

// seconds is how long was listened.
func (x *Exam) seconds() float64 {
	if x.opt.Live {
		return x.nowS
	}
	sum := 0.0
	for _, g := range x.segments {
		if n := len(g.ms); n > 1 {
			sum += float64(g.ms[n-1]-g.ms[0]) / 1000
		}
	}
	return sum
}
