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
// of its strands is charged a join, and one that is then shorter than a pass of the
// shuttle weaves nothing.
func (k *Package) Joinable(at, join, pass measure.Length) measure.Length {
	return measure.Length(k.joinable(int64(at), int64(join), int64(pass),
		k.scaledStrands(int64(at))))
}

func (k *Package) joinable(at, join, pass int64, strands []int64) int64 {
	net := func(strand, joins int64) int64 {
		if left := strand - joins*join; left >= max(1, pass) {
			return left
		}
		return 0
	}
	switch {
	case strands != nil:
		var sum int64
		for _, v := range strands {
			sum += net(v, 1)
		}
		return sum
	case k.Longest > 0:
		return at/int64(k.Longest)*net(int64(k.Longest), 1) + net(at%int64(k.Longest), 1)
	default:
		return net(at, int64(k.Knots+1))
	}
}

// joinsFor is how many joins the package, which has so much left, brings when it weaves
// need: one for each strand that is reached, however many there are.
func (k *Package) joinsFor(need, have, join int64, strands []int64) int64 {
	switch {
	case strands != nil:
		n := int64(0)
		for _, v := range strands {
			if need <= 0 {
				break
			}
			need -= max(0, v-join)
			n++
		}
		return n
	case k.Longest > 0:
		whole := int64(k.Longest)
		net := max(1, whole-join)
		return min((need+net-1)/net, (have+whole-1)/whole)
	default:
		return int64(k.Knots + 1)
	}
}
