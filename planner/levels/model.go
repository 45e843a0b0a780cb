package levels

import (
	"maps"
	"math"
	"slices"
)

// The priors, see the package comment.
const (
	rho      = 0.5
	sdKappa  = 0.50
	sdTau    = 0.45
	kappas   = 17 // 1/4 … 4, four to an octave
	taus     = 7  // 2^−1.5 … 2^1.5, two to an octave
	ofWeaver = 0.2
)

// shares of τ² between a level and the one above: kind, yarn, cloth.
var shares = [3]float64{0.2, 0.4, 0.2}

// gridPoint is one pair of κ and τ.
type gridPoint struct{ kappa, tau, prior float64 }

// grid are all pairs, κ by κ.
func grid() []gridPoint {
	var out []gridPoint
	for i := range kappas {
		k := math.Exp2(float64(i-kappas/2) / 4)
		for j := range taus {
			t := math.Exp2(float64(j-taus/2) / 2)
			lk, lt := math.Log(k)/sdKappa, (math.Log(t)+sdTau*sdTau)/sdTau
			out = append(out, gridPoint{k, t, -(lk*lk + lt*lt) / 2})
		}
	}
	return out
}

// node is a level below the weaver: a kind, a yarn or a cloth.
type node struct {
	below map[string]*node
	// own is what its pieces told (of a cloth), for every κ.
	own []information
	// sum is what all below told it, sent what it tells the level above; for every
	// point of the grid.
	sum, sent []information
}

// Model is what was learned.
type Model struct {
	points  []gridPoint
	weights []float64
	root    *node
	// memory holds the forecasts of z by where they hang.
	memory map[Path]Forecast
}

// Learn sums up what pieces tell, in whatever order.
func Learn(pieces []Piece) *Model {
	m := &Model{points: grid(), root: &node{}, memory: map[Path]Forecast{}}
	pieces = slices.Clone(pieces)
	slices.SortStableFunc(pieces,
		func(a, b Piece) int { return slices.Compare(a.Path[:], b.Path[:]) })
	for _, p := range pieces {
		if len(p.Readings) > 0 {
			m.add(p)
		}
	}
	m.gather(m.root, 0)
	m.weigh()
	return m
}

func (m *Model) add(p Piece) {
	n := m.root
	for _, name := range p.Path {
		if n.below == nil {
			n.below = map[string]*node{}
		}
		if n.below[name] == nil {
			n.below[name] = &node{}
		}
		n = n.below[name]
	}
	if n.own == nil {
		n.own = make([]information, kappas)
	}
	for i := range kappas {
		k := rho * m.points[i*taus].kappa
		n.own[i] = n.own[i].plus(p.told(k*k), 1)
	}
}

// gather sums what is told below n, and what n tells above.
func (m *Model) gather(n *node, level int) {
	n.sum = make([]information, len(m.points))
	for _, name := range slices.Sorted(maps.Keys(n.below)) {
		child := n.below[name]
		m.gather(child, level+1)
		for i := range n.sum {
			n.sum[i] = n.sum[i].plus(child.sent[i], 1)
		}
	}
	if level == 0 {
		return
	}
	n.sent = make([]information, len(m.points))
	for i, at := range m.points {
		if n.own != nil {
			n.sum[i] = n.own[i/taus]
		}
		n.sent[i] = n.sum[i].up(at.tau * at.tau * shares[level-1])
	}
}

// weigh gives every point of the grid its weight.
func (m *Model) weigh() {
	m.weights = make([]float64, len(m.points))
	for i, at := range m.points {
		m.weights[i] = at.prior + m.root.sum[i].up(at.tau*at.tau*ofWeaver).c
	}
	normalise(m.weights)
}

// normalise turns logarithms into weights that add up to one.
func normalise(logs []float64) {
	top, sum := slices.Max(logs), 0.0
	for i, l := range logs {
		logs[i] = math.Exp(l - top)
		sum += logs[i]
	}
	for i := range logs {
		logs[i] /= sum
	}
}

// Scatter is how much more than the handbook supposes the weaver's pieces differ from
// each other, as a factor: its middle.
func (m *Model) Scatter() float64 {
	var s float64
	for i, w := range m.weights {
		s += w * math.Log(m.points[i].kappa)
	}
	return math.Exp(s)
}
