package making

import (
	"cmp"
	"slices"

	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Buy is yarn of which there is too little: so much more of it, with what else is to be
// bought, makes a size fit with 95 %.
type Buy struct {
	Yarn   stash.YarnID `json:"yarn"`
	Name   string       `json:"name"`
	Role   stash.Role   `json:"role"`
	Colour string       `json:"colour"`
	// Lot is the dye lot to ask for, empty where none is recorded.
	Lot string `json:"dye_lot"`
	// Length and Mass are what lacks; a mass of 0 is not known, a length of 0 is of rags.
	Length measure.Length `json:"length_mm"`
	Mass   measure.Mass   `json:"mass_mg"`
	// Packages of PutUp each are to be bought; 0 where no put-up is recorded, or
	// one as sold is too short for a single end.
	Packages int          `json:"items"`
	PutUp    measure.Mass `json:"putup_mg"`
	// Against is what speaks against buying it, empty where nothing is known to.
	Against string `json:"against,omitempty"`

	sold measure.Length // of one package
}

// WarpAndWeft is the role of yarn that lacks in warp and weft alike.
const WarpAndWeft stash.Role = "warp and weft"

// buysFor says what to buy so that a size fits with 95 %: a yarn of one colour once.
func (s Shelf) buysFor(b stash.ProjectFacts, odds fit.Odds) ([]Buy, error) {
	all, err := odds.Margins()
	if err != nil {
		return nil, err
	}
	var out []Buy
	for _, m := range all {
		p, _ := s.find(stash.PackageID(m.Like))
		p.Lot = s.lotToBuy(p, roleOf(m), b)
		one := s.buyOf(p, roleOf(m), m.More, b)
		one.Packages = m.Packages
		out = append(out, one)
	}
	return joined(out), nil
}

// roleOf is what a margin lacks for.
func roleOf(m fit.Margin) stash.Role {
	switch {
	case m.Both:
		return WarpAndWeft
	case m.First.Kind == fit.Weft:
		return stash.RoleWeft
	}
	return stash.RoleWarp
}

// lotToBuy is the lot of a role that a project has most of, of the yarn and colour of a
// package; of yarn for warp and weft that of the warp.
func (s Shelf) lotToBuy(like stash.Package, role stash.Role, b stash.ProjectFacts) string {
	refs := b.Warp
	if role == stash.RoleWeft {
		refs = b.Weft
	}
	lot, most, has := like.Lot, measure.Mass(-1), map[string]measure.Mass{}
	for _, p := range s.Named(refs) {
		if p.Yarn != like.Yarn || p.Colour != like.Colour {
			continue
		}
		if has[p.Lot] += s.amount(p).Available; has[p.Lot] > most {
			lot, most = p.Lot, has[p.Lot]
		}
	}
	return lot
}

// buyOf is so much of a yarn, of the colour and lot of a package.
func (s Shelf) buyOf(like stash.Package, role stash.Role, length measure.Length,
	b stash.ProjectFacts) Buy {
	y := s.Yarns[like.Yarn]
	out := Buy{Yarn: y.ID, Name: y.Name, Role: role, Colour: like.Colour, Lot: stash.LotToAskFor(like.Lot),
		Length: length, PutUp: y.PutUp}
	tex := s.texFor(y, b)
	out.Mass, _ = measure.MassOf(length, tex)
	out.sold, _ = measure.LengthOf(y.PutUp, tex)
	if role == stash.RoleWeft && b.RagPerM2 > 0 { // rags go by mass
		out.Length = 0
	}
	return out
}

// Amount is what lacks in words: "12 m (3 g)", or one of the two where the other is not
// known or means nothing.
func (b Buy) Amount(units measure.System) string {
	switch {
	case b.Length <= 0:
		return b.Mass.Format(units)
	case b.Mass <= 0:
		return b.Length.Yarn(units)
	}
	return b.Length.Yarn(units) + " (" + b.Mass.Format(units) + ")"
}

// joined lists the same yarn of the same colour and lot once: what the warp leaves of its
// packages is weft. What lacks most, by mass, comes first.
func joined(all []Buy) []Buy {
	var out []Buy
	for _, b := range all {
		i := slices.IndexFunc(out, func(o Buy) bool {
			return o.Yarn == b.Yarn && o.Colour == b.Colour && o.Lot == b.Lot
		})
		if i < 0 {
			out = append(out, b)
			continue
		}
		out[i] = out[i].and(b)
	}
	slices.SortStableFunc(out, func(x, y Buy) int { return cmp.Compare(y.Mass, x.Mass) })
	return out
}

// and adds more of the same yarn.
func (b Buy) and(more Buy) Buy {
	left := measure.Length(b.Packages)*b.sold - b.Length
	if b.Role != more.Role {
		b.Role = WarpAndWeft
	}
	b.Length, b.Mass = b.Length+more.Length, b.Mass+more.Mass
	switch lacks := max(0, more.Length-max(0, left)); {
	case b.Packages == 0 || more.Packages == 0 || b.sold <= 0:
		b.Packages = 0
	case lacks > 0:
		b.Packages += b.toBuy(lacks)
	}
	return b
}

// toBuy is how many packages as they are sold hold a length.
func (b Buy) toBuy(lacks measure.Length) int { return int((lacks + b.sold - 1) / b.sold) }

// wholeNeed is what to buy of the first yarn that a project names for a role of which the
// shelf has nothing, all that is planned; none where it names no yarn of known count.
func (s Shelf) wholeNeed(o Outcome, role stash.Role) []Buy {
	refs, need := o.Project.Warp, o.Needs.WarpTotal
	if role == stash.RoleWeft {
		refs, need = o.Project.Weft, o.Needs.WeftTotal
	}
	if len(refs) == 0 || need <= 0 || role == stash.RoleWeft && o.Project.RagPerM2 > 0 {
		return nil
	}
	var like stash.Package
	like.Yarn = refs[0].Yarn
	if named := s.Named(refs[:1]); len(named) > 0 {
		like = named[0]
	}
	b := s.buyOf(like, role, need, o.Project)
	if b.Mass <= 0 {
		return nil
	}
	return []Buy{b}
}
