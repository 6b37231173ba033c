// Package must is for tests: what has to work and what has to hold.
package must

import "fmt"

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
