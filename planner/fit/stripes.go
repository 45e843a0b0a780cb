package fit

import (
	"fmt"
	"sort"
)

// PlanKind says how ends are shared among colours.
type PlanKind int

const (
	// anyMix takes warp ends from any package: one colour, or a mix that counts as one.
	anyMix PlanKind = iota
	// FixedStripes has a given sequence of colours and end counts; wider cloth repeats it
	// whole times.
	FixedStripes
	// ProportionalStripes shares the ends in proportion to the counts of the sequence.
	ProportionalStripes
	// FreeStripes chooses the widths in proportion to what there is of each colour.
	FreeStripes
)

// Stripe is one colour area of the sequence.
type Stripe struct {
	Colour string
	// Ends is the count of a fixed stripe and the weight of a proportional one.
	Ends int
}

// Plan is a stripe plan.
type Plan struct {
	Kind PlanKind
	// Stripes from the left selvedge; with Symmetric up to and with the centre
	// stripe. A free plan without stripes has one for each colour, by name.
	Stripes   []Stripe
	Symmetric bool
	// MinStripe and MaxStripe bound each stripe in ends, but for fixed ones; 0 means 1
	// and no bound.
	MinStripe, MaxStripe int
}

// slot is a stripe, or a mirrored pair of stripes of equal width.
type slot struct {
	colour string
	weight int64
	many   int // 2 for a pair
}

// slots expands the plan for colours of the warp packages.
func (p Plan) slots(colours []string) []slot {
	stripes := p.Stripes
	if p.Kind == FreeStripes && len(stripes) == 0 {
		for _, c := range colours {
			stripes = append(stripes, Stripe{Colour: c})
		}
	}
	out := make([]slot, len(stripes))
	for i, s := range stripes {
		out[i] = slot{colour: s.Colour, weight: int64(s.Ends), many: 1}
		if p.Symmetric && i < len(stripes)-1 {
			out[i].many = 2
		}
	}
	return out
}

// check refuses a plan that can't be woven.
func (p Plan) check(colours []string) error {
	if p.Kind == anyMix {
		return nil
	}
	if p.Kind != FreeStripes && len(p.Stripes) == 0 {
		return fmt.Errorf("fit: the stripe plan has no stripes: list each colour with its ends")
	}
	for _, s := range p.Stripes {
		if at := sort.SearchStrings(colours, s.Colour); at == len(colours) ||
			colours[at] != s.Colour {
			return fmt.Errorf("fit: the stripe plan asks for %q and no yarn of the warp has that colour: add one or change the plan", s.Colour)
		}
		if p.Kind != FreeStripes && s.Ends <= 0 {
			return fmt.Errorf("fit: stripe of %q has %d ends: give at least one", s.Colour, s.Ends)
		}
	}
	if p.MaxStripe > 0 && p.MaxStripe < p.MinStripe {
		return fmt.Errorf("fit: least stripe of %d ends is above the greatest of %d", p.MinStripe,
			p.MaxStripe)
	}
	return nil
}

// Band is one stripe as it is threaded.
type Band struct {
	Colour string `json:"colour"`
	Ends   int    `json:"ends"`
}

// Fixed are the stripes of a fixed plan over so many threaded ends, nil where
// whole repeats do not make them.
func (p Plan) Fixed(threaded int) []Band { return fixedBands(p.slots(nil), threaded) }

// fixedBands repeats the sequence as often as it takes to reach threaded ends, or
// returns nil where whole repeats don't.
func fixedBands(slots []slot, threaded int) []Band {
	w := make([]int, len(slots))
	for i, s := range slots {
		w[i] = int(s.weight)
	}
	once := bands(slots, w)
	sum := 0
	for _, b := range once {
		sum += b.Ends
	}
	if sum == 0 || threaded%sum != 0 {
		return nil
	}
	var out []Band
	for range threaded / sum {
		out = append(out, once...)
	}
	return out
}

// bands lays slots of the widths given out from left to right.
func bands(slots []slot, widths []int) []Band {
	var out []Band
	for i, s := range slots {
		out = append(out, Band{s.colour, widths[i]})
	}
	for i := len(slots) - 1; i >= 0; i-- {
		if slots[i].many == 2 {
			out = append(out, Band{slots[i].colour, widths[i]})
		}
	}
	return out
}

// filler shares threaded ends among slots.
type filler struct {
	slots    []slot
	least    int
	greatest int   // 0 for no bound
	colour   []int // of each slot, as a place in room and plain; nil where these are
	room     []int // ends left for each colour; nil for no bound
	plain    []int // of these, ends that take nothing from the weft; nil for no difference

	widths   []int
	left     int
	blocked  []bool
	total    int64 // sum of weights
	threaded int
}

// fill returns the widths that come nearest to the slots' weights within all
// bounds, or nil where no widths add up to threaded. Ends are given out one
// (or one mirrored pair) at a time, to the slot furthest behind its share, those
// that take no weft first, ties to the slot nearer to the left. The centre of a
// mirrored plan takes its odd end first and then two at a time; as all steps are
// equal and the bounds nest (stripe, colour, total), the fill fails only where no
// widths exist. It uses up room and plain.
func (f *filler) fill(threaded int) []int {
	f.widths, f.blocked = make([]int, len(f.slots)), make([]bool, len(f.slots))
	f.left, f.threaded = threaded, threaded
	for _, s := range f.slots {
		f.total += int64(s.many) * max(1, s.weight)
	}
	for i := range f.slots {
		if !f.give(i, max(1, f.least)) {
			return nil
		}
	}
	centre, mirrored := len(f.slots)-1, f.slots[0].many == 2
	if mirrored && f.left%2 == 1 && !f.give(centre, 1) {
		return nil
	}
	for f.left > 0 {
		i := f.next()
		if i < 0 {
			return nil
		}
		step := 1
		if mirrored && i == centre {
			step = 2
		}
		f.blocked[i] = !f.give(i, step)
	}
	return f.widths
}

// give adds n ends to slot i (and its mirror image) if every bound allows.
func (f *filler) give(i, n int) bool {
	ends := f.slots[i].many * n
	if ends > f.left || f.greatest > 0 && f.widths[i]+n > f.greatest ||
		f.room != nil && f.room[f.colour[i]] < ends {
		return false
	}
	f.widths[i] += n
	f.left -= ends
	if f.room != nil {
		f.room[f.colour[i]] -= ends
	}
	if f.plain != nil {
		f.plain[f.colour[i]] -= ends
	}
	return true
}

// next returns the slot that is to be served next, −1 if none can take any more.
func (f *filler) next() int {
	best, bestPlain, bestBehind := -1, false, int64(0)
	for i := range f.slots {
		if f.blocked[i] {
			continue
		}
		s := &f.slots[i]
		plain := f.plain == nil || f.plain[f.colour[i]] >= s.many
		behind := max(1, s.weight)*int64(f.threaded) - int64(f.widths[i])*f.total
		if best < 0 || plain && !bestPlain || plain == bestPlain && behind > bestBehind {
			best, bestPlain, bestBehind = i, plain, behind
		}
	}
	return best
}
