package making

import (
	"maps"
	"slices"

	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// FinishInput is what the weaver says when a piece comes off the loom.
type FinishInput struct {
	// Weighed are the packages weighed, in the order given.
	Weighed  []stash.Weighed
	Measures stash.Measures
	Thrums   []ThrumsInput
	Unusual  bool
	// Believed records measures without asking that jump against what was learned.
	Believed bool
	Note     string
	// Force records measures that cannot be true.
	Force bool
}

// Finish works out what a piece debits: packages that were weighed by what is
// missing from them, the others by the computed use, in which the warp follows
// the ends really warped and the weft the picks and the width really woven. A
// package that weighs more than the ledger held,
// thrums heavier than the warp, measures that cannot be true unless they are
// forced, and a piece of which nothing says what it took, are refused.
func (s Shelf) Finish(piece stash.Piece, in FinishInput) (stash.Finish, error) {
	f := stash.Finish{Weighed: in.Weighed, Measures: in.Measures, Unusual: in.Unusual,
		Note: in.Note}
	if piece.Plan == nil {
		return f, stash.Refuse(stash.CodeRefused, "",
			"%s was never planned, so nothing can be computed for it", piece.Name)
	}
	if (len(piece.Plan.Allotments) == 0 || piece.Plan.Short) && len(in.Weighed) == 0 &&
		!s.tookFrom(piece.ID) {
		return f, stash.Refuse(stash.CodeRefused,
			"weigh every item that went into it: --weighed ITEM=WEIGHT",
			"%s went on the loom without yarn known to be enough, so its use cannot be computed",
			piece.Name)
	}
	planned := s.lessUnplanned(piece, computable(piece.Plan, in), in.Weighed)
	for _, a := range withUnplanned(planned, in.Weighed) {
		debits, err := s.debits(piece, a, in.Weighed)
		if err != nil {
			return f, err
		}
		f.Debits = append(f.Debits, debits...)
	}
	if !in.Force {
		if err := s.impossible(piece, f); err != nil {
			return f, err
		}
	}
	if !in.Believed && !in.Unusual {
		for _, jump := range s.Jumps(piece, f) {
			f.Jumps = append(f.Jumps, jump.Name)
		}
	}
	var err error
	f.Thrums, err = s.thrums(piece, in.Thrums, f.Debits)
	return f, err
}

// computable is what the packages of a plan give as it was made. Of a piece whose
// yarn was not known to be enough, only what was weighed is debited.
func computable(p *stash.Plan, in FinishInput) []stash.Allotment {
	all := asMade(p, in.Measures)
	if !p.Short {
		return all
	}
	return slices.DeleteFunc(all, func(a stash.Allotment) bool {
		return !slices.ContainsFunc(in.Weighed,
			func(w stash.Weighed) bool { return w.Package == a.Package })
	})
}

// tookFrom says whether some package was debited for a piece already.
func (s Shelf) tookFrom(id stash.PieceID) bool {
	return slices.ContainsFunc(s.Packages, func(p stash.Package) bool { return p.UsedIn[id] > 0 })
}

// withUnplanned adds packages that were weighed without being planned.
func withUnplanned(planned []stash.Allotment, weighed []stash.Weighed) []stash.Allotment {
	out := slices.Clone(planned)
	for _, w := range weighed {
		if !allotted(out, w.Package) {
			out = append(out, stash.Allotment{Package: w.Package})
		}
	}
	return out
}

func allotted(planned []stash.Allotment, id stash.PackageID) bool {
	return slices.ContainsFunc(planned, func(a stash.Allotment) bool { return a.Package == id })
}

// roleOf is what a package gives that was weighed without being planned: what
// its yarn gives by the project, weft where that says nothing.
func (s Shelf) roleOf(p stash.Package, b stash.ProjectFacts) stash.Role {
	of := func(refs []stash.Ref) bool {
		return slices.ContainsFunc(s.Named(refs),
			func(n stash.Package) bool { return n.Yarn == p.Yarn })
	}
	switch {
	case of(b.Weft):
		return stash.RoleWeft
	case of(b.Warp):
		return stash.RoleWarp
	case of(b.HemstitchYarn):
		return stash.RoleHemstitch
	}
	return stash.RoleWeft
}

// standIn is yarn of a package that was weighed without being planned.
type standIn struct {
	stash.Package
	role   stash.Role
	stripe string
	left   measure.Length
}

// standsFor says whether yarn was taken instead of what a package was planned to give in
// a role: it fills the same picks, or ends of the same stripe.
func (s Shelf) standsFor(in *standIn, p stash.Package, role stash.Role, b stash.ProjectFacts) bool {
	return in.role == role && (role != stash.RoleWarp || len(b.Stripes) == 0 ||
		in.stripe == s.colourIn(p, s.Yarns[p.Yarn], b))
}

// standIns are the packages weighed without being planned.
func (s Shelf) standIns(piece stash.Piece, planned []stash.Allotment,
	weighed []stash.Weighed) []*standIn {
	var out []*standIn
	for _, w := range weighed {
		p, found := s.find(w.Package)
		if !found || allotted(planned, w.Package) {
			continue
		}
		b, y := piece.Plan.Spec, s.Yarns[p.Yarn]
		length, _ := measure.LengthOf(p.Held-p.NetOf(w.Reading), s.texFor(y, b))
		out = append(out, &standIn{p, s.roleOf(p, b), s.colourIn(p, y, b), max(0, length)})
	}
	return out
}

// lessUnplanned takes what came from packages weighed without being planned off what
// packages not weighed were planned to give in the same role, of the same yarn before
// others: it was taken instead.
func (s Shelf) lessUnplanned(piece stash.Piece, planned []stash.Allotment,
	weighed []stash.Weighed) []stash.Allotment {
	instead := s.standIns(piece, planned, weighed)
	for _, sameYarn := range []bool{true, false} {
		for i := range planned {
			a := &planned[i]
			if slices.ContainsFunc(weighed,
				func(w stash.Weighed) bool { return w.Package == a.Package }) {
				continue
			}
			p, _ := s.find(a.Package)
			for role, gives := range map[stash.Role]*measure.Length{stash.RoleWarp: &a.Warp,
				stash.RoleWeft: &a.Weft, stash.RoleHemstitch: &a.Hemstitch} {
				for _, in := range instead {
					if s.standsFor(in, p, role, piece.Plan.Spec) && (in.Yarn == p.Yarn || !sameYarn) {
						off := min(in.left, *gives)
						*gives, in.left = *gives-off, in.left-off
					}
				}
			}
		}
	}
	return planned
}

// merged joins the allotments of one package, which may give hem-stitching
// beside warp and weft.
func merged(planned []stash.Allotment) []stash.Allotment {
	var out []stash.Allotment
	for _, a := range planned {
		i := slices.IndexFunc(out, func(b stash.Allotment) bool { return b.Package == a.Package })
		if i < 0 {
			out = append(out, a)
			continue
		}
		out[i].Ends += a.Ends
		out[i].Warp += a.Warp
		out[i].Weft += a.Weft
		out[i].Hemstitch += a.Hemstitch
		out[i].Mass += a.Mass
	}
	return out
}

func (s Shelf) debits(piece stash.Piece, a stash.Allotment, weighed []stash.Weighed) ([]stash.Debit,
	error) {
	p, found := s.find(a.Package)
	if !found {
		return nil, stash.Missing(stash.WhatPackage, string(a.Package))
	}
	tex := s.texFor(s.Yarns[p.Yarn], piece.Plan.Spec)
	shares := roleShares(a)
	if a.Warp+a.Weft+a.Hemstitch == 0 {
		shares = []roleShare{{role: s.roleOf(p, piece.Plan.Spec)}}
	}
	already := p.UsedIn[piece.ID]
	i := slices.IndexFunc(weighed, func(w stash.Weighed) bool { return w.Package == a.Package })
	if i < 0 {
		out := s.counted(p, computed(a.Package, shares, tex, already))
		whole, on := wholeOf(out), !p.Weighed.Before(piece.StartedAt)
		for i := range out {
			// the warp was on the loom when the ball was weighed, or all that was planned was gone
			warp := len(out) == 1 && out[i].Role == stash.RoleWarp && out[i].Mass == 0
			out[i].Measured = on && (warp || already >= whole)
		}
		return out, nil
	}
	net := p.NetOf(weighed[i].Reading)
	used := p.Held - net
	if used < 0 && already+used >= 0 {
		used = 0 // the weighing on the loom had counted a little too much
	}
	if used < 0 {
		return nil, stash.Refuse(stash.CodeRefused,
			"weigh it again, or leave it out and weigh it by itself afterwards",
			"%s weighs %s more than was recorded of it before this piece", p.Label(),
			(-used).Format(s.Settings.Units))
	}
	for _, t := range p.Into(piece.ID, used) {
		if t.Piece == piece.ID {
			used = t.Mass // the rest is warp of others, which is on the loom with it
		}
	}
	return s.counted(p, measured(a.Package, shares, used, tex)), nil
}

// wholeOf is what debits come to for the whole piece.
func wholeOf(all []stash.Debit) (sum measure.Mass) {
	for _, d := range all {
		sum += d.Whole
	}
	return sum
}

// counted takes the lengths out of debits of a yarn without a count: rags are
// reckoned by mass, and what they measure is not known.
func (s Shelf) counted(p stash.Package, debits []stash.Debit) []stash.Debit {
	if s.Yarns[p.Yarn].Tex() == 0 {
		for i := range debits {
			debits[i].Length = 0
		}
	}
	return debits
}

// roleShare is the yarn of a package that goes into one role.
type roleShare struct {
	role   stash.Role
	length measure.Length
}

// roleShares lists the roles of a package. One without any gives weft.
func roleShares(a stash.Allotment) []roleShare {
	var out []roleShare
	if a.Warp > 0 {
		out = append(out, roleShare{stash.RoleWarp, a.Warp})
	}
	if a.Weft > 0 {
		out = append(out, roleShare{stash.RoleWeft, a.Weft})
	}
	if a.Hemstitch > 0 {
		out = append(out, roleShare{stash.RoleHemstitch, a.Hemstitch})
	}
	if len(out) == 0 {
		out = append(out, roleShare{stash.RoleWeft, 0})
	}
	return out
}

// computed debits what the plan says, less what a weighing on the loom has
// debited already, taken off the first role first.
func computed(id stash.PackageID, shares []roleShare, tex measure.Count,
	already measure.Mass) []stash.Debit {
	var out []stash.Debit
	var whole measure.Mass
	for _, share := range shares {
		mass, _ := measure.MassOf(share.length, tex)
		whole += mass
		out = append(out, stash.Debit{Package: id, Role: share.role, Mass: mass, Whole: mass})
	}
	off := whole - stash.StillToDebit(whole, already)
	for i := range out {
		less := min(off, out[i].Mass)
		off -= less
		out[i].Mass -= less
		out[i].Length, _ = measure.LengthOf(out[i].Mass, tex)
	}
	return slices.DeleteFunc(out, func(d stash.Debit) bool { return d.Whole == 0 })
}

// measured shares out what is missing in proportion to the roles' lengths;
// the last role takes the rest, so that the sum is exact.
func measured(id stash.PackageID, shares []roleShare, used measure.Mass,
	tex measure.Count) []stash.Debit {
	var total measure.Length
	for _, share := range shares {
		total += share.length
	}
	var out []stash.Debit
	left := used
	for i, share := range shares {
		mass := left
		if i < len(shares)-1 && total > 0 {
			mass = measure.Part(used, int64(share.length), int64(total))
		}
		left -= mass
		length, _ := measure.LengthOf(mass, tex)
		out = append(out, stash.Debit{Package: id, Role: share.role, Mass: mass, Length: length,
			Measured: true})
	}
	return out
}

// Unbelieved names the measures of a piece from which nothing is learned, why, and the
// likeliest reading.
func (s Shelf) Unbelieved(piece stash.Piece, f stash.Finish) []learn.LeftOut {
	s = s.after(piece, f)
	f.Jumps = nil // what is asked about may be true
	piece.State, piece.Finish = stash.Finished, &f
	return append([]learn.LeftOut{}, s.Taught().weaverOf().Unbelieved(piece, s.Settings.Units)...)
}

// Jumps names the measures of a piece that jump against what the pieces before it led to
// expect, with the likeliest reading. The shelf is that of before its finish.
func (s Shelf) Jumps(piece stash.Piece, f stash.Finish) []learn.LeftOut {
	s = s.after(piece, f)
	piece.State, piece.Finish, piece.Learn = stash.Finished, &f, nil
	s = s.Taught()
	return append([]learn.LeftOut{}, s.weaverOf().Jumps(piece, s.Settings.Units)...)
}

// after is the shelf with what a finish debits counted to its piece.
func (s Shelf) after(piece stash.Piece, f stash.Finish) Shelf {
	s.Packages = slices.Clone(s.Packages)
	for i := range s.Packages {
		p := &s.Packages[i]
		for _, d := range f.Debits {
			if d.Package == p.ID && d.Mass != 0 {
				p.UsedIn = maps.Clone(p.UsedIn)
				if p.UsedIn == nil {
					p.UsedIn = map[stash.PieceID]measure.Mass{}
				}
				p.UsedIn[piece.ID] += d.Mass
			}
		}
	}
	return s
}

// Compare sets a finished piece against its plan; earlier is what had been
// debited of each package before this finish. The shelf is that of before it.
func (s Shelf) Compare(piece stash.Piece, f stash.Finish,
	earlier map[stash.PackageID]measure.Mass) []learn.Row {
	rows := learn.Compare(piece.Plan, f, s.learning(), earlier)
	if rows == nil {
		return []learn.Row{}
	}
	return rows
}
