package levels

import "math"

// Handbook is what is believed of a piece before any was seen: means and standard
// deviations among yarns, in logarithms.
type Handbook struct{ Mean, SD Vector }

// Path says where a piece hangs below the weaver: kind of yarn, yarn, cloth.
type Path [3]string

// Reading is a measured sum of the quantities, Take'θ = Value, with its errors.
type Reading struct {
	// Name says what it tells of.
	Name   string
	Take   Vector
	Value  float64
	Errors []Error
}

// Error is one error of a reading: by how much one standard deviation of it moves the
// value. Errors of one name are one error, which readings of a piece share.
type Error struct {
	Of string
	By float64
}

// Piece is what was read of a piece that was made.
type Piece struct {
	Path     Path
	Handbook Handbook
	Readings []Reading
}

// shared is the covariance of the errors of two readings.
func (r Reading) shared(o Reading) float64 {
	var s float64
	for _, a := range r.Errors {
		for _, b := range o.Errors {
			if a.Of == b.Of {
				s += a.By * b.By
			}
		}
	}
	return s
}

// information is a normal density of z up to its constant:
// exp(c + b'z − z'Az/2).
type information struct {
	a Matrix
	b Vector
	c float64
}

func (i information) plus(o information, factor float64) information {
	return information{i.a.plus(o.a, factor), i.b.plus(o.b, factor), i.c + factor*o.c}
}

// told is what the readings of a piece say of its cloth's z, where pieces scatter by
// the variance given.
func (p Piece) told(scatter float64) information {
	n := len(p.Readings)
	if n == 0 {
		return information{}
	}
	g, miss, v := make([]Vector, n), make([]float64, n), make([][]float64, n)
	for i, r := range p.Readings {
		miss[i] = r.Value - r.Take.Dot(p.Handbook.Mean)
		for q := range g[i] {
			g[i][q] = r.Take[q] * p.Handbook.SD[q]
		}
		v[i] = make([]float64, i+1)
		for j := range i + 1 {
			v[i][j] = scatter*g[i].Dot(g[j]) + r.shared(p.Readings[j])
		}
		v[i][i] += exact * exact
	}
	return inform(g, miss, v)
}

// exact keeps readings that are taken as exact from dividing by nothing.
const exact = 1e-6

// inform is the information of misses with covariance v on z, through g.
func inform(g []Vector, miss []float64, v [][]float64) information {
	l := cholesky(v)
	var out information
	var white [N][]float64
	for q := range white {
		column := make([]float64, len(g))
		for i := range g {
			column[i] = g[i][q]
		}
		white[q] = lower(l, column)
	}
	r := lower(l, miss)
	for i, x := range r {
		for p := range white {
			out.b[p] += white[p][i] * x
			for q := range white {
				out.a[p][q] += white[p][i] * white[q][i]
			}
		}
		out.c -= x*x/2 + math.Log(l[i][i])
	}
	return out
}

// up is the message of a child to its parent, from which it strays by the variance q.
func (i information) up(q float64) information {
	inverse, logDet := diagonal(1).plus(i.a, q).inverse()
	b := inverse.Times(i.b)
	return information{i.a.times(inverse), b, i.c + (q*i.b.Dot(b)-logDet)/2}
}
