package share

import "slices"

// note adds what the packages of a block give to an option whose demands begin
// at windings w and wefts f of the question, and returns where the next begin.
func (c *cutting) note(uses *[]Use, o Option, block []int, w, f int) (int, int) {
	for d, asked := range o.Windings {
		if asked.Count == 0 || !contains(block, asked.Pool) {
			continue
		}
		k := slices.Index(c.order, w)
		w++
		for i, p := range c.packages {
			if n := c.took[i][k]; n > 0 {
				useOf(uses, p, o).Windings[d] += n
			}
		}
	}
	for d, asked := range o.Wefts {
		if asked.Length == 0 || !contains(block, asked.Pool) {
			continue
		}
		for i, p := range c.packages {
			if v := c.weft[i][f]; v > 0 {
				useOf(uses, p, o).Weft[d] += v
			}
		}
		f++
	}
	return w, f
}

// useOf finds or makes the use of a package.
func useOf(uses *[]Use, p int, o Option) *Use {
	at, ok := slices.BinarySearchFunc(*uses, p, func(u Use, p int) int { return u.Package - p })
	if !ok {
		*uses = slices.Insert(*uses, at, Use{Package: p, Windings: make([]int, len(o.Windings)),
			Weft: make([]int64, len(o.Wefts))})
	}
	return &(*uses)[at]
}
