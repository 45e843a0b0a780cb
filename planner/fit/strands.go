package fit

import "endsmeet/stash/measure"

// Windings counts the whole windings of yarn mm that the package gives at a
// total length of at: a knot costs one at worst, and what one unbroken strand
// cannot use stays.
func (k *Package) Windings(at, yarn measure.Length) int {
	return k.windings(int64(at), int64(yarn), k.scaledStrands(int64(at)))
}

func (k *Package) windings(at, yarn int64, strands []int64) int {
	n := int64(0)
	switch {
	case strands != nil:
		for _, v := range strands {
			n += v / yarn
		}
	case k.Longest > 0:
		whole := int64(k.Longest)
		n = at/whole*(whole/yarn) + at%whole/yarn
	default:
		n = at / yarn
	}
	return int(max(0, n-int64(k.Knots)))
}

// Joinable is what the package gives the weft at a total length of at when each
// of its strands is charged a join.
func (k *Package) Joinable(at, join measure.Length) measure.Length {
	return measure.Length(k.joinable(int64(at), int64(join), k.scaledStrands(int64(at))))
}

func (k *Package) joinable(at, join int64, strands []int64) int64 {
	switch {
	case strands != nil:
		var sum int64
		for _, v := range strands {
			sum += max(0, v-join)
		}
		return sum
	case k.Longest > 0:
		full := at / int64(k.Longest)
		return full*max(0, int64(k.Longest)-join) + max(0, at%int64(k.Longest)-join)
	default:
		return max(0, at-int64(k.Knots+1)*join)
	}
}
