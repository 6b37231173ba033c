package conformance

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

// rules stand in the order of the page. Each heading is one of the page's.
var rules = []rule{
	{"line.understood", clauseLine, true, true, judgeUnderstood},
	{"line.load", clauseLine, true, true, judgeLoad},

	{"framing.cobs", clauseFraming, true, false, judgeCOBS},
	{"framing.crc", clauseFraming, true, false, judgeCRC},
	{"framing.size", clauseFraming, true, false, judgeSize},
	{"type.known", clauseTypes, true, false, judgeTypes},

	{"lines.header", clauseText, false, true, judgeHeader},
	{"lines.cells", clauseText, false, true, judgeCells},
	{"lines.checksum", clauseText, false, true, judgeChecksum},

	{"hello.there", clauseHello, true, false, judgeHelloThere},
	{"hello.version", clauseVersion, true, false, judgeVersion},
	{"hello.body", clauseVersion, true, false, judgeHelloBody},
	{"hello.board", clauseHello, true, false, judgeBoard},
	{"hello.channels", clauseHello, true, true, judgeChannels},
	{"hello.labels", clauseHello, true, false, judgeLabels},
	{"hello.steady", clauseHello, true, false, judgeTable},
	{"hello.period", clauseTiming, true, true, judgeHelloPeriod},

	{"sample.there", clauseSample, true, true, judgeSampleThere},
	{"sample.count", clauseSample, true, false, judgeSampleCount},
	{"sample.flags", clauseSample, true, true, judgeFlags},
	{"sample.range", clauseSample, true, true, judgeRange},
	{"sample.missing", clauseSample, true, true, judgeStandIn},
	{"sample.rate", clauseTiming, true, true, judgeRate},
	{"sample.steady", clauseTiming, true, true, judgeJitter},
	{"sample.gaps", clauseSample, true, true, judgeGaps},

	{"fault.body", clauseFault, true, false, judgeFaultBody},
	{"fault.value", clauseFault, true, false, judgeFaultValue},
	{"fault.sent", clauseFault, true, false, judgeFaultSent},
	{"fault.period", clauseTiming, true, false, judgeFaultPeriod},

	{"request.ask-hello", clauseAsk, true, false, judgeAskHello},
	{"request.ping", clauseAsk, true, false, judgePing},
	{"request.set-rate", clauseAsk, true, false, judgeSetRate},
	{"request.damaged", clauseAsk, true, false, judgeDamagedRequest},
	{"request.unknown", clauseAsk, true, false, judgeUnknownRequest},

	{"seq.counts", clauseSeq, true, false, judgeSeq},
	{"seq.repeats", clauseSeq, true, false, judgeRepeats},
	{"time.forward", clauseTime, true, true, judgeForward},
	{"time.base", clauseTime, true, true, judgeTimeBase},
	{"restart.boot", clauseRestart, true, false, judgeBoot},
	{"restart.first", clauseRestart, true, false, judgeRestartFirst},
	{"restart.cause", clauseHello, true, false, judgeCause},
}
