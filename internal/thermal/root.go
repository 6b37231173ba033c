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

// Combine is dst = Σ factors_k row_k, where the rows begin stride apart; four of
// them at a time.
func Combine(dst, factors, rows []float64, stride int) {
	clear(dst)
	n := len(dst)
	for ; len(factors) >= 4; factors = factors[4:] {
		a, b, c, d := factors[0], factors[1], factors[2], factors[3]
		if a != 0 || b != 0 || c != 0 || d != 0 {
			w, x, y, z := rows[:n], rows[stride:stride+n], rows[2*stride:2*stride+n], rows[3*stride:3*stride+n]
			for j := range dst {
				dst[j] += a*w[j] + b*x[j] + c*y[j] + d*z[j]
			}
		}
		rows = rows[min(4*stride, len(rows)):]
	}
	for k, f := range factors {
		for j, v := range rows[k*stride : k*stride+n] {
			dst[j] += f * v
		}
	}
}

// WorstDirection is the value of a figure of gas and wall at the estimate, its sigma, and in along
// the direction, one sigma long, in which it rises most for its likelihood:
// along = Σ Δf_k c_k / σ over the columns c_k of the root, σ² = Σ Δf_k².
// Differences over whole sigmas see a figure such as a maximum as it is.
// Moving two of these up gives the two-sigma bound in one run (first-order
// reliability; Hasofer & Lind 1974, citation from memory).
func (b *Estimate) WorstDirection(r *Cholesky, figure func(*State, *Params) float64, along []float64) (value, sigma float64) {
	n := r.n
	r.state, r.params = b.State, b.Params
	value = figure(&r.state, &r.params)
	for i := range along {
		along[i] = 0
	}
	var v float64
	for k := range b.Layout.wallFeels {
		col := r.cols[k*n : k*n+n]
		if b.slight(col) {
			continue
		}
		r.state, r.params = b.Moved(col)
		d := figure(&r.state, &r.params) - value
		v += d * d
		for i := range along {
			along[i] += d * col[i]
		}
	}
	sigma = math.Sqrt(v)
	if sigma > 0 {
		for i := range along {
			along[i] /= sigma
		}
	}
	return value, sigma
}

// PropagatedWalls is the wall at the places of out and the hottest of it, with
// their sigmas, the hottest's last, by differences over whole sigmas.
func (b *Estimate) PropagatedWalls(r *Cholesky, densityKgM3, inflowKgS float64, out []PlaceK, sigmaK []float64) (hottestK float64) {
	hottestK = b.Model.Walls(&b.State, &b.Params, densityKgM3, inflowKgS, out)
	var moved [PlacesMost]PlaceK
	clear(sigmaK)
	for k := range b.Layout.placesFeel {
		col := r.cols[k*r.n : k*r.n+r.n]
		if b.slight(col) {
			continue
		}
		s, p := b.Moved(col)
		d := b.Model.Walls(&s, &p, densityKgM3, inflowKgS, moved[:len(out)]) - hottestK
		sigmaK[len(out)] += d * d
		for i := range out {
			d := moved[i].HottestK - out[i].HottestK
			sigmaK[i] += d * d
		}
	}
	for i := range sigmaK {
		sigmaK[i] = math.Sqrt(sigmaK[i])
	}
	return hottestK
}

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
