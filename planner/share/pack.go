package share

import (
	"cmp"
	"slices"
)

// outcome says whether demands can be cut from packages.
type outcome int

const (
	cannot outcome = iota
	can
	undecided // the search was given up
)

// cutting is the question whether windings and wefts can be cut from the
// packages of a block.
type cutting struct {
	packages []int // indices, ascending
	lengths  []int64
	windings []Windings // longest first
	wefts    []Weft
	// order is where each of windings stood in the question.
	order []int

	left   []int     // windings still to be placed
	rest   []int64   // of each package
	took   [][]int   // windings by package and demand
	weft   [][]int64 // weft by package and demand
	tail   []int64   // yarn in the packages from each on
	failed map[string]bool
	visits int
}

// maxVisits bounds the search for a cutting; with windings of one length, or
// plenty of yarn, it is never reached.
const maxVisits = 100_000

// newCutting states a question.
func newCutting(packages []int, lengths func(int) int64, windings []Windings,
	wefts []Weft) *cutting {
	c := &cutting{packages: packages, wefts: wefts, failed: map[string]bool{}}
	for i := range windings {
		c.order = append(c.order, i)
	}
	slices.SortStableFunc(c.order,
		func(a, b int) int { return cmp.Compare(windings[b].Length, windings[a].Length) })
	for _, i := range c.order {
		c.windings = append(c.windings, windings[i])
		c.left = append(c.left, windings[i].Count)
	}
	for _, p := range packages {
		c.lengths = append(c.lengths, lengths(p))
		c.took = append(c.took, make([]int, len(windings)))
		c.weft = append(c.weft, make([]int64, len(wefts)))
	}
	c.rest = slices.Clone(c.lengths)
	c.tail = make([]int64, len(packages)+1)
	for i := len(packages) - 1; i >= 0; i-- {
		c.tail[i] = c.tail[i+1] + c.lengths[i]
	}
	return c
}

// solve answers. Where it can, took and weft say how.
func (c *cutting) solve() outcome {
	if len(c.windings) == 1 && !c.mixedWefts() {
		if !c.single() {
			return cannot
		}
		return c.finish()
	}
	switch found := c.placeWindings(0); {
	case found:
		return can
	case c.visits > maxVisits:
		return undecided
	}
	return cannot
}

// single takes windings of one length from the packages that give most. Which
// ones does not matter where every weft may use all packages.
func (c *cutting) single() bool {
	w := c.windings[0]
	order := make([]int, 0, len(c.packages))
	for i, p := range c.packages {
		if slices.Contains(w.Pool, p) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(c.lengths[b]/w.Length, c.lengths[a]/w.Length)
	})
	for _, i := range order {
		n := int(min(int64(c.left[0]), c.rest[i]/w.Length))
		c.left[0] -= n
		c.took[i][0] = n
		c.rest[i] -= int64(n) * w.Length
	}
	return c.left[0] == 0
}

// placeWindings places windings in package i and those after it.
func (c *cutting) placeWindings(i int) bool {
	c.visits++
	if c.visits > maxVisits || !c.roomFrom(i) {
		return false
	}
	if c.placed() {
		return c.finish() == can
	}
	if i == len(c.packages) {
		return false
	}
	key := c.key(i)
	if c.failed[key] {
		return false
	}
	if c.pattern(i, 0) {
		return true
	}
	c.failed[key] = true
	return false
}

func (c *cutting) placed() bool {
	return !slices.ContainsFunc(c.left, func(n int) bool { return n > 0 })
}

// roomFrom says whether the windings left are no longer than the yarn left.
func (c *cutting) roomFrom(i int) bool {
	var need int64
	for k, n := range c.left {
		need += int64(n) * c.windings[k].Length
	}
	return need <= c.tail[i]
}

// key tells states apart that have the same future: the rests of earlier
// packages matter only where some weft may not use all of them.
func (c *cutting) key(i int) string {
	key := make([]byte, 0, 4*len(c.left)+2)
	key = append(key, byte(i), byte(i>>8))
	for _, n := range c.left {
		key = append(key, byte(n), byte(n>>8), byte(n>>16))
	}
	if c.mixedWefts() {
		for _, r := range c.rest[:i] {
			for s := 0; s < 64; s += 8 {
				key = append(key, byte(r>>s))
			}
		}
	}
	return string(key)
}

// mixedWefts says whether some weft may not use every package.
func (c *cutting) mixedWefts() bool {
	return slices.ContainsFunc(c.wefts, func(w Weft) bool { return len(w.Pool) < len(c.packages) })
}

// pattern chooses how many windings of demand k and those after it package i
// gives, most first; the last demand takes all that it can, since more never
// hurts there.
func (c *cutting) pattern(i, k int) bool {
	if k == len(c.windings) {
		return c.placeWindings(i + 1)
	}
	w := c.windings[k]
	most := 0
	if slices.Contains(w.Pool, c.packages[i]) {
		most = int(min(int64(c.left[k]), c.rest[i]/w.Length))
	}
	least := 0
	if k == len(c.windings)-1 && !c.mixedWefts() {
		least = most
	}
	for n := most; n >= least; n-- {
		c.took[i][k], c.left[k], c.rest[i] = n, c.left[k]-n, c.rest[i]-int64(n)*w.Length
		if c.pattern(i, k+1) {
			return true
		}
		c.took[i][k], c.left[k], c.rest[i] = 0, c.left[k]+n, c.rest[i]+int64(n)*w.Length
		if c.visits > maxVisits {
			return false
		}
	}
	return false
}

// finish shares the rests among the wefts: a flow, found by giving each weft the
// greatest rests, for few joins, and then by moving what stands in the way.
func (c *cutting) finish() outcome {
	for i := range c.weft {
		clear(c.weft[i])
	}
	rest := slices.Clone(c.rest)
	for d, w := range c.wefts {
		need := w.Length
		for need > 0 {
			got := c.give(rest, d, need, make([]bool, len(c.packages)))
			if got == 0 {
				return cannot
			}
			need -= got
		}
	}
	return can
}

// give finds up to need mm for weft d, from the greatest rest or from what another
// weft can take elsewhere, and returns how much.
func (c *cutting) give(rest []int64, d int, need int64, seen []bool) int64 {
	fullest := -1
	for i, p := range c.packages {
		if !seen[i] && rest[i] > 0 && slices.Contains(c.wefts[d].Pool, p) &&
			(fullest < 0 || rest[i] > rest[fullest]) {
			fullest = i
		}
	}
	if fullest >= 0 {
		got := min(need, rest[fullest])
		rest[fullest] -= got
		c.weft[fullest][d] += got
		return got
	}
	for i, p := range c.packages {
		if seen[i] || !slices.Contains(c.wefts[d].Pool, p) {
			continue
		}
		seen[i] = true
		for other := range c.wefts {
			if other == d || c.weft[i][other] == 0 {
				continue
			}
			if got := c.give(rest, other, min(need, c.weft[i][other]), seen); got > 0 {
				c.weft[i][other] -= got
				c.weft[i][d] += got
				return got
			}
		}
	}
	return 0
}
