package chance

import (
	"math"
	"slices"
)

// family is packages of a pool of many whose lengths move together, by the same errors,
// and lie as mixed against whole units as drawn at random: their count hangs on the sum of
// their lengths in units, and is looked up by it.
type family struct {
	members []alike
	length  float64 // the sum of their lengths in the middle
	loads   []load
	nodes   map[int]node
}

// node is mean, variance and third central moment of the count of a family.
type node struct{ mean, vari, skew float64 }

// nodesIn is how many nodes there are where lengths grow by a factor of e. Between two of
// them few packages gain a unit, and the count is as good as straight.
const nodesIn = 192

// wellKnown is how many standard deviations of all its errors a package of a family is long
// at the least: of others it matters how the errors are spread among them.
const wellKnown = 4

// families takes those of a pool of many together that are alike in their errors, and
// returns the rest.
func (m *model) families(p *Problem, all []alike) (out []*family, rest []alike) {
	var kinds []*family
	for _, a := range all {
		k := &m.packs[a.first]
		if k.length < wellKnown*k.doubt() {
			rest = append(rest, a)
			continue
		}
		at := slices.IndexFunc(kinds, func(f *family) bool {
			return slices.EqualFunc(f.loads, k.loads, func(x, y load) bool { return x.dim == y.dim })
		})
		if at < 0 {
			at = len(kinds)
			kinds = append(kinds, &family{nodes: map[int]node{},
				loads: make([]load, len(k.loads))})
		}
		f := kinds[at]
		f.members = append(f.members, a)
		f.length += float64(a.n) * k.length
		for i, l := range k.loads {
			f.loads[i] = load{l.dim, f.loads[i].by + float64(a.n)*l.by}
		}
	}
	for _, f := range kinds {
		var set []int
		for _, a := range f.members {
			set = append(set, slices.Repeat([]int{a.first}, a.n)...)
		}
		if len(f.members) > manyFrom && p.scattered(set) {
			out = append(out, f)
		} else {
			rest = append(rest, f.members...)
		}
	}
	return out, rest
}

// doubt is the standard deviation of all the errors of a package.
func (k *lengthOf) doubt() float64 {
	sum := k.own * k.own
	for _, l := range k.loads {
		sum += l.by * l.by
	}
	return math.Sqrt(sum)
}

// addFamily adds the count of a family at t to those of a pool.
func (m *model) addFamily(f *family, t, unit float64) {
	m.work += 4 + len(f.loads)
	at := m.sum(f.length, f.loads)
	length := max(f.length/1024, at.from+at.by*t)
	place := nodesIn * math.Log(length/f.length*m.unit.length/unit)
	below := math.Floor(place)
	share := place - below
	a, b := m.nodeOf(f, int(below)), m.nodeOf(f, int(below)+1)
	m.counts.mean += a.mean + share*(b.mean-a.mean)
	m.counts.vari += a.vari + share*(b.vari-a.vari)
	m.counts.skew += a.skew + share*(b.skew-a.skew)
}

// nodeOf is a node of a family, worked out once: its packages in proportion, cut into units
// of the middle length.
func (m *model) nodeOf(f *family, at int) node {
	if n, known := f.nodes[at]; known {
		return n
	}
	scale := math.Exp(float64(at) / nodesIn)
	c := &m.cutting
	c.reset()
	for _, g := range f.members {
		k := &m.packs[g.first]
		m.work += 2 + 4*k.of.Knots
		c.add(k, g.n, scale*k.length+slack, m.unit.length)
	}
	n := node{float64(c.sure) + c.mean, c.vari, c.skew}
	f.nodes[at] = n
	return n
}
