package conformance

import "slices"

const (
	clauseLine    = "The line"
	clauseFraming = "Framing"
	clauseTypes   = "Frame types"
	clauseHello   = "hello 0x01"
	clauseSample  = "sample 0x02"
	clauseFault   = "fault 0x03"
	clauseAsk     = "Requests"
	clauseSeq     = "seq, loss, repeats"
	clauseTime    = "Device time"
	clauseRestart = "Restart"
	clauseTiming  = "Timing"
	clauseVersion = "Versions"
	clauseText    = "Text lines"
)

// What a rule can lack.
var (
	nothing       = func(*Exam) string { return "" }
	frame         = unless("no frame came", func(x *Exam) bool { return x.good > 0 })
	frames        = unless("fewer than two frames came", func(x *Exam) bool { return x.seqs.frames > 1 })
	line          = unless("no line came", func(x *Exam) bool { return x.lines.rows+x.lines.headers > 0 })
	hello         = unless("no hello came", func(x *Exam) bool { return x.known })
	hellos        = unless("fewer than two hellos came", func(x *Exam) bool { return len(x.hellos) > 1 })
	sample        = unless("no sample came", func(x *Exam) bool { return len(x.samples) > 0 })
	sampleOrHello = unless("no sample, or no hello came", func(x *Exam) bool { return len(x.samples) > 0 && x.known })
)

func unless(lacks string, seen func(*Exam) bool) func(*Exam) string {
	return func(x *Exam) string {
		if seen(x) {
			return ""
		}
		return lacks
	}
}

// asked is for a rule about the answer to a request.
func asked(k stepKind) func(*Exam) string {
	return func(x *Exam) string {
		switch {
		case slices.ContainsFunc(x.requests, func(r request) bool { return r.kind == k }):
			return ""
		case x.opt.Live:
			return "it was not asked"
		}
		return "a recording answers nobody"
	}
}

// rules stand in the order of the page. Each heading is one of the page's.
var rules = []rule{
	{"line.understood", clauseLine, true, true, nothing, judgeUnderstood},
	{"line.load", clauseLine, true, true, nothing, judgeLoad},

	{"framing.cobs", clauseFraming, true, false, nothing, judgeCOBS},
	{"framing.crc", clauseFraming, true, false, nothing, judgeCRC},
	{"framing.size", clauseFraming, true, false, nothing, judgeSize},
	{"type.known", clauseTypes, true, false, frame, judgeTypes},

	{"lines.header", clauseText, false, true, nothing, judgeHeader},
	{"lines.cells", clauseText, false, true, nothing, judgeCells},
	{"lines.checksum", clauseText, false, true, line, judgeChecksum},

	{"hello.there", clauseHello, true, false, nothing, judgeHelloThere},
	{"hello.version", clauseVersion, true, false, nothing, judgeVersion},
	{"hello.body", clauseVersion, true, false, nothing, judgeHelloBody},
	{"hello.board", clauseHello, true, false, hello, judgeBoard},
	{"hello.channels", clauseHello, true, true, hello, judgeChannels},
	{"hello.labels", clauseHello, true, false, hello, judgeLabels},
	{"hello.steady", clauseHello, true, false, hellos, judgeTable},
	{"hello.period", clauseTiming, true, true, nothing, judgeHelloPeriod},

	{"sample.there", clauseSample, true, true, nothing, judgeSampleThere},
	{"sample.count", clauseSample, true, false, sampleOrHello, judgeSampleCount},
	{"sample.flags", clauseSample, true, true, sample, judgeFlags},
	{"sample.range", clauseSample, true, true, sampleOrHello, judgeRange},
	{"sample.missing", clauseSample, true, true, sampleOrHello, judgeStandIn},
	{"sample.rate", clauseTiming, true, true, nothing, judgeRate},
	{"sample.steady", clauseTiming, true, true, nothing, judgeJitter},
	{"sample.gaps", clauseSample, true, true, nothing, judgeGaps},

	{"fault.body", clauseFault, true, false, nothing, judgeFaultBody},
	{"fault.value", clauseFault, true, false, nothing, judgeFaultValue},
	{"fault.sent", clauseFault, true, false, nothing, judgeFaultSent},
	{"fault.period", clauseTiming, true, false, nothing, judgeFaultPeriod},

	{"request.ask-hello", clauseAsk, true, false, asked(stepAsk), judgeAskHello},
	{"request.ping", clauseAsk, true, false, asked(stepPing), judgePing},
	{"request.set-rate", clauseAsk, true, false, asked(stepOther), judgeSetRate},
	{"request.damaged", clauseAsk, true, false, asked(stepDamaged), judgeDamagedRequest},
	{"request.unknown", clauseAsk, true, false, asked(stepUnknown), judgeUnknownRequest},

	{"seq.counts", clauseSeq, true, false, frames, judgeSeq},
	{"seq.repeats", clauseSeq, true, false, frames, judgeRepeats},
	{"time.forward", clauseTime, true, true, nothing, judgeForward},
	{"time.base", clauseTime, true, true, nothing, judgeTimeBase},
	{"restart.boot", clauseRestart, true, false, nothing, judgeBoot},
	{"restart.first", clauseRestart, true, false, nothing, judgeRestartFirst},
	{"restart.cause", clauseHello, true, false, hello, judgeCause},
}
