package fit

import (
	"cmp"
	"slices"

	"endsmeet/stash/measure"
)

// Share is what one package gives to the recommended size.
type Share struct {
	ID string
	// Ends are whole strands of warp cut from the package.
	Ends int
	// Warp is their length together, Weft the weft taken, Left what remains.
	Warp, Weft, Left measure.Length
}

// LotChange says where two dye lots meet in one area.
type LotChange struct {
	// Role is "warp" or "weft".
	Role string
	// Colour of the stripe; blank for the weft and for a warp that counts as one.
	Colour string
	// Lots that meet, by name.
	Lots []string
	// Later says that they meet only where the yarn of all but the first runs out; Tag names
	// a package of another yarn that goes on then.
	Later bool
	Tag   string
}

// allocate shares warp and weft among the packages.
func (s *solver) allocate(rec *Recommended, t *trial) {
	rec.Shares = make([]Share, len(s.r.Packages))
	for i := range rec.Shares {
		rec.Shares[i].ID = s.r.Packages[i].ID
		rec.Shares[i].Left = measure.Length(s.length[i])
	}
	for n := range s.sources {
		left := s.windings(t.ends[n])
		if !s.windEvenly(rec, s.sources[n], left) {
			left = s.wind(rec, s.sources[n].plain, left)
			s.wind(rec, s.sources[n].mixed, left)
		}
	}
	weft := int64(s.r.Geometry.Weft(rec.Point.Threaded, rec.Length))
	once := int64(s.r.Geometry.Once(rec.Point.Threaded))
	for n := range t.pieces {
		rec.Weft += measure.Length(s.throw(rec, s.wefts[n].pkgs, s.weftOf(weft, once, t, n)))
	}
}

// FewBalls is from how many small balls of one lot that are all needed on each gives its share.
const FewBalls = 3

// windEvenly takes windings from all balls of a lot, where none of them can be spared: as
// evenly as each can be relied on, and where that is not enough as much as each gives, so that
// none is emptied to its last end while another is hardly used.
func (s *solver) windEvenly(rec *Recommended, c source, left int) bool {
	_, yarn := s.r.unit(int64(rec.WarpEnd))
	first := &s.r.Packages[c.all()[0]]
	sum, units, reliable := 0, make([]int, len(c.plain)), make([]int, len(c.plain))
	for n, i := range c.plain {
		units[n], reliable[n] = s.units(i, yarn), s.reliable(i, yarn)
		sum += units[n]
		if s.r.Packages[i].lotName() != first.lotName() {
			return false
		}
	}
	if len(c.mixed) > 0 || len(c.plain) < FewBalls || left > sum || left <= sum-slices.Min(units) {
		return false
	}
	gives := evenly(left, reliable)
	if gives == nil {
		gives = inProportion(left, units)
	}
	per := s.perUnit()
	for n, i := range c.plain {
		rec.Shares[i].Ends = gives[n] * per
		rec.Shares[i].Warp = measure.Length(int64(gives[n]) * yarn)
		rec.Shares[i].Left -= rec.Shares[i].Warp
	}
	return true
}

// evenly shares all out one by one in turn, to none more than its most; nil where all of them
// have less.
func evenly(all int, most []int) []int {
	out := make([]int, len(most))
	for before := all + 1; all > 0 && all < before; {
		before = all
		for n := range out {
			if all > 0 && out[n] < most[n] {
				out[n]++
				all--
			}
		}
	}
	if all > 0 {
		return nil
	}
	return out
}

// inProportion shares all out by weight, rounded as it adds up.
func inProportion(all int, weights []int) []int {
	sum, given, taken := 0, 0, 0
	for _, w := range weights {
		sum += w
	}
	out := make([]int, len(weights))
	for n, w := range weights {
		given += w
		out[n] = (all*given+sum/2)/sum - taken
		taken += out[n]
	}
	return out
}

// perUnit is the ends of one winding.
func (s *solver) perUnit() int {
	per, _ := s.r.unit(0)
	return per
}

// wind takes windings from as few packages as have them, the one that gives most first, and
// returns how many are left to wind: of several each what can be relied on, and more only
// where that is not enough.
func (s *solver) wind(rec *Recommended, pkgs []int, left int) int {
	per, yarn := s.r.unit(int64(rec.WarpEnd))
	order := s.byGreatest(pkgs, func(i int) int64 { return int64(s.units(i, yarn)) })
	few, sum := 0, 0
	for few < len(order) && sum < left {
		sum += s.units(order[few], yarn)
		few++
	}
	mosts := []func(i int, yarn int64) int{s.reliable, s.units}
	if few == 1 {
		mosts = mosts[1:]
	}
	for _, most := range mosts {
		for _, i := range order[:few] {
			n := max(0, min(left, most(i, yarn)-rec.Shares[i].Ends/per))
			left -= n
			rec.Shares[i].Ends += n * per
			rec.Shares[i].Warp += measure.Length(int64(n) * yarn)
			rec.Shares[i].Left -= measure.Length(int64(n) * yarn)
		}
	}
	return left
}

// throw takes need mm of weft from as few packages as have it, those that gave no warp first,
// then the longest rest, and returns it with the overlaps of the joins made: of several each
// what can be relied on, and more only where that is not enough.
func (s *solver) throw(rec *Recommended, pkgs []int, need int64) int64 {
	order := s.byGreatest(pkgs, func(i int) int64 {
		if rec.Shares[i].Ends > 0 {
			return int64(rec.Shares[i].Left) - int64(outOfReach)
		}
		return int64(rec.Shares[i].Left)
	})
	all := thrown{s: s, rec: rec, need: need, net: map[int]int64{}}
	left := func(i int) int64 { return int64(rec.Shares[i].Left) }
	for _, i := range order {
		all.from(i, left(i))
	}
	if few := all.order; len(few) > 1 {
		all.back()
		for _, i := range few {
			all.from(i, int64(s.r.Packages[i].Reliable()-rec.Shares[i].Warp))
		}
		for _, i := range few {
			all.from(i, left(i)+int64(rec.Shares[i].Weft))
		}
	}
	taken := int64(0)
	for _, i := range order {
		taken += int64(rec.Shares[i].Weft)
	}
	return taken
}

// thrown is weft taken from packages: what is still needed, and what each weaves without its
// joins, in the order in which they were first taken from.
type thrown struct {
	s     *solver
	rec   *Recommended
	need  int64
	net   map[int]int64
	order []int
}

// from takes of a package as much as is needed up to have mm in all, with its joins; the
// first needs one less.
func (t *thrown) from(i int, have int64) {
	share, join := &t.rec.Shares[i], int64(t.s.r.Join)
	want := t.net[i] + t.need
	charge := t.s.r.Packages[i].joinsFor(want, have, join, t.s.strands[i]) * join
	if len(t.order) == 0 || t.order[0] == i {
		charge -= join
	}
	take := min(have, want+charge)
	if t.need <= 0 || take-charge <= t.net[i] {
		return
	}
	if t.net[i] == 0 {
		t.order = append(t.order, i)
	}
	t.need -= take - charge - t.net[i]
	t.net[i] = take - charge
	share.Left += share.Weft - measure.Length(take)
	share.Weft = measure.Length(take)
}

// back gives back all that was taken.
func (t *thrown) back() {
	for i, net := range t.net {
		share := &t.rec.Shares[i]
		t.need += net
		share.Left, share.Weft = share.Left+share.Weft, 0
	}
	t.net, t.order = map[int]int64{}, nil
}

// byGreatest orders packages by falling key, then by ID.
func (s *solver) byGreatest(pkgs []int, key func(i int) int64) []int {
	out := slices.Clone(pkgs)
	slices.SortStableFunc(out, func(a, b int) int {
		return cmp.Or(cmp.Compare(key(b), key(a)),
			cmp.Compare(s.r.Packages[a].ID, s.r.Packages[b].ID))
	})
	return out
}

// listLotChanges notes every area that draws on more than one lot.
func (s *solver) listLotChanges(rec *Recommended) {
	for _, c := range s.colours {
		if s.r.Plan.Kind != anyMix {
			s.noteLots(rec, "warp", c, func(i int) bool {
				return rec.Shares[i].Ends > 0 && s.r.Packages[i].Colour == c
			})
		}
	}
	if s.r.Plan.Kind == anyMix {
		s.noteLots(rec, "warp", "", func(i int) bool { return rec.Shares[i].Ends > 0 })
	}
	s.noteLots(rec, "weft", "", func(i int) bool { return rec.Shares[i].Weft > 0 })
}

// noteLots notes an area if the packages in it come from several lots.
func (s *solver) noteLots(rec *Recommended, role, colour string, in func(i int) bool) {
	if s.r.Lots == WholeLots {
		return
	}
	var names, lots []string
	for i := range s.r.Packages {
		if in(i) {
			names = append(names, s.r.Packages[i].lotName())
			lots = append(lots, s.r.Packages[i].Lot)
		}
	}
	slices.Sort(names)
	if len(slices.Compact(names)) > 1 {
		slices.Sort(lots)
		rec.LotChanges = append(rec.LotChanges, LotChange{Role: role, Colour: colour,
			Lots: slices.Compact(lots)})
	}
}
