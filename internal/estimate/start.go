package estimate

import (
	"math"

	"fillwright/internal/thermal"
)

// Prior estimates at the start: how much of the way from ambient to the outside
// equilibrium the wall has gone by then, 1 − e^(−t/τ). The sun may have come out
// four minutes ago or half an hour (one sigma of ln t; common practice, no source): a
// thin wall is there by then, a thick one not, and where it goes to is not told by
// where it stands. warmedLeast is one sigma of that for clouds.
const (
	warmsS        = 600.0
	warmsLn       = 0.9
	warmedLeast   = 0.08
	litAngleMostK = 15.0 // where more than this is not known of the sun, readings soon tell
	startBothK    = 1.0  // one sigma beside that, K, of both sides together
	startWallK    = 1.1  // and of each
	startGasK     = 1.5
	startLateK    = 8.0 // one sigma of the wall when the record starts under pressure
	startCellK    = 0.2
	startSkinK    = 0.3
	startBeadK    = 0.3
)

// warmed is how much of the way a wall of time constant tauS has gone, and one sigma.
func warmed(tauS float64) (mean, sigma float64) {
	early, late := -math.Expm1(-warmsS*math.Exp(-warmsLn)/tauS), -math.Expm1(-warmsS*math.Exp(warmsLn)/tauS)
	return 0.5 * (early + late), math.Hypot(0.5*(late-early), warmedLeast)
}

// startWalls fills in walls, outsides and their covariance. The shaded side
// stands a gain above ambient, the sunny one the lit gain above that.
func (o *Filter) startWalls(gasK, ambientK float64, underPressure bool) {
	b, l, n := &o.estimate, &o.estimate.Layout, o.estimate.Layout.N
	shade, lit := o.cfg.Gains.Shade, o.cfg.Gains.Lit
	mean := [thermal.SidesMost]float64{shade.MeanK + lit.MeanK, shade.MeanK}
	warmedMean, warmedSigma := warmed(b.OutsideTauS())
	vShade, vLit := shade.SigmaK*shade.SigmaK, lit.SigmaK*lit.SigmaK
	gains := func(i, k int) float64 { // covariance of the sides' gains
		if i == thermal.SideSun && k == thermal.SideSun {
			return vShade + vLit
		}
		return vShade
	}
	for i := 0; i < l.Sides; i++ {
		out := ambientK + mean[i]
		wall := ambientK + warmedMean*mean[i]
		if underPressure {
			wall = 0.5 * (gasK + out)
		}
		b.State.OutK[i] = out
		for j := 0; j < l.Cells; j++ {
			b.State.Wall[i][j] = wall
		}
	}
	for i := 0; i < l.Sides; i++ {
		for k := 0; k < l.Sides; k++ {
			g := gains(i, k)
			walls := warmedMean*warmedMean*g + warmedSigma*warmedSigma*(mean[i]*mean[k]+g) + startBothK*startBothK
			if i == k {
				walls += startWallK * startWallK
			}
			if underPressure {
				walls += startLateK * startLateK
			}
			b.Cov[l.AtOut(i)*n+l.AtOut(k)] = g
			for j := 0; j < l.Cells; j++ {
				at := l.AtWall(i, j)
				b.Cov[at*n+l.AtOut(k)], b.Cov[l.AtOut(k)*n+at] = warmedMean*g, warmedMean*g
				for q := 0; q < l.Cells; q++ {
					b.Cov[at*n+l.AtWall(k, q)] = walls
				}
			}
		}
	}
	for i := 0; i < l.Sides; i++ {
		for at := l.AtWall(i, 0); at <= l.AtOut(i); at++ {
			b.Cov[at*n+at] += startCellK * startCellK
		}
	}
}

// startPlaces fills in what is each place's own, and its skin sensor, which
// stands at the place's outer face.
func (o *Filter) startPlaces() {
	b, l, n := &o.estimate, &o.estimate.Layout, o.estimate.Layout.N
	b.State.ExcessK, b.State.FarK, b.State.FarGasK = 0, 0, b.State.GasK
	for _, at := range []int{l.AtExcess(), l.AtFar()} {
		b.Cov[at*n+at] = startSkinK * startSkinK
	}
	if bead, off, ok := l.AtSecond(); ok {
		b.State.SecondK, b.State.SecondOffK = b.State.GasK, 0
		b.Cov[bead*n+bead] = startBeadK * startBeadK
		b.Cov[off*n+off] = o.cfg.Bias.SigmaK * o.cfg.Bias.SigmaK
	}
	lit := o.cfg.Gains.Lit
	for i := 0; i < l.Places; i++ {
		pl := &b.Model.Places[i]
		angle := pl.SunSigma * math.Hypot(lit.MeanK, math.Min(lit.SigmaK, litAngleMostK))
		local := l.AtLocal(i)
		b.State.LocalK[i] = 0
		b.Cov[local*n+local] = angle*angle + pl.LocalK*pl.LocalK
		if !l.Skin[i] {
			continue
		}
		b.State.SkinK[i] = pl.Sun*b.State.Wall[thermal.SideSun][0] + (1-pl.Sun)*b.State.Wall[thermal.SideShade][0]
		skin := l.AtSkin(i)
		for k := 0; k < n; k++ { // a sum of others: its covariance is theirs
			row := pl.Sun*b.Cov[l.AtWall(thermal.SideSun, 0)*n+k] + (1-pl.Sun)*b.Cov[l.AtWall(thermal.SideShade, 0)*n+k] + b.Cov[local*n+k]
			b.Cov[skin*n+k], b.Cov[k*n+skin] = row, row
		}
		b.Cov[skin*n+skin] = pl.Sun*b.Cov[l.AtWall(thermal.SideSun, 0)*n+skin] + (1-pl.Sun)*b.Cov[l.AtWall(thermal.SideShade, 0)*n+skin] +
			b.Cov[local*n+skin] + startSkinK*startSkinK
	}
}
