package plan

import (
	"math"

	"fillwright/internal/thermal"
	"fillwright/internal/wallmodel"
)

// Of what a plan tells a watch of the sun, one sigma is at least so much: the day
// comes otherwise than it was told, and a reading narrows it at once. Common
// practice, no source.
const (
	litSigmaLeastK   = 3.0
	litSigmaShare    = 0.2
	shadeSigmaLeastK = 2.0
)

// Informed is the model that a watch starts from on this day: the setup's, with
// what the sun is expected to do on it in place of what is taken where nothing is
// known. Readings outrank it, as they outrank any start.
func (s *Setup) Informed() *wallmodel.Learned {
	still := *s
	still.Day.Air.Sigma = 0 // the watch measures it
	still.unread()
	still.Day.Reread = [thermal.SidesMost]bool{}
	b := still.estimate(still.causes())
	sun, shade, n := b.Layout.AtOut(thermal.SideSun), b.Layout.AtOut(thermal.SideShade), b.Layout.N
	air := s.Day.Air.Value
	lit := thermal.Normal{MeanK: b.State.OutK[thermal.SideSun] - b.State.OutK[thermal.SideShade]}
	v := b.Cov[sun*n+sun] + b.Cov[shade*n+shade] - 2*b.Cov[sun*n+shade]
	lit.SigmaK = math.Max(math.Sqrt(math.Max(v, 0)), math.Max(litSigmaLeastK, litSigmaShare*math.Abs(lit.MeanK)))
	base := thermal.Normal{MeanK: b.State.OutK[thermal.SideShade] - air,
		SigmaK: math.Max(math.Sqrt(math.Max(b.Cov[shade*n+shade], 0)), shadeSigmaLeastK)}
	l := *s.Model
	l.Gains = &thermal.SunGains{Shade: base, Lit: lit}
	return &l
}
