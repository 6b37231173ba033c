package laminate

// Matrix is 3 × 3 over x, y and the shear xy.
type Matrix [3][3]float64

// Vector is over x, y and the shear xy.
type Vector [3]float64

// Inverse is by cofactors; a singular matrix gives infinities or NaN, which
// count as unknown further on.
func (m Matrix) Inverse() Matrix {
	var c Matrix
	for i := range 3 {
		for j := range 3 {
			a, b := (i+1)%3, (i+2)%3
			p, q := (j+1)%3, (j+2)%3
			c[j][i] = m[a][p]*m[b][q] - m[a][q]*m[b][p] // transposed
		}
	}
	det := m[0][0]*c[0][0] + m[0][1]*c[1][0] + m[0][2]*c[2][0]
	return c.Scaled(1 / det)
}

// Scaled is the matrix times a number.
func (m Matrix) Scaled(x float64) Matrix {
	for i := range m {
		for j := range m[i] {
			m[i][j] *= x
		}
	}
	return m
}

// Plus is the sum.
func (m Matrix) Plus(n Matrix) Matrix {
	for i := range m {
		for j := range m[i] {
			m[i][j] += n[i][j]
		}
	}
	return m
}

// Times is the product.
func (m Matrix) Times(n Matrix) Matrix {
	var out Matrix
	for i := range out {
		for j := range out {
			for k := range n {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

// Transposed swaps rows and columns.
func (m Matrix) Transposed() Matrix {
	for i := range m {
		for j := range i {
			m[i][j], m[j][i] = m[j][i], m[i][j]
		}
	}
	return m
}

// Of is the matrix times a vector.
func (m Matrix) Of(v Vector) Vector {
	var out Vector
	for i := range out {
		for j := range v {
			out[i] += m[i][j] * v[j]
		}
	}
	return out
}

// Plus is the sum.
func (v Vector) Plus(w Vector) Vector {
	for i := range v {
		v[i] += w[i]
	}
	return v
}

// Scaled is the vector times a number.
func (v Vector) Scaled(x float64) Vector {
	for i := range v {
		v[i] *= x
	}
	return v
}
