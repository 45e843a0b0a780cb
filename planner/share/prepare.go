package share

import (
	"cmp"
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
// are left out, and projects without any.
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
	for b, options := range p.Projects {
		if len(options) == 0 {
			continue
		}
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
	s.forgetPlenty()
}

// forgetPlenty takes out the resources of which there is enough for whatever is chosen.
func (s *set) forgetPlenty() {
	most := make([]int64, len(s.resources))
	for _, options := range s.options {
		each := make([]int64, len(s.resources))
		for _, c := range options {
			for _, d := range c.needs {
				each[d.resource] = max(each[d.resource], d.length)
			}
		}
		for r, v := range each {
			most[r] += v
		}
	}
	scarce, at := []resource{}, make([]int, len(s.resources))
	for r, have := range s.resources {
		at[r] = -1
		if most[r] > have.length {
			at[r] = len(scarce)
			scarce = append(scarce, have)
		}
	}
	s.resources = scarce
	for _, options := range s.options {
		for o := range options {
			c := &options[o]
			c.needs = slices.DeleteFunc(c.needs, func(d demand) bool { return at[d.resource] < 0 })
			for n := range c.needs {
				c.needs[n].resource = at[c.needs[n].resource]
			}
		}
	}
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
	add := func(pool []int) bool {
		if len(pool) == 0 {
			return false
		}
		if at := block(pool); !slices.Contains(c.blocks, at) {
			c.blocks = append(c.blocks, at)
		}
		return true
	}
	for _, w := range o.Windings {
		if w.Count == 0 {
			continue
		}
		if !add(w.Pool) {
			return c, false
		}
		c.windings = append(c.windings, packing{w, block(w.Pool)})
	}
	for _, w := range o.Wefts {
		if w.Length == 0 {
			continue
		}
		if !add(w.Pool) {
			return c, false
		}
		c.wefts = append(c.wefts, w)
	}
	c.needs = s.needs(c.windings, c.wefts)
	long := slices.ContainsFunc(c.needs, func(d demand) bool {
		return d.length > s.resources[d.resource].length
	})
	return c, !long && s.alone(c)
}

// needs is what demands ask of every resource that contains their pools.
func (s *set) needs(windings []packing, wefts []Weft) []demand {
	var out []demand
	for r, have := range s.resources {
		length := int64(0)
		for _, w := range windings {
			if contains(have.pool, w.Pool) {
				length += int64(w.Count) * w.Length
			}
		}
		for _, w := range wefts {
			if contains(have.pool, w.Pool) {
				length += w.Length
			}
		}
		if length > 0 {
			out = append(out, demand{r, length, float64(length) / max(1, float64(have.length))})
		}
	}
	return out
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

// alike gives every project the first one that may have the same: they are
// interchangeable.
func (s *set) alike() []int {
	out := make([]int, len(s.options))
	for b, options := range s.options {
		out[b] = slices.IndexFunc(s.options[:b+1], func(other []choiceOf) bool {
			return slices.EqualFunc(other, options, choiceOf.same)
		})
	}
	return out
}

// arrange puts the projects in the order in which they are decided on: those worth most
// first, those alike one after another.
func (s *set) arrange() {
	first, order := s.alike(), make([]int, len(s.options))
	for b := range order {
		order[b] = b
	}
	most := func(b int) int64 {
		v := int64(0)
		for _, c := range s.options[b] {
			v = max(v, c.value)
		}
		return v
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(most(b), most(a)), cmp.Compare(first[a], first[b]))
	})
	projects, options := slices.Clone(s.projects), slices.Clone(s.options)
	for at, b := range order {
		s.projects[at], s.options[at] = projects[b], options[b]
	}
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
			return x.Length == y.Length && slices.Equal(x.Pool, y.Pool)
		})
}
