package making

import (
	"cmp"
	"slices"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Inside is yarn of one package in one role in a finished piece.
type Inside struct {
	Package stash.Package
	Yarn    stash.Yarn
	Role    stash.Role
	// Debited is all that the piece took, Mass what of it is in the cloth and
	// its fringe: loom waste, thrums and sample are not.
	Debited measure.Mass
	Mass    measure.Mass
	// Measured says that Mass rests on weighings and a measured waste; else
	// part of it is computed. Weighed says that what was debited was weighed.
	Measured, Weighed bool
}

// inside says what is in a finished piece, in the order of the shelf. A piece
// that is not finished is refused. The shelf is that of after the finish.
func (s Shelf) inside(piece stash.Piece) ([]Inside, error) {
	if piece.Finish == nil || piece.Plan == nil {
		return nil, stash.Refuse(stash.CodeRefused, "finish it first",
			"%s is %s: what is in it is known when it is finished", piece.Name, stateWords(piece))
	}
	k := s.kept(piece)
	thrums := s.thrumsOf(piece.Finish)
	var out []Inside
	for _, p := range s.Packages {
		for _, in := range s.debitedTo(piece, p) {
			k.keep(&in, thrums)
			out = append(out, in)
		}
	}
	return out, nil
}

func stateWords(p stash.Piece) string {
	if p.State == "" {
		return "not planned"
	}
	return string(p.State)
}

// debitedTo lists what a package gave to a piece that is off the loom, by role. What was
// debited before the finish (weighed on the loom, used by hand), or without one, is added
// to the roles that the plan gave the package.
func (s Shelf) debitedTo(piece stash.Piece, p stash.Package) []Inside {
	left := p.UsedIn[piece.ID]
	var out []Inside
	for _, d := range finishOf(piece).Debits {
		if d.Package == p.ID && d.Mass != 0 {
			out = append(out, Inside{p, s.Yarns[p.Yarn], d.Role, d.Mass, d.Mass, d.Measured, d.Measured})
			left -= d.Mass
		}
	}
	if left <= 0 {
		return out
	}
	for role, mass := range s.earlier(piece, p, out, left) {
		out = added(out, Inside{p, s.Yarns[p.Yarn], role, mass, mass, true, true})
	}
	slices.SortStableFunc(out, func(a, b Inside) int {
		return slices.Index(roles,
			a.Role) - slices.Index(roles, b.Role)
	})
	return out
}

// Took lists what a package gave to a piece that is off the loom, by role, with how long
// it is: as wound, if that was measured, else by the count that is known now; what was
// computed is as long as it was computed.
func (s Shelf) Took(piece stash.Piece, p stash.Package) []Took {
	var out []Took
	for _, in := range s.debitedTo(piece, p) {
		t := Took{Role: in.Role, Mass: in.Debited, Weighed: in.Weighed}
		t.Length, _ = measure.LengthOf(t.Mass, in.Yarn.Tex())
		if in.Role == stash.RoleWarp && finishOf(piece).Measures.Wound > 0 {
			t.Length = cmp.Or(madeOf(piece, p).Warp, t.Length)
		}
		for _, d := range finishOf(piece).Debits {
			if d.Package == p.ID && d.Role == in.Role && d.Mass == t.Mass && !d.Measured {
				t.Length = d.Length
			}
		}
		if slices.ContainsFunc(p.Feeds,
			func(f stash.Feed) bool { return f.Piece == piece.ID && f.Ended }) {
			t.Weighed = false // the piece was abandoned, and nobody weighed since
		}
		out = append(out, t)
	}
	return out
}

// Took is yarn of one package that went into a piece in one role.
type Took struct {
	Role    stash.Role
	Mass    measure.Mass
	Length  measure.Length
	Weighed bool
}

func finishOf(p stash.Piece) stash.Finish {
	if p.Finish == nil {
		return stash.Finish{}
	}
	return *p.Finish
}

var roles = []stash.Role{stash.RoleWarp, stash.RoleWeft, stash.RoleHemstitch}

// earlier divides what was debited before the finish: warp first, as far as
// the plan goes, as the finish took it off.
func (s Shelf) earlier(piece stash.Piece, p stash.Package, have []Inside,
	left measure.Mass) map[stash.Role]measure.Mass {
	if piece.Plan == nil {
		return map[stash.Role]measure.Mass{stash.RoleWeft: left}
	}
	planned := madeOf(piece, p)
	rest := stash.RoleWeft
	switch {
	case planned.Weft == 0 && planned.Hemstitch > 0:
		rest = stash.RoleHemstitch
	case planned.Weft == 0 && planned.Warp > 0:
		rest = stash.RoleWarp
	}
	out := map[stash.Role]measure.Mass{}
	if planned.Warp > 0 && rest != stash.RoleWarp {
		room, _ := measure.MassOf(planned.Warp, s.texFor(s.Yarns[p.Yarn], piece.Plan.Spec))
		for _, in := range have {
			if in.Role == stash.RoleWarp {
				room -= in.Debited
			}
		}
		if room = min(max(room, 0), left); room > 0 {
			out[stash.RoleWarp] = room
		}
	}
	if left -= out[stash.RoleWarp]; left > 0 {
		out[rest] += left
	}
	return out
}

// madeOf is what a package was planned to give a piece, as the piece was made; nothing
// without a plan.
func madeOf(piece stash.Piece, p stash.Package) stash.Allotment {
	if piece.Plan == nil {
		return stash.Allotment{}
	}
	all := asMade(piece.Plan, finishOf(piece).Measures)
	if i := slices.IndexFunc(all, func(a stash.Allotment) bool { return a.Package == p.ID }); i >= 0 {
		return all[i]
	}
	return stash.Allotment{}
}

// added joins yarn of a role that is there already.
func added(all []Inside, in Inside) []Inside {
	for i, have := range all {
		if have.Role == in.Role {
			all[i].Debited += in.Debited
			all[i].Mass += in.Mass
			all[i].Measured = have.Measured && in.Measured
			all[i].Weighed = have.Weighed && in.Weighed
			return all
		}
	}
	return append(all, in)
}

// kept is how much of each end, and of the weft, is in the finished pieces.
type kept struct {
	warp, warpOf measure.Length
	weft, weftOf measure.Length
	// wasteMeasured says that the loom waste was measured.
	wasteMeasured bool
}

// kept works out the part of the warp that became cloth and fringe:
//
//	end − sample − header − trimmings − waste
//
// where the waste is the measured one, else the planned part of front and back
// that the fringe does not use, and what stayed unwoven. Of the weft only the
// sample and the header are not in the piece.
func (s Shelf) kept(piece stash.Piece) kept {
	p, m := piece.Plan, piece.Finish.Measures
	spec := s.specOf(p.Spec)
	k := kept{warpOf: p.Warped(m), wasteMeasured: m.Waste > 0}
	off := spec.Loom.Sample + spec.Loom.HeaderWarp
	off += measure.Length(spec.Pieces) * spec.Edges.Trimmed()
	waste := m.Waste
	if !k.wasteMeasured {
		waste = spec.Front() + spec.Back() - spec.Edges.Fringes() + unwoven(spec, p, m) +
			k.warpOf - (p.WarpEnd - p.Margin)
	}
	k.warp = min(max(k.warpOf-off-waste, 0), k.warpOf)
	// ends that others on the warp took and this one left idle
	if idle := p.WarpEnds() - p.Ends; idle > 0 {
		k.warp = measure.Length(int64(k.warp) * int64(p.Ends) / int64(p.WarpEnds()))
	}
	k.weft, k.weftOf = keptWeft(spec, p)
	return k
}

// unwoven is the warp of each end that the plan meant for cloth and that the
// tape says was not woven; below zero where more was woven.
func unwoven(spec planner.Spec, p *stash.Plan, m stash.Measures) measure.Length {
	if m.Tape == 0 {
		return 0
	}
	n := measure.Length(spec.Pieces)
	return measure.Length(float64(p.Tape*n-n*stash.OfOne(m.Tape, p.Tape,
		spec.Pieces)) * spec.Losses.PerTape())
}

func keptWeft(spec planner.Spec, p *stash.Plan) (in, of measure.Length) {
	n, err := planner.NeedForEnds(spec, p.Ends-p.Spec.FloatingSelvedges)
	if err != nil {
		return 1, 1
	}
	for _, line := range n.Weft {
		of += line.Length
		if line.Name != "sample" && line.Name != "header" {
			in += line.Length
		}
	}
	return in, of
}

// keep leaves of a debit what is in the piece. Thrums were weighed out of the
// warp, so at least their mass is not in it.
func (k kept) keep(in *Inside, thrums map[stash.YarnID]*thrumsMass) {
	switch in.Role {
	case stash.RoleWarp:
		in.Mass = measure.Part(in.Debited, int64(k.warp), int64(k.warpOf))
		t := thrums[in.Yarn.ID]
		if t != nil {
			in.Mass = max(0, min(in.Mass, in.Debited-t.shareOf(in.Debited)))
		}
		in.Measured = in.Measured && (k.wasteMeasured || k.warp == k.warpOf)
	case stash.RoleWeft:
		in.Mass = measure.Part(in.Debited, int64(k.weft), int64(k.weftOf))
		in.Measured = in.Measured && k.weft == k.weftOf
	}
}

// thrumsMass is the thrums kept of one yarn and the warp that they came from.
type thrumsMass struct{ mass, warp measure.Mass }

// shareOf is the part of the thrums that one package's warp gave.
func (t thrumsMass) shareOf(debited measure.Mass) measure.Mass {
	if t.warp == 0 {
		return 0
	}
	return measure.Part(t.mass, int64(debited), int64(t.warp))
}

func (s Shelf) thrumsOf(f *stash.Finish) map[stash.YarnID]*thrumsMass {
	out := map[stash.YarnID]*thrumsMass{}
	for _, t := range f.Thrums {
		p, found := s.find(t.Package)
		if !found {
			continue
		}
		if out[p.Yarn] == nil {
			out[p.Yarn] = &thrumsMass{}
		}
		out[p.Yarn].mass += t.Mass
	}
	for _, d := range f.Debits {
		p, _ := s.find(d.Package)
		if t := out[p.Yarn]; t != nil && d.Role == stash.RoleWarp {
			t.warp += d.Mass
		}
	}
	return out
}
