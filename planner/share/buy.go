package share

import (
	"cmp"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Buy is yarn to buy so that a piece can be made.
type Buy struct {
	Yarn   stash.YarnID `json:"yarn"`
	Name   string       `json:"name"`
	Role   stash.Role   `json:"role"`
	Colour string       `json:"colour"`
	// Lot is the dye lot to ask for, empty where none is recorded.
	Lot string `json:"dye_lot"`
	// Length and Mass are what lacks.
	Length measure.Length `json:"length_mm"`
	Mass   measure.Mass   `json:"mass_mg"`
	// Packages of PutUp each are to be bought; 0 where no put-up is recorded, or
	// one as sold is too short for a single end.
	Packages int          `json:"packages"`
	PutUp    measure.Mass `json:"putup_mg"`

	sold measure.Length // of one package
}

// maxBuys is how many ways of buying are told.
const maxBuys = 3

// buys are the cheapest ways, by mass, of making want b at its least size
// beside what a solution makes: for each choice of lots what its warp and its
// weft lack.
func (a *allotting) buys(b int, s Solution) []Buy {
	rest := slices.Clone(a.problem.Packages)
	for other, at := range s.Choice {
		if at < 0 {
			continue
		}
		o := a.problem.Projects[other][at]
		for _, u := range s.Uses[other] {
			for d, n := range u.Windings {
				rest[u.Package] -= int64(n) * o.Windings[d].Length
			}
			for _, v := range u.Weft {
				rest[u.Package] -= v
			}
		}
	}
	var best []Buy
	var least measure.Mass = -1
	for at, o := range a.problem.Projects[b] {
		lacks := a.lacks(o, a.ways[b][at], slices.Clone(rest))
		var sum measure.Mass
		for _, l := range lacks {
			sum += l.Mass
		}
		if len(lacks) > 0 && (least < 0 || sum < least) {
			best, least = lacks, sum
		}
	}
	return best[:min(len(best), maxBuys)]
}

// lacks is what an option lacks out of what is left of the packages.
func (a *allotting) lacks(o Option, w way, rest []int64) []Buy {
	var out []Buy
	for _, d := range o.Windings {
		missing := d.Count
		for _, i := range d.Pool {
			n := int(min(int64(missing), rest[i]/d.Length))
			missing -= n
			rest[i] -= int64(n) * d.Length
		}
		if missing > 0 {
			out = append(out, a.toBuy(d.Pool[0], stash.RoleWarp, missing, d.Length, w))
		}
	}
	for _, d := range o.Wefts {
		missing := d.Length
		for _, i := range d.Pool {
			v := min(missing, rest[i])
			missing -= v
			rest[i] -= v
		}
		if missing > 0 {
			out = append(out, a.toBuy(d.Pool[0], stash.RoleWeft, 1, missing, w))
		}
	}
	out = together(out)
	slices.SortStableFunc(out, func(x, y Buy) int { return cmp.Compare(y.Mass, x.Mass) })
	return out
}

// both is the part of yarn that lacks in warp and weft alike.
const both stash.Role = "warp and weft"

// together buys the same yarn of the same lot once: what the warp leaves of its
// packages is weft.
func together(all []Buy) []Buy {
	var out []Buy
	for _, b := range all {
		i := slices.IndexFunc(out, func(o Buy) bool {
			return o.Yarn == b.Yarn && o.Lot == b.Lot && o.Colour == b.Colour && o.Role != b.Role
		})
		if i < 0 {
			out = append(out, b)
			continue
		}
		warp, weft := out[i], b
		if warp.Role == stash.RoleWeft {
			warp, weft = b, out[i]
		}
		out[i] = warp.with(weft)
	}
	return out
}

// with adds what the weft lacks to what the warp lacks.
func (b Buy) with(weft Buy) Buy {
	whole := b.Packages > 0 && weft.Packages > 0
	left := measure.Length(b.Packages)*b.sold - b.Length
	b.Role, b.Length, b.Mass = both, b.Length+weft.Length, b.Mass+weft.Mass
	switch more := max(0, weft.Length-max(0, left)); {
	case !whole:
		b.Packages = 0
	case more > 0:
		b.Packages += int((more + b.sold - 1) / b.sold)
	}
	return b
}

// toBuy reckons what lacks in packages as they are sold: count strands of a
// length, none of which may be joined; for the weft, one that may.
func (a *allotting) toBuy(pack int, role stash.Role, count int, length int64, w way) Buy {
	p := a.packages[pack]
	return buyOf(a.shelf.Yarns[p.Yarn], p, role, count, measure.Length(length),
		a.shelf.TexFor(a.shelf.Yarns[p.Yarn], w.project))
}

// buyOf is what to buy of a yarn where count strands of a length lack, which
// for the warp must be whole in their package.
func buyOf(y stash.Yarn, like stash.Package, role stash.Role, count int, length measure.Length,
	tex measure.Count) Buy {
	out := Buy{Yarn: y.ID, Name: y.Name, Role: role, Colour: like.Colour, Lot: like.Lot,
		Length: measure.Length(count) * length, PutUp: y.PutUp}
	out.Mass, _ = measure.MassOf(out.Length, tex)
	sold, known := measure.LengthOf(y.PutUp, tex)
	if !known || sold <= 0 {
		return out
	}
	out.sold = sold
	switch per := int(sold / max(1, length)); {
	case role == stash.RoleWeft:
		out.Packages = int((out.Length + sold - 1) / sold)
	case per > 0:
		out.Packages = (count + per - 1) / per
	}
	return out
}
