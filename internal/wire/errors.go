package wire

import (
	"errors"
	"fmt"
)

// Causes of a BodyError.
var (
	ErrShort   = errors.New("body too short")
	ErrRange   = errors.New("value outside its range")
	ErrVersion = errors.New("protocol version not known")
)

// BodyError says what is wrong with the body of a frame whose CRC was right:
// the sender made it so. Is finds ErrShort, ErrRange or ErrVersion in it.
type BodyError struct {
	Type  Type
	Field string // the field at fault
	Value int64  // ErrShort: bytes there; otherwise the field's value
	Want  string // what was expected
	Err   error
}

// Error names the frame, the field, what was there and what was expected.
func (e *BodyError) Error() string {
	if errors.Is(e.Err, ErrShort) {
		return fmt.Sprintf("%v frame: %s: body is %d bytes, want %s: %v", e.Type, e.Field, e.Value, e.Want, e.Err)
	}
	return fmt.Sprintf("%v frame: %s is %d, want %s: %v", e.Type, e.Field, e.Value, e.Want, e.Err)
}

// Unwrap gives the cause.
func (e *BodyError) Unwrap() error { return e.Err }

// need checks that a body holds at least n bytes, up to and with field.
func need(t Type, body []byte, field string, n int) error {
	if len(body) >= n {
		return nil
	}
	return &BodyError{Type: t, Field: field, Value: int64(len(body)), Want: fmt.Sprintf("at least %d", n), Err: ErrShort}
}

func outside(t Type, field string, value int, want string) error {
	return &BodyError{Type: t, Field: field, Value: int64(value), Want: want, Err: ErrRange}
}

// u32 reads a body that is one number, field.
func u32(t Type, body []byte, field string) (uint32, error) {
	if err := need(t, body, field, 4); err != nil {
		return 0, err
	}
	return le.Uint32(body), nil
}
