package planner

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
)

// Sley is how ends go through the dents of a reed.
type Sley struct {
	// Reed is its dents, Sett the ends that the order gives.
	Reed, Sett measure.Sett
	// Order is the ends in each dent, repeated over the width, as even as whole ends can be.
	Order []int
	// Dents are those that the warp takes.
	Dents int
	// Exact says that Sett is the one wanted, to half of a hundredth.
	Exact bool
}

// String is the order as weavers write it: "1-2-2".
func (s Sley) String() string {
	parts := make([]string, len(s.Order))
	for i, n := range s.Order {
		parts[i] = strconv.Itoa(n)
	}
	return strings.Join(parts, "-")
}

// UsualReeds are those that many weavers have: dents in 10 cm, and in an inch (common
// practice, no source).
var UsualReeds = []measure.Sett{
	2 * measure.PerCentimetre, 3 * measure.PerCentimetre, 4 * measure.PerCentimetre,
	5 * measure.PerCentimetre, 6 * measure.PerCentimetre,
	inchReed(5), inchReed(6), inchReed(8), inchReed(10), inchReed(12), inchReed(15),
}

func inchReed(dents int) measure.Sett {
	return measure.Sett(math.Round(float64(dents) * float64(measure.PerCentimetre) / 2.54))
}

// Orders beyond these lengths do not close within a few dents and are hard to keep; more
// than so many ends in a dent mark the cloth (handbooks of handweaving print only such as
// close within an inch, and call two ends in a dent the best).
const (
	mostDents  = 8
	mostInDent = 4
	exactly    = 0.005
)

// SleyIn is how a warp of so many ends is sleyed in one of these reeds: exactly where one
// gives the sett, in a short order of about two ends in a dent; else in the order that
// comes nearest. False where there is no reed.
func SleyIn(reeds []measure.Sett, sett measure.Sett, ends int) (Sley, bool) {
	var all []Sley
	for _, reed := range reeds {
		for dents := 1; dents <= mostDents; dents++ {
			n := int(math.Round(float64(sett) * float64(dents) / float64(reed)))
			if n < 1 || n > dents*mostInDent || dents > 1 && gcd(n, dents) > 1 {
				continue
			}
			one := Sley{Reed: reed, Order: spreadOver(n, dents),
				Sett: measure.Sett(math.Round(float64(reed) * float64(n) / float64(dents)))}
			one.Exact = math.Abs(float64(one.Sett)/float64(sett)-1) <= exactly
			one.Dents = dentsFor(one.Order, ends)
			all = append(all, one)
		}
	}
	if len(all) == 0 {
		return Sley{}, false
	}
	off := func(s Sley) float64 { return math.Abs(float64(s.Sett)/float64(sett) - 1) }
	return slices.MinFunc(all, func(a, b Sley) int {
		if a.Exact != b.Exact {
			return map[bool]int{true: -1, false: 1}[a.Exact]
		}
		if !a.Exact && math.Abs(off(a)-off(b)) > exactly {
			return cmp.Compare(off(a), off(b))
		}
		return cmp.Or(cmp.Compare(a.trouble(), b.trouble()), cmp.Compare(a.fromTwo(), b.fromTwo()),
			cmp.Compare(off(a), off(b)))
	}), true
}

// trouble grows with the length of an order, as it is further from two ends in a dent, and
// where dents hold more than two, through which knots pass less well.
func (s Sley) trouble() float64 {
	more := float64(len(s.Order)) + 2*s.fromTwo()
	if slices.Max(s.Order) > 2 {
		more++
	}
	return more
}

// fromTwo is how far the order is from two ends in a dent.
func (s Sley) fromTwo() float64 {
	sum := 0
	for _, n := range s.Order {
		sum += n
	}
	return math.Abs(float64(sum)/float64(len(s.Order)) - 2)
}

// spreadOver shares n ends out over so many dents, as evenly as whole ends can be.
func spreadOver(n, dents int) []int {
	order := make([]int, dents)
	for i := range order {
		order[i] = (i+1)*n/dents - i*n/dents
	}
	return order
}

// dentsFor is how many dents so many ends take in an order.
func dentsFor(order []int, ends int) int {
	sum := 0
	for _, n := range order {
		sum += n
	}
	dents := ends / sum * len(order)
	for left, i := ends%sum, 0; left > 0; i++ {
		left -= order[i]
		dents++
	}
	return dents
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// longestMix is how many ends of a mix are told in their order.
const longestMix = 12

// Evenly is an order of the parts of a mix, each index as often as its part, as evenly
// among each other as whole ends can lie; nil where it would be long.
func Evenly(parts []int) []int {
	sum, by := 0, 0
	for _, n := range parts {
		sum, by = sum+n, gcd(n, by)
	}
	if by == 0 || sum/by > longestMix {
		return nil
	}
	given := make([]int, len(parts))
	var out []int
	for at := range sum / by {
		best, behind := 0, math.MinInt
		for i, n := range parts {
			if b := n*(2*at+1) - 2*given[i]*sum; b > behind {
				best, behind = i, b
			}
		}
		given[best]++
		out = append(out, best)
	}
	return out
}
