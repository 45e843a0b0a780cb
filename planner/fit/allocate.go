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

// windEvenly takes windings from all balls of a lot as much as each gives, where none of
// them can be spared: so that none is emptied to its last end while another is hardly used.
func (s *solver) windEvenly(rec *Recommended, c source, left int) bool {
	_, yarn := s.r.unit(int64(rec.WarpEnd))
	sum, least, first := 0, 0, &s.r.Packages[c.first()]
	for n, i := range c.plain {
		units := s.units(i, yarn)
		if sum += units; n == 0 || units < least {
			least = units
		}
		if s.r.Packages[i].lotName() != first.lotName() {
			return false
		}
	}
	if len(c.mixed) > 0 || len(c.plain) < FewBalls || least == 0 || left > sum || left <= sum-least {
		return false
	}
	per, taken, given := s.perUnit(), 0, 0
	for _, i := range c.plain { // each up to its share of the whole, rounded as it adds up
		given += s.units(i, yarn)
		n := (left*given+sum/2)/sum - taken
		taken += n
		rec.Shares[i].Ends = n * per
		rec.Shares[i].Warp = measure.Length(int64(n) * yarn)
		rec.Shares[i].Left -= rec.Shares[i].Warp
	}
	return true
}

// perUnit is the ends of one winding.
func (s *solver) perUnit() int {
	per, _ := s.r.unit(0)
	return per
}

// first is the first package of a source.
func (c source) first() int { return append(slices.Clone(c.plain), c.mixed...)[0] }

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

// throw takes need mm of weft from the packages, those that gave no warp first,
// then the longest rest, and returns it with the overlaps of the joins made.
func (s *solver) throw(rec *Recommended, pkgs []int, need int64) int64 {
	join, taken, joined := int64(s.r.Join), int64(0), false
	order := s.byGreatest(pkgs, func(i int) int64 {
		if rec.Shares[i].Ends > 0 {
			return int64(rec.Shares[i].Left) - int64(outOfReach)
		}
		return int64(rec.Shares[i].Left)
	})
	for _, i := range order {
		have := int64(rec.Shares[i].Left)
		charge := s.r.Packages[i].joinsFor(need, have, join, s.strands[i]) * join
		if !joined {
			charge -= join
		}
		if need <= 0 || have <= charge {
			continue
		}
		take := min(have, need+charge)
		need -= take - charge
		taken += take
		joined = true
		rec.Shares[i].Weft = measure.Length(take)
		rec.Shares[i].Left -= rec.Shares[i].Weft
	}
	return taken
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
