package share

import (
	"context"
	"math"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// allotments turns what an option takes, without its reserve, into the ledger's form.
func (a *allotting) allotments(w way, uses []Use) []stash.Allotment {
	var out []stash.Allotment
	for _, u := range uses {
		p := a.packages[u.Package]
		one := stash.Allotment{Package: p.ID}
		for d, n := range u.Windings {
			one.Ends += n * w.perWinding
			one.Warp += measure.Length(n) * w.windings[d]
		}
		for _, v := range u.Weft {
			one.Weft += measure.Length(math.Ceil(float64(v) / w.reserve.weft))
		}
		one.Mass, _ = measure.MassOf(one.Warp+one.Weft,
			a.shelf.TexFor(a.shelf.Yarns[p.Yarn], w.project))
		out = append(out, one)
	}
	return out
}

// asWound are allotments for a plan whose ends are no longer than that has them.
func (a *allotting) asWound(given []stash.Allotment, o making.Outcome) []stash.Allotment {
	out := slices.Clone(given)
	for i := range out {
		one := &out[i]
		one.Warp = min(one.Warp, measure.Length(one.Ends)*o.Needs.WarpEnd)
		p, _ := a.shelf.Find(one.Package)
		one.Mass, _ = measure.MassOf(one.Warp+one.Weft, a.shelf.TexFor(a.shelf.Yarns[p.Yarn], o.Project))
	}
	return out
}

// given is what a solution allots to each want.
func (a *allotting) given(s Solution) [][]stash.Allotment {
	out := make([][]stash.Allotment, len(a.wants))
	for b, at := range s.Choice {
		if at >= 0 {
			out[b] = a.allotments(a.ways[b][at], s.Uses[b])
		}
	}
	return out
}

// beside is the shelf as it is for one want when the others have what they are
// given.
func (a *allotting) beside(b int, given [][]stash.Allotment) making.Shelf {
	s := a.shelf
	s.Claims = make(map[stash.PackageID]measure.Mass, len(a.shelf.Claims))
	for id, m := range a.shelf.Claims {
		s.Claims[id] = m
	}
	for other, all := range given {
		for _, one := range all {
			if other != b {
				s.Claims[one.Package] += one.Mass
			}
		}
	}
	return s
}

// piece says what comes of want b.
func (a *allotting) piece(ctx context.Context, b int, s Solution, o making.Outcome) (Piece, error) {
	p := Piece{Want: a.wants[b], Complete: a.complete[b], LeftOut: a.leftOut[b]}
	if at := s.Choice[b]; at >= 0 {
		p.Made, p.Value = true, a.problem.Projects[b][at].Value
		p.Outcome = o
		return p, nil
	}
	return p, a.unmade(ctx, &p, b, s)
}

// notEnough is said of a want that cannot be made even alone.
const notEnough = "the yarn that may serve is not enough with 95% even for it alone"

// unmade says why a want cannot be made beside the others and what to buy.
func (a *allotting) unmade(ctx context.Context, p *Piece, b int, s Solution) error {
	if p.Why = a.why[b]; p.Why != "" && p.Why != notEnough && !p.Want.striped() {
		return nil
	}
	options := append(slices.Clone(a.problem.Projects[b]), a.dropped[b]...)
	alone := Problem{Packages: a.problem.Packages, Projects: [][]Option{options}}
	one, err := Solve(ctx, alone)
	if err != nil {
		return err
	}
	switch {
	case one.Choice[0] >= 0:
		p.Rivals = a.rivals(one.Uses[0], s)
	case p.Why == "":
		p.Why = notEnough
	}
	p.Buys, err = a.buys(b, s)
	return err
}

// rivals are the projects that were given yarn of packages that a want would use.
func (a *allotting) rivals(uses []Use, s Solution) []string {
	var out []string
	for other, taken := range s.Uses {
		shared := slices.ContainsFunc(taken, func(u Use) bool {
			return slices.ContainsFunc(uses, func(v Use) bool { return u.Package == v.Package })
		})
		if name := a.wants[other].Project.Name; shared && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
