package fit

import (
	"slices"
	"sort"
)

// packLimit bounds the search for lots in one colour; with fewer than about a
// dozen stripes of a colour it is never reached.
const packLimit = 20_000

// packer finds lots for the bands of one colour: no band in two lots, no lot
// beyond its yarn, nor, where that goes, beyond what can be relied on; as many pieces of weft
// left as can be.
type packer struct {
	s       *solver
	sources []int // of this colour, by lot
	sizes   []int // ends of each band, floats included, greatest first
	need    int64 // weft of a piece
	feeds   bool  // some source leaves weft
	plain   []int // windings of each source: what can be relied on first, then the middle

	load    []int // ends by source so far
	choice  []int
	best    []int
	bestFor int64
	visits  int
	seen    map[string]bool
}

// pack gives the bands at positions at their sources; false if there is no way.
func (s *solver) pack(t *trial, colour string, at []int, need int64) bool {
	if len(at) == 0 {
		return true
	}
	order := slices.Clone(at)
	size := func(i int) int { return t.bands[i].Ends + s.floats(i, len(t.bands)) }
	sort.SliceStable(order, func(a, b int) bool { return size(order[a]) > size(order[b]) })
	p := packer{s: s, sources: s.byColour[colour], need: max(1, need)}
	for _, i := range order {
		p.sizes = append(p.sizes, size(i))
	}
	for _, n := range p.sources {
		p.feeds = p.feeds || len(s.sources[n].mixed) > 0
	}
	p.load, p.choice = make([]int, len(p.sources)), make([]int, len(order))
	if p.plain = s.caps.plain; !p.feeds && len(p.sources) > 1 {
		s.measureReliable()
		p.plain = s.caps.reliable
		p.search(0)
	}
	if p.best == nil {
		p.plain, p.visits, p.seen = s.caps.plain, 0, nil
		p.search(0)
	}
	if p.best == nil {
		return false
	}
	for n, i := range order {
		t.from[i] = p.sources[p.best[n]]
		t.ends[t.from[i]] += p.sizes[n]
	}
	return true
}

// search places band n and those after it.
func (p *packer) search(n int) {
	p.visits++
	if p.visits > packLimit || p.best != nil && !p.feeds {
		return
	}
	if n == len(p.sizes) {
		if v := p.left(); p.best == nil || v > p.bestFor {
			p.best, p.bestFor = slices.Clone(p.choice), v
		}
		return
	}
	if p.known(n) {
		return
	}
	for at, source := range p.sources {
		room := p.plain[source] + p.s.caps.mixed[source]
		if p.s.windings(p.load[at]+p.sizes[n]) > room {
			continue
		}
		p.load[at] += p.sizes[n]
		p.choice[n] = at
		p.search(n + 1)
		p.load[at] -= p.sizes[n]
	}
}

// known notes the state at band n and says whether it was met before. With one
// source there is nothing to note.
func (p *packer) known(n int) bool {
	if len(p.sources) == 1 {
		return false
	}
	key := make([]byte, 0, 4*len(p.load)+2)
	key = append(key, byte(n), byte(n>>8))
	for _, l := range p.load {
		key = append(key, byte(l), byte(l>>8), byte(l>>16), byte(l>>24))
	}
	if p.seen[string(key)] {
		return true
	}
	if p.seen == nil {
		p.seen = map[string]bool{}
	}
	p.seen[string(key)] = true
	return false
}

// left counts the pieces of weft that the sources can still weave.
func (p *packer) left() int64 {
	if !p.feeds || p.s.r.Lots == AnyLot {
		return 0
	}
	var sum int64
	for at, n := range p.sources {
		for w := range p.s.wefts {
			if p.s.wefts[w].lot == p.s.sources[n].lot {
				sum += max(0, p.s.wefts[w].usable-p.s.cut(n, p.load[at])) / p.need
			}
		}
	}
	return sum
}
