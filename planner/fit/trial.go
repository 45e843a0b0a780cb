package fit

import "endsmeet/stash/measure"

// Binding names what stands in the way of a greater size.
type Binding struct {
	// Kind is one of the constants below.
	Kind BindingKind
	// Name is the colour of a Colour, the limit of a Limited.
	Name string
}

// BindingKind is a kind of bound.
type BindingKind string

// What can bind. Nothing means that the size wanted is reached.
const (
	Nothing BindingKind = "nothing"
	Warp    BindingKind = "warp"
	Weft    BindingKind = "weft"
	Colour  BindingKind = "colour"
	Limited BindingKind = "limit"
	Range   BindingKind = "range"
	// Either is warp and weft of the same packages: what is not the one is the other.
	Either BindingKind = "yarn"
)

// short is warp or weft that runs out, which are one where all packages of it serve as both.
func (r *Request) short(of BindingKind) Binding {
	for i := range r.Packages {
		if k := &r.Packages[i]; k.serves(Binding{Kind: of}) && !(k.ForWarp && k.ForWeft) {
			return Binding{Kind: of}
		}
	}
	return Binding{Kind: Either}
}

// String returns the binding as the JSON contract names it: the colour's or the limit's
// name, or the kind.
func (b Binding) String() string {
	if b.Name != "" {
		return b.Name
	}
	return string(b.Kind)
}

// trial is the outcome of one size.
type trial struct {
	ok    bool
	bind  Binding // what fails, if not ok
	bands []Band
	from  []int // source of each band
	ends  []int // ends by source, floats included
	// sharing is of the pieces among the weft sources, once they are laid out.
	sharing
}

// try settles whether threaded ends and finished length lf fit. fixed are the
// bands of a plan that does not depend on the yarn, nil for a free one.
func (s *solver) try(threaded int, lf int64, fixed []Band) trial {
	end := int64(s.r.Geometry.WarpEnd(measure.Length(lf)))
	s.measureCaps(max(1, end))
	t := trial{bands: fixed}
	if fixed == nil {
		if t.bands, t.bind = s.freeBands(threaded); t.bands == nil {
			return t
		}
	}
	weft := int64(s.r.Geometry.Weft(threaded, measure.Length(lf)))
	once := int64(s.r.Geometry.Once(threaded))
	if t.bind = s.assign(&t, s.pieceNeed(weft, once)); t.bind.Kind != "" {
		return t
	}
	if !s.weaves(&t, weft, once) {
		t.bind = s.r.short(Weft)
		return t
	}
	t.ok = true
	return t
}

// pieces returns the number of pieces on the warp.
func (r *Request) pieces() int { return max(1, r.Pieces) }

// pieceNeed is the weft of one piece, rounded up: all but what is woven once.
func (s *solver) pieceNeed(weft, once int64) int64 {
	n := int64(s.r.pieces())
	return (weft - once + n - 1) / n
}

// roomOf is how many ends a source gives, whole strands run together.
func (s *solver) roomOf(units int) int {
	return units * s.perUnit() / s.r.strandsPerEnd()
}

// windings is how many windings so many ends take.
func (s *solver) windings(ends int) int {
	per := s.perUnit()
	return (ends*s.r.strandsPerEnd() + per - 1) / per
}

// floats returns the floating ends that the band at position i of n carries.
func (s *solver) floats(i, n int) int {
	f := s.r.Ends.Floats
	if n == 1 {
		return f
	}
	switch i {
	case 0:
		return (f + 1) / 2
	case n - 1:
		return f / 2
	}
	return 0
}

// freeBands chooses the stripe widths of a free plan for the current caps: within what can
// be relied on, where that makes so many ends.
func (s *solver) freeBands(threaded int) ([]Band, Binding) {
	if !s.hasMixed {
		s.measureReliable()
		if bands, _ := s.bandsWithin(threaded, s.caps.reliable); bands != nil {
			return bands, Binding{}
		}
	}
	return s.bandsWithin(threaded, s.caps.plain)
}

// bandsWithin is freeBands with so many windings from each source beside those whose rest is
// weft.
func (s *solver) bandsWithin(threaded int, plain []int) ([]Band, Binding) {
	f := filler{slots: s.slots, least: s.r.Plan.MinStripe, greatest: s.r.Plan.MaxStripe,
		colour: s.slotColours, room: make([]int, len(s.colours))}
	if s.hasMixed {
		f.plain = make([]int, len(s.colours))
	}
	for c, stripes := range s.stripesOf {
		if stripes > 0 {
			s.roomFor(&f, c, stripes, plain)
		}
	}
	s.reserveFloats(f.room)
	for i, l := range s.slots {
		if f.room[s.slotColours[i]] < max(1, f.least)*l.many {
			return nil, Binding{Colour, l.colour}
		}
	}
	w := f.fill(threaded)
	if w == nil {
		return nil, s.r.short(Warp)
	}
	return bands(s.slots, w), Binding{}
}

// roomFor says how many ends there are of a colour: of its fullest source for one stripe,
// of all for several.
func (s *solver) roomFor(f *filler, colour, stripes int, plain []int) {
	for _, at := range s.byColour[s.colours[colour]] {
		room := s.roomOf(plain[at] + s.caps.mixed[at])
		if stripes == 1 {
			f.room[colour] = max(f.room[colour], room)
		} else {
			f.room[colour] += room
		}
		if f.plain != nil {
			f.plain[colour] += s.roomOf(plain[at])
		}
	}
}

// reserveFloats sets the floating ends of the edge stripes aside.
func (s *solver) reserveFloats(room []int) {
	n := 0
	for _, l := range s.slots {
		n += l.many
	}
	last := len(s.slots) - 1
	if s.slots[0].many == 2 {
		last = 0
	}
	if n == 1 {
		room[s.slotColours[0]] -= s.floats(0, 1)
		return
	}
	room[s.slotColours[0]] -= s.floats(0, n)
	room[s.slotColours[last]] -= s.floats(n-1, n)
}

// assign gives every band a source. Its binding has no kind if that worked.
func (s *solver) assign(t *trial, pieceNeed int64) Binding {
	t.ends = make([]int, len(s.sources))
	t.from = make([]int, len(t.bands))
	for c, at := range s.bandsByColour(t.bands) {
		if !s.pack(t, s.colourName(c), at, pieceNeed) {
			if s.r.Plan.Kind == anyMix {
				return s.r.short(Warp)
			}
			return Binding{Colour, s.colourName(c)}
		}
	}
	return Binding{}
}

// colourName is the colour of band group c.
func (s *solver) colourName(c int) string {
	if s.r.Plan.Kind == anyMix {
		return ""
	}
	return s.colours[c]
}

// bandsByColour lists the positions of each colour's bands, by colour.
func (s *solver) bandsByColour(bands []Band) [][]int {
	if s.r.Plan.Kind == anyMix {
		return [][]int{{0}}
	}
	out := make([][]int, len(s.colours))
	for n, c := range s.colours {
		for i, b := range bands {
			if b.Colour == c {
				out[n] = append(out[n], i)
			}
		}
	}
	return out
}

// sides lists the sides that are woven from: both of a clasped weft, else the one.
func (r *Request) sides() []int {
	for i := range r.Packages {
		if r.Packages[i].Side > 0 {
			return []int{1, 2}
		}
	}
	return []int{0}
}

// ofSide is the part of a weft that one side takes, rounded up.
func (r *Request) ofSide(weft int64) int64 {
	n := int64(len(r.sides()))
	return (weft + n - 1) / n
}

// cutFrom is the warp cut from packages whose rest goes to weft source n, in mm.
func (s *solver) cutFrom(t *trial, n int) int64 {
	var sum int64
	for i := range s.sources {
		if s.mingled() || s.sources[i].lot == s.wefts[n].lot {
			sum += s.cut(i, t.ends[i])
		}
	}
	return sum
}

// cut is the warp that so many ends of source i take from packages whose rest is weft.
func (s *solver) cut(i, ends int) int64 {
	_, yarn := s.r.unit(s.caps.end)
	return int64(max(0, s.windings(ends)-s.caps.plain[i])) * yarn
}
