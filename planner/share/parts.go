package share

import (
	"fmt"
	"slices"
)

// part is what options of one project take from one block; options that take the
// same share it.
type part struct {
	project, block int
	length         int64 // windings and weft together, mm
	sample         *choiceOf
}

// filling is a set of parts of different projects that can be cut from a block
// together, to which no other part can be added.
type filling []int

// maxFillings bounds how many fillings of a block are listed, and maxTries how
// many sets are looked at for them. Beyond either the block is priced by length
// alone.
const (
	maxFillings = 4_000
	maxTries    = 40_000
)

// findParts names the parts of all options.
func (s *set) findParts() {
	known := map[string]int{}
	for b := range s.options {
		for o := range s.options[b] {
			c := &s.options[b][o]
			for _, block := range c.blocks {
				one := partOf(s, c, b, block)
				key := fmt.Sprint(b, block, one.key)
				at, ok := known[key]
				if !ok {
					at = len(s.parts)
					known[key] = at
					s.parts = append(s.parts, one.part)
				}
				c.parts = append(c.parts, at)
			}
		}
	}
	s.fillings = make([][]filling, len(s.blocks))
	s.inBlock = make([][]int, len(s.blocks))
	for at, p := range s.parts {
		s.inBlock[p.block] = append(s.inBlock[p.block], at)
	}
	for block := range s.blocks {
		s.fillings[block] = s.listFillings(block)
	}
}

type keyedPart struct {
	part
	key string
}

// partOf is what an option takes from a block, and a key that tells it from
// other parts of the project.
func partOf(s *set, c *choiceOf, b, block int) keyedPart {
	p := keyedPart{part: part{project: b, block: block, sample: &choiceOf{}}}
	for _, w := range c.windings {
		if w.block == block {
			p.sample.windings = append(p.sample.windings, w)
			p.length += int64(w.Count) * w.Length
		}
	}
	for _, w := range c.wefts {
		if contains(s.blocks[block], w.Pool) {
			p.sample.wefts = append(p.sample.wefts, w)
			p.length += w.Length
		}
	}
	p.key = fmt.Sprint(p.sample.windings, p.sample.wefts)
	return p
}

// lister lists the fillings of a block.
type lister struct {
	set    *set
	block  int
	groups [][]int // parts by project
	total  int64
	chosen []int
	used   int64
	out    []filling
	tries  int
}

// listFillings lists all fillings of a block, or nil where there are too many.
func (s *set) listFillings(block int) []filling {
	l := lister{set: s, block: block}
	for _, i := range s.blocks[block] {
		l.total += s.packages[i]
	}
	byProject := map[int]int{}
	for _, at := range s.inBlock[block] {
		b := s.parts[at].project
		g, ok := byProject[b]
		if !ok {
			g = len(l.groups)
			byProject[b] = g
			l.groups = append(l.groups, nil)
		}
		l.groups[g] = append(l.groups[g], at)
	}
	l.list(0)
	if l.tries > maxTries || len(l.out) > maxFillings {
		return nil
	}
	return l.out
}

// list chooses a part, or none, of the g-th project and those after it.
func (l *lister) list(g int) {
	l.tries++
	if l.tries > maxTries || len(l.out) > maxFillings {
		return
	}
	if g == len(l.groups) {
		if l.full() {
			l.out = append(l.out, slices.Clone(l.chosen))
		}
		return
	}
	for _, at := range l.groups[g] {
		if !l.takes(at) {
			continue
		}
		l.chosen = append(l.chosen, at)
		l.used += l.set.parts[at].length
		l.list(g + 1)
		l.used -= l.set.parts[at].length
		l.chosen = l.chosen[:len(l.chosen)-1]
	}
	l.list(g + 1)
}

// takes says whether a part can be added. Where that is not found out, it is
// taken to be possible: bounds stay bounds.
func (l *lister) takes(at int) bool {
	if l.used+l.set.parts[at].length > l.total {
		return false
	}
	if len(l.chosen) == 0 {
		return true
	}
	options := make([]*choiceOf, 0, len(l.chosen)+1)
	for _, p := range append(l.chosen[:len(l.chosen):len(l.chosen)], at) {
		options = append(options, l.set.parts[p].sample)
	}
	return l.set.cut(l.block, options).solve() != cannot
}

// full says whether no part of another project can be added.
func (l *lister) full() bool {
	for _, group := range l.groups {
		if slices.ContainsFunc(group, func(at int) bool { return slices.Contains(l.chosen, at) }) {
			continue
		}
		if slices.ContainsFunc(group, l.takes) {
			return false
		}
	}
	return true
}
