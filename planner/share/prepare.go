package share

import (
	"fmt"
	"slices"
)

// set is a part of the problem whose projects share no package with the others.
type set struct {
	packages  []int64
	projects  []int // their numbers in the problem
	options   [][]choiceOf
	resources []resource
	blocks    [][]int // packages that pools tie together
	parts     []part
	inBlock   [][]int     // parts of each block, by project
	fillings  [][]filling // of each block, nil where there are too many
}

// joint unites what stands together.
type joint []int

func newJoint(n int) joint {
	j := make(joint, n)
	for i := range j {
		j[i] = i
	}
	return j
}

func (j joint) root(i int) int {
	for j[i] != i {
		j[i] = j[j[i]]
		i = j[i]
	}
	return i
}

func (j joint) unite(a, b int) {
	x, y := j.root(a), j.root(b)
	j[max(x, y)] = min(x, y)
}

// pools visits every pool of an option.
func (o Option) pools(visit func([]int)) {
	for _, w := range o.Windings {
		if w.Count > 0 {
			visit(w.Pool)
		}
	}
	for _, w := range o.Wefts {
		if w.Length > 0 {
			visit(w.Pool)
		}
	}
}

// divide splits the problem into sets. Options that cannot be made even alone
// are left out.
func (p Problem) divide() []*set {
	n := len(p.Packages)
	together, blocks := newJoint(n+len(p.Projects)), newJoint(n)
	for b, options := range p.Projects {
		for _, o := range options {
			o.pools(func(pool []int) {
				for _, i := range pool {
					together.unite(i, n+b)
					blocks.unite(pool[0], i)
				}
			})
		}
	}
	byRoot := map[int]*set{}
	var out []*set
	for b := range p.Projects {
		r := together.root(n + b)
		s := byRoot[r]
		if s == nil {
			s = &set{packages: p.Packages}
			byRoot[r] = s
			out = append(out, s)
		}
		s.projects = append(s.projects, b)
	}
	for _, s := range out {
		s.fill(p, blocks)
	}
	return out
}

// fill states the options of a set.
func (s *set) fill(p Problem, blocks joint) {
	blockAt, members := map[int]int{}, map[int][]int{}
	for i := range p.Packages {
		members[blocks.root(i)] = append(members[blocks.root(i)], i)
	}
	block := func(pool []int) int {
		r := blocks.root(pool[0])
		at, ok := blockAt[r]
		if !ok {
			at = len(s.blocks)
			blockAt[r] = at
			s.blocks = append(s.blocks, members[r])
		}
		return at
	}
	s.findResources(p)
	for _, b := range s.projects {
		var options []choiceOf
		for at, o := range p.Projects[b] {
			if c, ok := s.state(o, block); ok {
				c.at = at
				options = append(options, c)
			}
		}
		s.options = append(s.options, options)
	}
	s.findParts()
}

// findResources lists the pools that are asked for, each once.
func (s *set) findResources(p Problem) {
	seen := map[string]bool{}
	for _, b := range s.projects {
		for _, o := range p.Projects[b] {
			o.pools(func(pool []int) {
				key := fmt.Sprint(pool)
				if seen[key] {
					return
				}
				seen[key] = true
				r := resource{pool: pool}
				for _, i := range pool {
					r.length += p.Packages[i]
				}
				s.resources = append(s.resources, r)
			})
		}
	}
}

// state turns an option into what the branch and bound sees; false where it
// cannot be made even alone.
func (s *set) state(o Option, block func([]int) int) (choiceOf, bool) {
	c := choiceOf{value: o.Value}
	lengths := make(map[int]int64)
	add := func(pool []int, length int64) bool {
		if len(pool) == 0 {
			return false
		}
		at := block(pool)
		if !slices.Contains(c.blocks, at) {
			c.blocks = append(c.blocks, at)
		}
		for r := range s.resources {
			if contains(s.resources[r].pool, pool) {
				lengths[r] += length
			}
		}
		return true
	}
	for _, w := range o.Windings {
		if w.Count == 0 {
			continue
		}
		if !add(w.Pool, int64(w.Count)*w.Length) {
			return c, false
		}
		c.windings = append(c.windings, packing{w, block(w.Pool)})
	}
	for _, w := range o.Wefts {
		if w.Length == 0 {
			continue
		}
		if !add(w.Pool, w.Length) {
			return c, false
		}
		c.wefts = append(c.wefts, w)
	}
	for r := range s.resources {
		if lengths[r] > 0 {
			c.needs = append(c.needs, demand{r, lengths[r]})
		}
		if lengths[r] > s.resources[r].length {
			return c, false
		}
	}
	return c, s.alone(c)
}

// alone says whether an option's windings can be cut where nothing else is.
func (s *set) alone(c choiceOf) bool {
	for _, at := range c.blocks {
		if s.cut(at, []*choiceOf{&c}).solve() == cannot {
			return false
		}
	}
	return true
}

// cut is the question whether options can be cut from a block together.
func (s *set) cut(block int, options []*choiceOf) *cutting {
	var windings []Windings
	var wefts []Weft
	for _, c := range options {
		for _, w := range c.windings {
			if w.block == block {
				windings = append(windings, w.Windings)
			}
		}
		for _, w := range c.wefts {
			if contains(s.blocks[block], w.Pool) {
				wefts = append(wefts, w)
			}
		}
	}
	return newCutting(s.blocks[block], func(i int) int64 { return s.packages[i] }, windings, wefts)
}

// alike numbers the projects of the set by what they may have: two that may
// have the same are interchangeable.
func (s *set) alike() []int {
	out := make([]int, len(s.options))
	for b := range s.options {
		out[b] = b
		for other := range b {
			if slices.EqualFunc(s.options[b], s.options[other], choiceOf.same) {
				out[b] = other
				break
			}
		}
	}
	return out
}

// same says whether two options are worth the same and ask the same.
func (c choiceOf) same(d choiceOf) bool {
	return c.value == d.value && slices.Equal(c.needs, d.needs) &&
		slices.Equal(c.blocks, d.blocks) &&
		slices.EqualFunc(c.windings, d.windings, func(x, y packing) bool {
			return x.block == y.block && x.Count == y.Count && x.Length == y.Length &&
				slices.Equal(x.Pool, y.Pool)
		}) &&
		slices.EqualFunc(c.wefts, d.wefts, func(x, y Weft) bool {
			return x.Length == y.Length &&
				slices.Equal(x.Pool, y.Pool)
		})
}
