// Package must is for tests: what has to work and what has to hold.
package must

import (
	"fmt"
	"strings"
	"time"
)

// Test is a *testing.T, and what has the same to say.
type Test interface {
	Helper()
	Error(args ...any)
	Fatal(args ...any)
}

// Get gives the value of a call that must not fail: must.Get(os.Open(name))(t).
func Get[T any](value T, err error) func(t Test) T {
	return func(t Test) T {
		t.Helper()
		Do(t, err)
		return value
	}
}

// Do ends the test when err is one.
func Do(t Test, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Be says what is wrong unless it is so; the test goes on.
func Be(t Test, so bool, format string, args ...any) {
	if !so {
		t.Helper()
		t.Error(fmt.Sprintf(format, args...))
	}
}

// Need says what is wrong unless it is so, and ends the test.
func Need(t Test, so bool, format string, args ...any) {
	if !so {
		t.Helper()
		t.Fatal(fmt.Sprintf(format, args...))
	}
}

// Equal holds a value against another; NaN equals nothing.
func Equal[T comparable](t Test, got, want T, what string, args ...any) {
	if got != want {
		t.Helper()
		t.Error(fmt.Sprintf(what, args...) + fmt.Sprintf(": got %s, want %s", shown(got), shown(want)))
	}
}

// shown is a value with what tells a text of blanks from none.
func shown(v any) string {
	if s, ok := v.(string); ok {
		return fmt.Sprintf("%q", s)
	}
	return fmt.Sprintf("%v", v)
}

// Err is the error of a call whose value is not asked for: must.Err(os.Open(name)).
func Err[T any](_ T, err error) error { return err }

// Refuse holds that there is an error, and that it says so.
func Refuse(t Test, err error, says string) {
	if err == nil || !strings.Contains(err.Error(), says) {
		t.Helper()
		t.Error(fmt.Sprintf("got error %v, want one that says %q", err, says))
	}
}

// soonMost is how long a loaded machine may need for what is next to nothing; it is
// no measurement.
const soonMost = 30 * time.Second

// Soon waits until it is so.
func Soon(t Test, what string, so func() bool) {
	t.Helper()
	for stop := time.Now().Add(soonMost); !so(); time.Sleep(2 * time.Millisecond) {
		Need(t, time.Now().Before(stop), "it never came that %s", what)
	}
}

// Comes waits for what comes out of a channel.
func Comes[T any](t Test, what string, c <-chan T) (value T) {
	t.Helper()
	select {
	case value = <-c:
	case <-time.After(soonMost):
		t.Fatal("it never came that " + what)
	}
	return value
}
