package chance

import (
	"maps"
	"math"
	"slices"
)

// load is what one standard deviation of an independent error adds: millimetres to
// a package, a logarithm to a need.
type load struct {
	dim int
	by  float64
}

// lengthOf is a package made ready: its length is r + Σ by·z, own error included.
type lengthOf struct {
	of     *Package
	length float64
	// warp and weft say what it serves.
	warp, weft bool
	loads      []load
	own        float64 // standard deviation of its own error, mm
	ownDim     int     // −1: none, or summed up elsewhere
	luck       int     // the dimension of the luck of its knots, −1
}

// needOf is a need made ready: length·exp(Σ by·z).
type needOf struct {
	length float64
	loads  []load
}

// bulk is the packages of a weft that serve nothing else: their lengths add, so one
// length with one error of its own stands for all.
type bulk struct {
	length float64
	loads  []load
}

// vector is one shared error: what it does to each package that it touches, then to the
// winding unit and to each weft need, in mm for one standard deviation.
type vector []effect

// effect is what an error does to one thing.
type effect struct {
	at int // a package, the unit after the last of them, a weft need after that
	by float64
}

// vectors gathers the shared errors by name. Those that are multiples of each
// other, such as the count of a yarn and the humidity that it alone feels, become one.
func (m *model) vectors(p *Problem) []vector {
	n := len(p.Packages)
	byName := map[string]vector{}
	add := func(at int, length float64, shared []Loading) {
		for _, l := range shared {
			byName[l.Factor] = byName[l.Factor].with(at, l.of(length))
		}
	}
	for i := range p.Packages {
		if k := &m.packs[i]; k.warp || k.weft {
			add(i, p.Packages[i].Length, p.Packages[i].Shared)
		}
	}
	if len(p.Warp) > 0 {
		add(n, p.WarpEnd.Length, p.WarpEnd.Shared)
	}
	for w := range p.Weft {
		add(n+1+w, p.Weft[w].Need.Length, p.Weft[w].Need.Shared)
	}
	return m.merged(byName)
}

// with adds an effect to the last thing that was touched, or to one after it.
func (v vector) with(at int, by float64) vector {
	switch last := len(v) - 1; {
	case by == 0:
		return v
	case last >= 0 && v[last].at == at:
		v[last].by += by
		return v
	}
	return append(v, effect{at, by})
}

// merged joins errors that are multiples of each other, and those of one package
// alone with its own.
func (m *model) merged(byName map[string]vector) []vector {
	var out []vector
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		v := byName[name]
		switch {
		case len(v) == 0:
		case len(v) == 1 && v[0].at < len(m.packs):
			k := &m.packs[v[0].at]
			k.own = math.Hypot(k.own, v[0].by)
		case !v.mergeInto(out):
			out = append(out, v)
		}
	}
	return out
}

// mergeInto adds v to the first vector that it is a multiple of, if there is one.
func (v vector) mergeInto(all []vector) bool {
	for _, g := range all {
		if ratio, ok := v.multipleOf(g); ok {
			scale := math.Sqrt(1 + ratio*ratio)
			for i := range g {
				g[i].by *= scale
			}
			return true
		}
	}
	return false
}

// multipleOf is the factor by which v is g, if it is.
func (v vector) multipleOf(g vector) (float64, bool) {
	if len(v) != len(g) || g[0].by == 0 {
		return 0, false
	}
	ratio := v[0].by / g[0].by
	for i, x := range v {
		if x.at != g[i].at || math.Abs(x.by-ratio*g[i].by) > 1e-9*math.Abs(x.by) {
			return 0, false
		}
	}
	return ratio, true
}

// share gives every package and need its loads, a dimension for each error.
func (m *model) share(p *Problem, all []vector) {
	n := len(p.Packages)
	unit := float64(p.unit())
	m.unit = needOf{length: p.WarpEnd.Length * unit}
	for w := range p.Weft {
		m.wefts = append(m.wefts, needOf{length: p.Weft[w].Need.Length})
	}
	for _, v := range all {
		for _, e := range v {
			switch i, x := e.at, e.by; {
			case i < n:
				m.packs[i].loads = append(m.packs[i].loads, load{m.dims, x})
			case i == n:
				m.unit.loads = append(m.unit.loads, load{m.dims, x * unit / m.unit.length})
			case m.wefts[i-n-1].length > 0:
				need := &m.wefts[i-n-1]
				need.loads = append(need.loads, load{m.dims, x / need.length})
			}
		}
		m.dims++
	}
}
