package levels

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Point is one normal of a forecast.
type Point struct {
	Weight float64
	Mean   Vector
	Cov    Matrix
	// scatter is the part of Cov by which one piece differs from the next.
	scatter Matrix
}

// Forecast is what is believed of the next piece, scatter included: a mixture of normals
// of its four quantities.
type Forecast []Point

// negligible is the weight below which a point of the grid is left out.
const negligible = 2e-5

// Next is the forecast for a piece that hangs at a path, with what the handbook says of
// it. Nothing need have been seen of the path.
func (m *Model) Next(path Path, h Handbook) Forecast {
	z := m.standard(path)
	out := make(Forecast, len(z))
	for i, p := range z {
		out[i].Weight = p.Weight
		for a := range h.Mean {
			out[i].Mean[a] = h.Mean[a] + h.SD[a]*p.Mean[a]
			for b := range h.Mean {
				out[i].Cov[a][b] = h.SD[a] * h.SD[b] * p.Cov[a][b]
				out[i].scatter[a][b] = h.SD[a] * h.SD[b] * p.scatter[a][b]
			}
		}
	}
	return out
}

// standard is the forecast of z.
func (m *Model) standard(path Path) Forecast {
	line := m.line(&path)
	if f, ok := m.memory[path]; ok {
		return f
	}
	var out Forecast
	kept := 0.0
	for i, at := range m.points {
		if m.weights[i] >= negligible {
			kept += m.weights[i]
			k := at.kappa * at.kappa * rho * rho
			mean, cov := m.down(i, line)
			out = append(out, Point{m.weights[i], mean, cov.plus(diagonal(1), k), diagonal(k)})
		}
	}
	for i := range out {
		out[i].Weight /= kept
	}
	m.memory[path] = out
	return out
}

// line lists the nodes along a path, as far as there are any, and blots out the rest of
// it: all that hangs there unseen is alike.
func (m *Model) line(path *Path) []*node {
	var out []*node
	for n, i := m.root, 0; i < len(path); i++ {
		n = n.below[path[i]]
		if n == nil {
			for ; i < len(path); i++ {
				path[i] = ""
			}
			break
		}
		out = append(out, n)
	}
	return out
}

// down goes from the weaver to where a path ends, at one point of the grid: each level
// is told by the others below the same parent.
func (m *Model) down(i int, line []*node) (mean Vector, cov Matrix) {
	tau2 := m.points[i].tau * m.points[i].tau
	cov = diagonal(tau2 * ofWeaver)
	told := m.root.sum[i]
	for level, share := range shares {
		var next information
		if level < len(line) {
			told = told.plus(line[level].sent[i], -1)
			next = line[level].sum[i]
		}
		mean, cov = condition(mean, cov, told)
		cov = cov.plus(diagonal(1), tau2*share)
		told = next
	}
	return condition(mean, cov, told)
}

// condition is a normal after information.
func condition(mean Vector, cov Matrix, told information) (Vector, Matrix) {
	inverse, _ := diagonal(1).plus(cov.times(told.a), 1).inverse()
	return inverse.Times(mean.plus(cov.Times(told.b), 1)), inverse.times(cov).symmetric()
}

func (m Matrix) symmetric() (out Matrix) {
	for i := range m {
		for j := range m {
			out[i][j] = (m[i][j] + m[j][i]) / 2
		}
	}
	return out
}

// Given is the forecast for a piece of which some is known already. What is known of
// this piece is known of it alone.
func (f Forecast) Given(readings ...Reading) Forecast {
	if len(readings) == 0 {
		return f
	}
	out, logs := make(Forecast, len(f)), make([]float64, len(f))
	for i, p := range f {
		_, miss, v := p.expects(readings)
		g := make([]Vector, len(readings))
		for r := range readings {
			g[r] = readings[r].Take
		}
		// Condition in the errors of the readings alone, then weigh by what was expected.
		noise := make([][]float64, len(readings))
		for a, r := range readings {
			noise[a] = make([]float64, a+1)
			for b := range a + 1 {
				noise[a][b] = r.shared(readings[b])
			}
			noise[a][a] += exact * exact
		}
		told := inform(g, miss, noise)
		out[i].Mean, out[i].Cov = condition(Vector{}, p.Cov, told)
		out[i].Mean = out[i].Mean.plus(p.Mean, 1)
		logs[i] = math.Log(p.Weight) + inform(g, miss, v).c
	}
	normalise(logs)
	for i := range out {
		out[i].Weight = logs[i]
	}
	return out
}

// expects gives the means of readings, what they miss, and their covariance.
func (p Point) expects(readings []Reading) (mean, miss []float64, v [][]float64) {
	for i, r := range readings {
		mean = append(mean, r.Take.Dot(p.Mean))
		miss = append(miss, r.Value-mean[i])
		v = append(v, make([]float64, i+1))
		for j := range i + 1 {
			v[i][j] = r.Take.Dot(p.Cov.Times(readings[j].Take)) + r.shared(readings[j])
		}
		v[i][i] += exact * exact
	}
	return mean, miss, v
}

// Jump is by how many standard deviations a reading lies from what was expected.
func (f Forecast) Jump(r Reading) float64 {
	mean, cov := f.Moments()
	return (r.Value - r.Take.Dot(mean)) / math.Sqrt(r.Take.Dot(cov.Times(r.Take))+r.shared(r)+exact*exact)
}

// Moments are the mean and the covariance of the mixture.
func (f Forecast) Moments() (mean Vector, cov Matrix) {
	for _, p := range f {
		mean = mean.plus(p.Mean, p.Weight)
	}
	for _, p := range f {
		off := p.Mean.plus(mean, -1)
		for i := range cov {
			for j := range cov {
				cov[i][j] += p.Weight * (p.Cov[i][j] + off[i]*off[j])
			}
		}
	}
	return mean, cov
}

// Target is a quantity of interest as the logarithm that it has at θ, with its gradient.
type Target func(theta Vector) (log float64, gradient Vector)

// marginal is a target's part of one normal of a forecast.
type marginal struct {
	distuv.Normal
	weight float64
}

// marginals are the normals whose mixture the logarithm of a target is.
func (f Forecast) marginals(of Target) []marginal {
	out := make([]marginal, len(f))
	for i, at := range f {
		log, g := of(at.Mean)
		sd := math.Sqrt(math.Max(g.Dot(at.Cov.Times(g)), 1e-18))
		out[i] = marginal{distuv.Normal{Mu: log, Sigma: sd}, at.Weight}
	}
	return out
}

// Quantile is the value, not its logarithm, below which a target lies with probability p.
// It goes there by Newton's steps, and by halves where one would leave what is left.
func (f Forecast) Quantile(p float64, of Target) float64 {
	lo, hi, at, mixed := math.Inf(1), math.Inf(-1), 0.0, f.marginals(of)
	for _, m := range mixed {
		lo, hi = math.Min(lo, m.Mu-9*m.Sigma), math.Max(hi, m.Mu+9*m.Sigma)
		at += m.weight * m.Mu
	}
	for range 60 {
		below, dense := -p, 0.0
		for _, m := range mixed {
			below += m.weight * m.CDF(at)
			dense += m.weight * m.Prob(at)
		}
		if below < 0 {
			lo = at
		} else {
			hi = at
		}
		before := at
		if at -= below / dense; !(lo <= at && at <= hi) {
			at = (lo + hi) / 2
		}
		if math.Abs(at-before) < 1e-14 {
			break
		}
	}
	return math.Exp(at)
}

// Below is the probability that a target lies below a value.
func (f Forecast) Below(value float64, of Target) float64 {
	var sum float64
	for _, m := range f.marginals(of) {
		sum += m.weight * m.CDF(math.Log(value))
	}
	return sum
}
