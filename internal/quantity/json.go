package quantity

import (
	"encoding/json"
	"math"
	"strconv"
)

// JSON is a number that is null in JSON when it is not known, or has no end.
type JSON float64

// MarshalJSON implements json.Marshaler.
func (n JSON) MarshalJSON() ([]byte, error) {
	if endless(float64(n)) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// JSON6 is the same of six digits, where more can mean nothing.
type JSON6 float64

// MarshalJSON implements json.Marshaler.
func (n JSON6) MarshalJSON() ([]byte, error) {
	if endless(float64(n)) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(n), 'g', 6, 64), nil
}

func endless(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }
