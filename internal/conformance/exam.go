package conformance

import (
	"bytes"

	"fillwright/internal/wire"
)

// format is how the logger speaks.
type format uint8

const (
	undecided format = iota
	framing
	printing
)

func (f format) String() string { return [...]string{"unknown", "frames", "lines"}[f] }

// Exam takes in what a logger says. Make it with New; it is for one goroutine.
type Exam struct {
	opt    Options
	nowS   float64
	bytes  int
	format format
	head   []byte // until the format is known

	// frames
	dec        wire.Decoder
	chunk      []byte // since the last delimiter
	synced     bool
	emptyPart  bool   // two delimiters in a row stood before this frame
	lastDamage string // what was wrong with the frame before this one; empty: nothing
	good       int
	damage     map[string]int // by kind
	oversize   int
	foreign    map[wire.Type]int // types that a logger may not send
	seqs       seqWatch
	badBodies  map[wire.Type]string
	badVersion int

	lines lineWatch

	hellos   []helloSeen
	hello    wire.Hello // the newest
	known    bool       // hello is
	labelBad string
	tableBad bool

	samples   []uint16 // the flags of each
	segments  []*segment
	tooMuch   bool
	otherN    int
	flagsBad  uint16
	channels  [wire.ChannelMost]channelStats
	backMS    int64 // the worst step back of device time
	backs     int
	lastMS    int64 // device time of the last sample, unwrapped
	undated   int   // hellos before this one have a device time
	restarts  []restart
	restartIn restartWatch

	faults   faultWatch
	pongs    []pongSeen
	requests []request
	plan     []step
	arrivals []float64 // host times of frames, to see silences
}

// New readies an Exam. The error says what is wrong with the header of the options.
func New(opt Options) (*Exam, error) {
	if opt.ForS == 0 {
		opt.ForS = DefaultS
	}
	x := &Exam{opt: opt, damage: map[string]int{}, foreign: map[wire.Type]int{}, badBodies: map[wire.Type]string{}}
	x.faults.init()
	if opt.Header != "" {
		if err := x.lines.text.Declare(opt.Header); err != nil {
			return nil, err
		}
		x.format, x.lines.declared = printing, true
	}
	if opt.Live {
		x.plan = planFor(opt.ForS)
	}
	return x, nil
}

// undecidedMost is how many bytes without a zero are looked at before they
// are taken for frames that can't be understood.
const undecidedMost = 4096

// Bytes takes in what came at host time atS, counted from the opening. Of a
// recording the time is not used.
func (x *Exam) Bytes(atS float64, p []byte) {
	x.nowS = max(x.nowS, atS)
	x.bytes += len(p)
	if x.format == undecided {
		x.head = append(x.head, p...)
		p = x.head
		switch {
		case bytes.IndexByte(p, 0) >= 0:
			x.format = framing
		case wire.IsText(p):
			x.format = printing
		case len(p) >= undecidedMost:
			x.format = framing
		default:
			return
		}
		x.head = nil
	}
	if x.format == printing {
		x.takeLines(p)
		return
	}
	for len(p) > 0 {
		i := bytes.IndexByte(p, 0)
		if i < 0 {
			x.hold(p)
			return
		}
		x.hold(p[:i])
		x.part()
		p = p[i+1:]
	}
}

// Tick tells that host time went on.
func (x *Exam) Tick(atS float64) { x.nowS = max(x.nowS, atS) }

// Interrupted tells that the cable was gone: what was unfinished is dropped,
// and no loss is counted across it.
func (x *Exam) Interrupted() {
	x.chunk, x.synced = x.chunk[:0], false
	x.dec = wire.Decoder{}
	x.seqs.pause()
	x.newSegment(false)
}

var delimiter [1]byte

// chunkMost is more than any frame has.
const chunkMost = 2048

func (x *Exam) hold(p []byte) {
	x.chunk = append(x.chunk, p[:min(len(p), chunkMost-len(x.chunk))]...)
}

// part takes what lies between two delimiters.
func (x *Exam) part() {
	part := x.chunk
	first := !x.synced
	x.synced, x.chunk = true, x.chunk[:0]
	if len(part) == 0 {
		x.emptyPart = true
		x.dec.Decode(delimiter[:], func(wire.Frame) {}) // from here on it reads
		return
	}
	before := x.dec.Counts()
	var got *wire.Frame
	x.dec.Decode(append(part, 0), func(f wire.Frame) { got = &f })
	after := x.dec.Counts()
	x.seqs.lost += after.Lost - before.Lost
	x.seqs.repeated += after.Repeated - before.Repeated
	was := ""
	switch {
	case got != nil:
		x.good++
		x.frame(got)
	case after.Oversize > before.Oversize:
		x.oversize++
	case !first && after.Damaged > before.Damaged:
		was = whatIsWrong(part)
		x.damage[was]++
	}
	x.emptyPart, x.lastDamage = false, was
}

// frame takes a good one.
func (x *Exam) frame(f *wire.Frame) {
	if f.Type >= 0x80 && !x.opt.Live {
		return // a run log: the host's own
	}
	if len(x.arrivals) < samplesMost {
		x.arrivals = append(x.arrivals, x.nowS)
	}
	x.seqs.add(f)
	switch f.Type {
	case wire.TypeHello:
		x.takeHello(f)
	case wire.TypeSample:
		x.takeSample(f.Body)
	case wire.TypeFault:
		x.takeFault(f.Body)
	case wire.TypePong:
		x.takePong(f.Body)
	default:
		x.foreign[f.Type]++
	}
}

// spoilt notes a body that is wrong though its CRC is right.
func (x *Exam) spoilt(t wire.Type, err error) {
	if _, there := x.badBodies[t]; !there {
		x.badBodies[t] = err.Error()
	}
}

// finish closes what is still open.
func (x *Exam) finish() {
	if x.format == undecided && len(x.head) > 0 {
		x.format = framing
		head := x.head
		x.head = nil
		x.hold(head)
	}
}
