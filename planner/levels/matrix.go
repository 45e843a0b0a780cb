package levels

import "math"

// N is how many quantities are learned together.
const N = 4

// Vector holds a value for each quantity.
type Vector [N]float64

// Matrix is N by N.
type Matrix [N][N]float64

// Dot is the inner product.
func (v Vector) Dot(w Vector) float64 {
	var s float64
	for i := range v {
		s += v[i] * w[i]
	}
	return s
}

// Times is m·v.
func (m Matrix) Times(v Vector) (out Vector) {
	for i := range m {
		out[i] = Vector(m[i]).Dot(v)
	}
	return out
}

func (m Matrix) times(n Matrix) (out Matrix) {
	for i := range m {
		for j := range m {
			for k := range m {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

func (m Matrix) plus(n Matrix, factor float64) Matrix {
	for i := range m {
		for j := range m {
			m[i][j] += factor * n[i][j]
		}
	}
	return m
}

// diagonal is d on the diagonal.
func diagonal(d float64) (out Matrix) {
	for i := range out {
		out[i][i] = d
	}
	return out
}

func (v Vector) plus(w Vector, factor float64) Vector {
	for i := range v {
		v[i] += factor * w[i]
	}
	return v
}

// inverse gives the inverse and the logarithm of the determinant, which must be
// positive; by elimination with the greatest pivot.
func (m Matrix) inverse() (Matrix, float64) {
	out, logDet := diagonal(1), 0.0
	for c := range m {
		p := c
		for r := c + 1; r < N; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[p][c]) {
				p = r
			}
		}
		m[c], m[p], out[c], out[p] = m[p], m[c], out[p], out[c]
		pivot := m[c][c]
		logDet += math.Log(math.Abs(pivot))
		for j := range m {
			m[c][j] /= pivot
			out[c][j] /= pivot
		}
		for r := range m {
			if f := m[r][c]; r != c && f != 0 {
				for j := range m {
					m[r][j] -= f * m[c][j]
					out[r][j] -= f * out[c][j]
				}
			}
		}
	}
	return out, logDet
}

// cholesky is the lower factor of a symmetric positive definite matrix of any size.
func cholesky(v [][]float64) [][]float64 {
	l := make([][]float64, len(v))
	for i := range v {
		l[i] = make([]float64, i+1)
		for j := range i + 1 {
			s := v[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				l[i][j] = math.Sqrt(math.Max(s, 1e-300))
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l
}

// lower solves l·x = y for a lower factor.
func lower(l [][]float64, y []float64) []float64 {
	x := make([]float64, len(y))
	for i := range y {
		s := y[i]
		for k := range i {
			s -= l[i][k] * x[k]
		}
		x[i] = s / l[i][i]
	}
	return x
}
