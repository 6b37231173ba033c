// Package must is for tests: what has to work, or the test ends.
package must

// Test is a *testing.T, and what has the same to say.
type Test interface {
	Helper()
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
