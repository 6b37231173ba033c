package thermal

import "math"

// Cholesky is a square root of a covariance: its columns are independent moves
// of one sigma. Those come first that a wall feels, then those that a place has
// for itself, then those of the sensors alone, which no wall feels: the columns of
// the last are zero in all that a figure of the wall is made of, and are not asked.
type Cholesky struct {
	n      int
	cols   []float64 // column by column, each in the order of the vector
	state  State     // moved along a column
	params Params
}

// Factorize makes the root by Cholesky's method; what the covariance is sure of
// gets an empty column.
func (r *Cholesky) Factorize(b *Estimate) {
	n, order := b.Layout.N, &b.Layout.order
	r.n = n
	if len(r.cols) != n*n {
		r.cols = make([]float64, n*n)
	}
	l := r.cols
	var row, sum [VectorMost]float64
	for j := range n {
		cj, cov := l[j*n:j*n+n], b.Cov[int(order[j])*n:]
		clear(cj)
		for k := range j {
			row[k] = l[k*n+j]
		}
		Combine(sum[j:n], row[:j], l[j:], n)
		pivot := cov[order[j]] - sum[j]
		if pivot <= 1e-14 {
			continue
		}
		inv := 1 / math.Sqrt(pivot)
		for i := j; i < n; i++ {
			cj[i] = (cov[order[i]] - sum[i]) * inv
		}
	}
	for j := range n {
		cj := l[j*n : j*n+n]
		copy(row[:n], cj)
		for i, v := range row[:n] {
			cj[order[i]] = v
		}
	}
}

// Combine is dst = Σ factors_k row_k, where the rows begin stride apart; four at a
// time of those whose factors are not 0.
func Combine(dst, factors, rows []float64, stride int) {
	clear(dst)
	n := len(dst)
	var at [4]int
	var by [4]float64
	got := 0
	for k, f := range factors {
		if f == 0 {
			continue
		}
		at[got], by[got] = k*stride, f
		if got++; got < len(at) {
			continue
		}
		got = 0
		w, x, y, z := rows[at[0]:at[0]+n], rows[at[1]:at[1]+n], rows[at[2]:at[2]+n], rows[at[3]:at[3]+n]
		a, b, c, d := by[0], by[1], by[2], by[3]
		for j := range dst {
			dst[j] += a*w[j] + b*x[j] + c*y[j] + d*z[j]
		}
	}
	for k := range got {
		f := by[k]
		for j, v := range rows[at[k] : at[k]+n] {
			dst[j] += f * v
		}
	}
}

// WorstDirection is the value of a figure of gas and wall at the estimate, its sigma, and in along
// the direction, one sigma long, in which it rises most for its likelihood:
// along = Σ Δf_k c_k / σ over the columns c_k of the root, σ² = Σ Δf_k².
// Moving two of these up gives the two-sigma bound in one run (first-order
// reliability; Hasofer & Lind 1974, citation from memory). It is taken for each end by
// itself; the direction is that of the far end, if there is one, and the sigma reaches
// from the figure to the higher bound of both.
func (b *Estimate) WorstDirection(r *Cholesky, figure func(*State, *Params) Ends, along []float64) (value, sigma float64) {
	n := r.n
	r.state, r.params = b.State, b.Params
	at := figure(&r.state, &r.params)
	var far [VectorMost]float64
	clear(along)
	var vNear, vFar float64
	for k := range b.Layout.wallFeels {
		col := r.cols[k*n : k*n+n]
		if b.slight(col) {
			continue
		}
		r.state, r.params = b.Moved(col)
		moved := figure(&r.state, &r.params)
		dNear, dFar := moved.NearK-at.NearK, moved.FarK-at.FarK
		vNear, vFar = vNear+dNear*dNear, vFar+dFar*dFar
		for i, c := range col {
			along[i] += dNear * c
			far[i] += dFar * c
		}
	}
	value, one := at.HottestK(), math.Sqrt(vNear)
	sigma = math.Max(b.reaches(value, at.NearK, one), b.reaches(value, at.FarK, math.Sqrt(vFar)))
	if b.Model.FarShare > 0 && vFar > 0 { // always the same end: going over from one to the other would make bounds jump
		one = math.Sqrt(vFar)
		copy(along, far[:n])
	}
	if one > 0 {
		for i := range along {
			along[i] /= one
		}
	}
	return value, sigma
}

// Reach is how many sigma a bound goes.
func (b *Estimate) Reach() float64 { return 2 * math.Max(b.BandFactor, 1) }

// reaches is the sigma by which the bound of a figure at K with its own sigma lies
// over value.
func (b *Estimate) reaches(value, atK, sigma float64) float64 {
	return math.Max(0, sigma-(value-atK)/b.Reach())
}

// PropagatedWalls is the wall at the places of out and the hottest of it, with
// their sigmas, the hottest's last, by differences over whole sigmas.
func (b *Estimate) PropagatedWalls(r *Cholesky, densityKgM3, inflowKgS float64, out []PlaceK, sigmaK []float64) (hottestK float64) {
	ends := b.Model.Walls(&b.State, &b.Params, densityKgM3, inflowKgS, out)
	var moved [PlacesMost]PlaceK
	clear(sigmaK)
	var vNear, vFar float64
	for k := range b.Layout.placesFeel {
		col := r.cols[k*r.n : k*r.n+r.n]
		if b.slight(col) {
			continue
		}
		s, p := b.Moved(col)
		to := b.Model.Walls(&s, &p, densityKgM3, inflowKgS, moved[:len(out)])
		vNear, vFar = vNear+square(to.NearK-ends.NearK), vFar+square(to.FarK-ends.FarK)
		for i := range out {
			sigmaK[i] += square(moved[i].HottestK - out[i].HottestK)
		}
	}
	for i := range out {
		sigmaK[i] = math.Sqrt(sigmaK[i])
	}
	hottestK = ends.HottestK()
	sigmaK[len(out)] = math.Max(b.reaches(hottestK, ends.NearK, math.Sqrt(vNear)), b.reaches(hottestK, ends.FarK, math.Sqrt(vFar)))
	return hottestK
}

func square(x float64) float64 { return x * x }

// slight tells whether a move is too small to matter to any figure: no
// parameter in it, and no temperature by a tenth of a kelvin. Such moves add
// in squares to bands of a kelvin and more.
func (b *Estimate) slight(col []float64) bool {
	for i, v := range col {
		if i > b.Layout.biasAt && v != 0 || math.Abs(v) > 0.1 {
			return false
		}
	}
	return true
}
