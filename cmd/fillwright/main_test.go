package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"fillwright/internal/must"
	"fillwright/internal/runlog"
	"fillwright/internal/wire"
)

func TestMain(m *testing.M) {
	if os.Getenv("FILLWRIGHT_TEST_MAIN") != "" { // this process stands in for the program
		main()
	}
	// Most scripts wait for a clock and not for a processor.
	if err := flag.Set("test.parallel", "6"); err != nil {
		panic(err)
	}
	testscript.Main(m, map[string]func(){"fillwright": main})
}

// patience is how long a test waits for a condition before it fails; it is no
// measurement.
const patience = time.Minute

// TestScripts runs the scripts, one a feature. Each block says what it proves.
func TestScripts(t *testing.T) {
	data := must.Get(filepath.Abs("../../testdata"))(t)
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("DATA", data)
			e.Setenv("TERM", "dumb")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"await": await, "exits": exits, "cut": cut, "newer": newer, "stranger": stranger, "nearTruth": nearTruth,
		},
	})
}

// await FILE PATTERN waits until a file holds a text that matches; await FILE
// until there is one.
func await(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 || len(args) > 2 {
		ts.Fatalf("usage: await file [pattern]")
	}
	var pattern *regexp.Regexp
	if len(args) == 2 {
		pattern = regexp.MustCompile("(?m)" + args[1])
	}
	var data []byte
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		// A link to a pseudo-terminal is not to be read: that would make us its host.
		_, err := os.Lstat(ts.MkAbs(args[0]))
		if err == nil && pattern != nil {
			data, err = os.ReadFile(ts.MkAbs(args[0]))
		}
		if err == nil && (pattern == nil || pattern.Match(data)) {
			return
		}
	}
	ts.Fatalf("%s never came to match %q; it holds:\n%s", args[0], args[1:], data)
}

// exits CODE ARGS... runs fillwright and compares its exit code, or codes such as
// 0|3. What it prints goes to the files out and err.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 1 {
		ts.Fatalf("usage: exits code args...")
	}
	err := ts.Exec("fillwright", args[1:]...)
	ts.Check(os.WriteFile(ts.MkAbs("out"), []byte(ts.ReadFile("stdout")), 0o644))
	ts.Check(os.WriteFile(ts.MkAbs("err"), []byte(ts.ReadFile("stderr")), 0o644))
	code := 0
	if exit, ok := err.(interface{ ExitCode() int }); ok {
		code = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if !slices.Contains(strings.Split(args[0], "|"), fmt.Sprint(code)) {
		ts.Fatalf("exit code %d, want %s", code, args[0])
	}
}

// cut FILE BYTES OUT copies the first bytes of a file, all but the last ones
// where BYTES is negative.
func cut(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: cut file bytes out")
	}
	data := []byte(ts.ReadFile(args[0]))
	var n int
	_, err := fmt.Sscan(args[1], &n)
	ts.Check(err)
	if n < 0 {
		n += len(data)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), data[:n], 0o644))
}

// newer FILE OUT makes a log as a later version of the program would: version 2
// in its first frame, in front of the frames of FILE.
func newer(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: newer file out")
	}
	data := []byte(ts.ReadFile(args[0]))
	first := bytes.IndexByte(data, 0) + 1
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), append(logStartOf(2), data[first:]...), 0o644))
}

// stranger OUT makes a log that holds a model as somebody made it who means no
// good: a key with an escape sequence.
func stranger(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: stranger out")
	}
	texts := wire.Texts{Model: "version = 3\n\"k\\u001b[31mREADY\" = 1\n"}
	_, err := runlog.WriteLog(ts.MkAbs(args[0]), wire.LogStart{}, &texts, none{})
	ts.Check(err)
}

// none is a source without frames.
type none struct{}

func (none) Next() (wire.Frame, error) { return wire.Frame{}, io.EOF }

// logStartOf is the first frame of a log of some version.
func logStartOf(version uint8) []byte {
	return wire.AppendLogStart(nil, 0, wire.LogStart{Version: version, App: wire.MakeLabel("test")})
}
