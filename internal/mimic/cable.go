package mimic

import (
	"fmt"
	"math/rand/v2"
)

// Cable is what goes wrong between logger and host. The zero value is a good
// cable.
type Cable struct {
	Lost      float64   // chance of a frame to vanish
	Flipped   float64   // chance of a frame to have one bit turned over
	Repeated  float64   // chance of a frame to come twice
	StallAtS  float64   // from here …
	StallForS float64   // … for so long nothing is sent
	RestartsS []float64 // the logger restarts at these times, in rising order
	DownForS  float64   // how long a restart takes; 0: 1.5 s
}

func (c *Cable) check() error {
	for _, x := range []struct {
		what string
		v    float64
	}{{"lost", c.Lost}, {"flipped", c.Flipped}, {"repeated", c.Repeated}} {
		if !(x.v >= 0 && x.v <= 1) {
			return fmt.Errorf("mimic: chance of %s frames is %g, must be 0 to 1; try 0.01", x.what, x.v)
		}
	}
	for i := 1; i < len(c.RestartsS); i++ {
		if !(c.RestartsS[i] > c.RestartsS[i-1]) {
			return fmt.Errorf("mimic: restart times must rise, but %g s follows %g s", c.RestartsS[i], c.RestartsS[i-1])
		}
	}
	if c.DownForS == 0 {
		c.DownForS = 1.5
	}
	if !(c.DownForS > 0) || c.StallForS < 0 {
		return fmt.Errorf("mimic: a restart of %g s or a stall of %g s makes no sense", c.DownForS, c.StallForS)
	}
	return nil
}

// stalled says whether the cable is dead at a time.
func (c *Cable) stalled(timeS float64) bool {
	return c.StallForS > 0 && timeS >= c.StallAtS && timeS < c.StallAtS+c.StallForS
}

// carry sends a frame through the cable. emit gets the bytes that arrive,
// valid during the call; frame may be changed.
func (c *Cable) carry(r *rand.Rand, frame []byte, emit func([]byte)) {
	lose, flip, twice := r.Float64(), r.Float64(), r.Float64()
	if lose < c.Lost {
		return
	}
	if flip < c.Flipped {
		frame[r.IntN(len(frame))] ^= 1 << r.IntN(8)
	}
	emit(frame)
	if twice < c.Repeated {
		emit(frame)
	}
}
