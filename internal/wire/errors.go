package wire

import (
	"errors"
	"fmt"
)

// Causes of the errors of bodies: what is wrong with a frame whose CRC was right, so
// that the sender made it so. They are wrapped with frame, field, what was there and
// what was expected.
var (
	ErrShort   = errors.New("body too short")
	ErrRange   = errors.New("value outside its range")
	ErrVersion = errors.New("protocol version not known")
)

// need checks that a body holds at least n bytes, up to and with field.
func need(t Type, body []byte, field string, n int) error {
	if len(body) >= n {
		return nil
	}
	return fmt.Errorf("%v frame: %s: body is %d bytes, want at least %d: %w", t, field, len(body), n, ErrShort)
}

func outside(t Type, field string, value int, want string) error {
	return bad(t, field, value, want, ErrRange)
}

func bad(t Type, field string, value int, want string, err error) error {
	return fmt.Errorf("%v frame: %s is %d, want %s: %w", t, field, value, want, err)
}

// u32 reads a body that is one number, field.
func u32(t Type, body []byte, field string) (uint32, error) {
	if err := need(t, body, field, 4); err != nil {
		return 0, err
	}
	return le.Uint32(body), nil
}
