package fit

import (
	"cmp"
	"slices"
	"sort"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// source is a set of packages that one colour area may be wound from, or one
// weft area woven from.
type source struct {
	colour, lot string
	plain       []int // serve the warp only
	mixed       []int // their rest is weft
}

// weftSource is a set of packages that one weft area may be woven from.
type weftSource struct {
	lot    string
	side   int
	pkgs   []int
	usable int64   // total length less joins, mm
	doubt  float64 // its standard uncertainty, 0 where it was not asked yet
}

// solver holds a checked request at one level.
type solver struct {
	r       *Request
	length  []int64   // of each package, mm
	strands [][]int64 // separate lengths of each package, nil for one
	colours []string
	slots   []slot
	// slotColours are the slots' places among colours, stripesOf how many stripes each
	// colour has.
	slotColours, stripesOf []int
	sources                []source // by colour, then lot
	byColour               map[string][]int
	wefts                  []weftSource
	hasMixed               bool
	// weaving is how far the weft of so many ends is in doubt, as a share of it.
	weaving map[int]float64
	// near is the last length that was found, where the next is sought from.
	near int64
	caps struct {
		end      int64
		plain    []int
		mixed    []int
		reliable []int // of the plain ones, what can be relied on; nil where it was not asked
	}
}

// newSolver prepares r, which must have passed check.
func newSolver(r *Request) *solver {
	s := &solver{r: r, byColour: map[string][]int{}, weaving: map[int]float64{}}
	for i := range r.Packages {
		k := &r.Packages[i]
		at := int64(k.length(r.Level))
		s.length = append(s.length, at)
		s.strands = append(s.strands, k.scaledStrands(at))
	}
	s.colours = r.colours()
	s.slots = r.Plan.slots(s.colours)
	s.placeSlots()
	s.buildSources()
	s.buildWefts()
	if r.Plan.Kind == FreeStripes {
		s.weighSlots()
	}
	return s
}

// colours lists the colours of the warp packages by name.
func (r *Request) colours() []string {
	var out []string
	for i := range r.Packages {
		if r.Packages[i].ForWarp {
			out = append(out, r.Packages[i].Colour)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// scaledStrands returns the package's separate lengths at a total of at mm.
func (k *Package) scaledStrands(at int64) []int64 {
	if len(k.Strands) == 0 {
		return nil
	}
	var sum int64
	for _, v := range k.Strands {
		sum += int64(v)
	}
	out := make([]int64, len(k.Strands))
	for i, v := range k.Strands {
		out[i] = int64(v) * at / max(1, sum)
	}
	return out
}

// area returns colour and lot of the area that package i belongs to, blank where
// the plan or the rule makes no difference.
func (s *solver) area(i int) (colour, lot string) {
	k := &s.r.Packages[i]
	if s.r.Plan.Kind != anyMix {
		colour = k.Colour
	}
	if s.r.Lots == WholeLots {
		lot = k.lotName()
	}
	return colour, lot
}

// lotName tells lots of all yarns and colours apart.
func (k *Package) lotName() string { return k.Yarn + "\x00" + k.Colour + "\x00" + k.Lot }

// buildSources sorts the warp packages into areas.
func (s *solver) buildSources() {
	type key struct{ colour, lot string }
	at := map[key]int{}
	for _, i := range s.ordered() {
		k := &s.r.Packages[i]
		if !k.ForWarp {
			continue
		}
		c, l := s.area(i)
		n, ok := at[key{c, l}]
		if !ok {
			n = len(s.sources)
			at[key{c, l}] = n
			s.sources = append(s.sources, source{colour: c, lot: l})
			s.byColour[c] = append(s.byColour[c], n)
		}
		if k.ForWeft && s.joinable(i) > 0 {
			s.sources[n].mixed = append(s.sources[n].mixed, i)
			s.hasMixed = true
		} else {
			s.sources[n].plain = append(s.sources[n].plain, i)
		}
	}
	s.caps.plain = make([]int, len(s.sources))
	s.caps.mixed = make([]int, len(s.sources))
}

// ordered returns the packages by colour, lot and ID.
func (s *solver) ordered() []int {
	order := make([]int, len(s.r.Packages))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		x, y := &s.r.Packages[a], &s.r.Packages[b]
		return cmp.Or(cmp.Compare(x.Colour, y.Colour), cmp.Compare(x.Yarn, y.Yarn),
			cmp.Compare(x.Lot, y.Lot), cmp.Compare(x.ID, y.ID))
	})
	return order
}

// buildWefts sorts the weft packages into areas and charges joins.
func (s *solver) buildWefts() {
	type key struct {
		lot  string
		side int
	}
	at := map[key]int{}
	for _, i := range s.ordered() {
		if !s.r.Packages[i].ForWeft || s.joinable(i) == 0 {
			continue
		}
		k := key{s.weftName(i), s.r.Packages[i].Side}
		n, ok := at[k]
		if !ok {
			n = len(s.wefts)
			at[k] = n
			s.wefts = append(s.wefts, weftSource{lot: k.lot, side: k.side})
		}
		s.wefts[n].pkgs = append(s.wefts[n].pkgs, i)
		s.wefts[n].usable += s.joinable(i)
	}
	for n := range s.wefts {
		if s.wefts[n].usable > 0 {
			s.wefts[n].usable += int64(s.r.Join)
		}
	}
}

// weftName tells areas of weft apart: by lot, by yarn and colour, or not at all.
func (s *solver) weftName(i int) string {
	switch k := &s.r.Packages[i]; {
	case s.r.Lots == WholeLots:
		return k.lotName()
	case s.mingled():
		return ""
	default:
		return k.Yarn + "\x00" + k.Colour
	}
}

// mingled says whether all of a weft is one area: where it may be, or is of one piece, and
// where packages give warp of any lot besides.
func (s *solver) mingled() bool {
	return s.r.Lots == AnyLot && (s.r.pieces() == 1 || s.r.Mingle || s.hasMixed)
}

// joinable is what package i gives the weft when each strand is charged a join.
func (s *solver) joinable(i int) int64 {
	return s.r.Packages[i].joinable(s.length[i], int64(s.r.Join), int64(s.r.Pass), s.strands[i])
}

// placeSlots finds the colours of the slots.
func (s *solver) placeSlots() {
	s.stripesOf = make([]int, len(s.colours))
	for _, l := range s.slots {
		at := slices.Index(s.colours, l.colour)
		s.slotColours = append(s.slotColours, at)
		s.stripesOf[at] += l.many
	}
}

// weighSlots gives each stripe of a free plan its share of the colour's yarn.
func (s *solver) weighSlots() {
	for i, c := range s.slotColours {
		var sum int64
		for _, n := range s.byColour[s.slots[i].colour] {
			for _, k := range s.sources[n].all() {
				sum += s.length[k]
			}
		}
		s.slots[i].weight = max(1, sum/int64(s.stripesOf[c])/1000)
	}
}

// unit returns the ends in one winding and its yarn for an end of length end.
func (r *Request) unit(end int64) (ends int, yarn int64) {
	if r.Ends.Loops {
		return 2, 2 * end
	}
	return 1, end
}

// strandsPerEnd is the yarns run together as one end.
func (r *Request) strandsPerEnd() int { return max(1, r.Ends.Strands) }

// all lists the packages of a source.
func (c source) all() []int { return slices.Concat(c.plain, c.mixed) }

// units counts the whole windings of yarn mm that package i gives.
func (s *solver) units(i int, yarn int64) int {
	return s.r.Packages[i].windings(s.length[i], yarn, s.strands[i])
}

// reliable counts the whole windings of yarn mm that package i can be relied on to give.
func (s *solver) reliable(i int, yarn int64) int {
	k := &s.r.Packages[i]
	low := int64(k.Reliable())
	return min(s.units(i, yarn), k.windings(low, yarn, k.scaledStrands(low)))
}

// measureCaps counts the windings of every source for an end of length end.
func (s *solver) measureCaps(end int64) {
	if s.caps.end == end {
		return
	}
	s.caps.end, s.caps.reliable = end, nil
	_, yarn := s.r.unit(end)
	sum := func(pkgs []int) (n int) {
		for _, i := range pkgs {
			n += s.units(i, yarn)
		}
		return n
	}
	for n := range s.sources {
		s.caps.plain[n] = sum(s.sources[n].plain)
		s.caps.mixed[n] = sum(s.sources[n].mixed)
	}
}

// measureReliable counts the windings that can be relied on of every source.
func (s *solver) measureReliable() {
	if s.caps.reliable != nil {
		return
	}
	_, yarn := s.r.unit(s.caps.end)
	s.caps.reliable = make([]int, len(s.sources))
	for n := range s.sources {
		for _, i := range s.sources[n].plain {
			s.caps.reliable[n] += s.reliable(i, yarn)
		}
	}
}

// greatest returns the greatest finished length in 1…top for which ok holds, 0 if
// none, sought from near. ok must not turn true again once it is false.
func greatest(top, near int64, ok func(lf int64) bool) int64 {
	lo, hi := int64(0), top+1
	for step := int64(1); lo < near && near < hi; step *= 8 {
		if ok(near) {
			lo, near = near, near+step
		} else {
			hi, near = near, near-step
		}
	}
	return lo + int64(sort.Search(int(hi-lo-1), func(n int) bool { return !ok(lo + int64(n) + 1) }))
}

// chancePackages turns the request's packages into those of package chance.
func (r *Request) chancePackages() []chance.Package {
	out := make([]chance.Package, len(r.Packages))
	for i := range r.Packages {
		k := &r.Packages[i]
		out[i] = chance.Package{
			ID: k.ID, Length: float64(k.Length), Own: k.Own, Shared: k.Shared,
			Unknown: k.Unknown, Knots: k.Knots, Longest: float64(k.Longest),
		}
		var sum measure.Length
		for _, v := range k.Strands {
			sum += v
		}
		for _, v := range k.Strands {
			out[i].Shares = append(out[i].Shares, float64(v)/float64(max(1, sum)))
		}
	}
	return out
}
