// Package like finds what is on the shelf that is like a yarn: in fibre, in count, in
// colour as far as it is known, and whether it is of the same dye lot. It is pure.
package like

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"endsmeet/stash"
)

// Match is an item that is like another.
type Match struct {
	Package stash.Package
	Yarn    stash.Yarn
	// Fibre is the part of the fibre that both have in common, by mass; −1 where
	// either is not known.
	Fibre float64
	// Finer is how much longer a gram of it is, as a part: 0.1 is a tenth finer; NaN
	// where a count is not known.
	Finer float64
	// Colour is ΔE*ab, −1 where a colour is not known.
	Colour float64
	// SameYarn says that it is the same yarn, SameLot the same dye lot of it too.
	SameYarn, SameLot bool

	distance float64
}

// How much each matters, and what not knowing counts as (common practice, no source).
const (
	fibreWeight  = 1.0
	countWeight  = 1.0
	colourWeight = 0.6
	notKnown     = 0.35
	// near is the distance within which something is like it.
	near = 0.8
	// farApart is the colour distance from which colours have nothing in common, and
	// twice the count from which counts have.
	farApart = 60.0
	// mistaken is the colour distance within which one is taken for the other: that of
	// two colours is about seen side by side from 2 on (common practice, no source).
	mistaken = 2.0
)

// Distance gives the distance of two colours as they were written down; false where
// one is not known.
type Distance func(a, b string) (float64, bool)

// Search looks for what is like an item.
type Search struct {
	Of      stash.Package
	Yarns   map[stash.YarnID]stash.Yarn
	Colours Distance
	// Top is how many matches are wanted; 0 is all.
	Top   int
	found []Match
	// within is how many were found near it, alike those of its colour that are another yarn.
	within int
	alike  map[stash.YarnID]Match
}

// Add looks at a package.
func (s *Search) Add(other stash.Package) {
	p, y := s.Of, s.Yarns[s.Of.Yarn]
	if other.ID == p.ID || other.Retired || other.Yarn == "" || other.Known && other.Held <= 0 {
		return
	}
	m := Match{Package: other, Yarn: s.Yarns[other.Yarn], SameYarn: other.Yarn == p.Yarn}
	m.SameLot = m.SameYarn && other.Lot == p.Lot && p.Lot != "" && other.Colour == p.Colour
	m.Fibre, m.Finer, m.Colour = inCommon(y, m.Yarn), finer(y, m.Yarn), -1
	mine, its := p.ColourOf(y.Name), other.ColourOf(m.Yarn.Name)
	if d, known := s.Colours(cmp.Or(mine, y.Name), cmp.Or(its, m.Yarn.Name)); known {
		m.Colour = d
	}
	if m.Colour >= 0 && m.Colour <= mistaken && !m.SameYarn {
		if s.alike == nil {
			s.alike = map[stash.YarnID]Match{}
		}
		if _, seen := s.alike[m.Yarn.ID]; !seen {
			s.alike[m.Yarn.ID] = m
		}
	}
	if m.distance = m.apart(); m.distance > near {
		return
	}
	s.within++
	s.found = append(s.found, m)
	if s.Top > 0 && len(s.found) >= max(1000, 2*s.Top) {
		s.Matches()
	}
}

// Alike are other yarns of the same colour, one item of each, in the order of their labels:
// what may be taken for the item.
func (s *Search) Alike() []Match {
	return slices.SortedFunc(maps.Values(s.alike), func(a, b Match) int {
		return cmp.Or(cmp.Compare(a.Package.Label(), b.Package.Label()),
			cmp.Compare(a.Package.ID, b.Package.ID))
	})
}

// More is how many there are that are like the item and not among the matches.
func (s *Search) More() int { return s.within - len(s.Matches()) }

// Matches lists what is like the item, the likest first, the item itself left out.
func (s *Search) Matches() []Match {
	slices.SortStableFunc(s.found, func(a, b Match) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance),
			cmp.Compare(a.Package.Label(), b.Package.Label()))
	})
	if s.Top > 0 && len(s.found) > s.Top {
		s.found = best(s.found, s.Top)
	}
	return s.found
}

// best are the first of some matches in their order: those of the same yarn, then one of each
// other yarn, so that none crowds out another, then more of these.
func best(all []Match, top int) []Match {
	seen := map[stash.YarnID]int{}
	turn := make([]int, len(all))
	for i, m := range all {
		if !m.SameYarn {
			turn[i] = min(seen[m.Yarn.ID], 1)
			seen[m.Yarn.ID]++
		}
	}
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(turn[a], turn[b]) })
	order = order[:top]
	slices.Sort(order)
	out := make([]Match, top)
	for n, i := range order {
		out[n] = all[i]
	}
	return out
}

// Yarns says whether two yarns are like each other in fibre and count, whatever their colour.
func Yarns(a, b stash.Yarn) bool {
	m := Match{Fibre: inCommon(a, b), Finer: finer(a, b), Colour: 0}
	return m.apart() <= near
}

func (m Match) apart() float64 {
	fibre, count, colour := notKnown, notKnown, notKnown
	if m.Fibre >= 0 {
		fibre = 1 - m.Fibre
	}
	if !math.IsNaN(m.Finer) {
		count = math.Abs(math.Log2(1 + m.Finer))
	}
	if m.Colour >= 0 {
		colour = min(1, m.Colour/farApart)
	}
	d := fibreWeight*fibre + countWeight*count + colourWeight*colour
	if m.SameYarn {
		d = colourWeight * colour / 2
	}
	if m.SameLot {
		d = 0
	}
	return d
}

// inCommon is the part of the fibre that two yarns have in common, −1 where either is
// not known.
func inCommon(a, b stash.Yarn) float64 {
	if a.Fibre.Unknown() || b.Fibre.Unknown() {
		return -1
	}
	sum := 0.0
	for _, p := range a.Fibre {
		for _, q := range b.Fibre {
			if p.Fibre == q.Fibre {
				sum += min(p.Share.Float(), q.Share.Float())
			}
		}
	}
	return sum
}

func finer(a, b stash.Yarn) float64 {
	if a.Tex() == 0 || b.Tex() == 0 {
		return math.NaN()
	}
	return float64(a.Tex())/float64(b.Tex()) - 1
}
