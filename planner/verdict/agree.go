package verdict

import (
	"slices"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

const agreeLabel = "Yarns agree"

// agreeFine is said of yarns of which nothing recorded speaks against one cloth.
const agreeFine = "yes, as far as recorded."

// togetherReasons answers whether the yarns of a piece go into one cloth: every pair
// of them, and a yarn that is warp and weft with itself.
func togetherReasons(s making.Shelf, parts []Part, b stash.ProjectFacts) Answer {
	var reasons []Reason
	for i, x := range parts {
		for _, y := range parts[i+1:] {
			if x.Yarn.ID == y.Yarn.ID && x.Role == y.Role {
				continue
			}
			v := Pair(use(s, x, b), use(s, y, b), together.Setting{Stripe: stripeOf(x, y, b),
				Units: s.Settings.Units})
			reasons = append(reasons, reasonsOf(v, x.Role == RoleEffect || y.Role == RoleEffect)...)
		}
	}
	return answer(Agree, agreeLabel, fineBut(reasons), reasons)
}

// fineBut is what is said of yarns that agree: what is still to be done about one that may
// bleed.
func fineBut(reasons []Reason) string {
	var whys []string
	for _, r := range reasons {
		if r.Check == "dye" && r.Grade == Yes && !slices.Contains(whys, r.Why) {
			whys = append(whys, r.Why)
		}
	}
	if len(whys) == 0 {
		return agreeFine
	}
	return strings.TrimSuffix(agreeFine, ".") + "; " + strings.Join(whys, "; ") + "."
}

// OfPair judges two yarns in their roles, and gives what was found of them with
// its figures and sources: the state that they are in, whether they may reach somebody, and
// where both are packages, which may be nil, and lie side by side, their dye lots.
func OfPair(s making.Shelf, a, b together.Use, in together.Setting, pa, pb *stash.Package,
	whom Whom) (Verdict, together.Agreement) {
	v := Pair(a, b, in)
	effect := a.Role == RoleEffect || b.Role == RoleEffect
	found := reasonsOf(v, effect)
	all := []Answer{answer(Agree, agreeLabel, fineBut(found), found)}
	parts := []Part{partOf(a, pa), partOf(b, pb)}
	if state := (Case{Parts: parts}).condition(s); len(state.Reasons) > 0 {
		all = append(all, state)
	}
	if reaches, asked := whom.piece([]people.Part{{Role: a.Role, Yarn: a.Yarn},
		{Role: b.Role, Yarn: b.Yarn}}, people.PieceForm{}); asked {
		all = append(all, reaches)
	}
	if pa != nil && pb != nil && pa.Yarn == pb.Yarn && pa.ID != pb.ID && a.Role == b.Role {
		both := Part{Role: a.Role, Packages: []stash.Package{*pa, *pb}}
		all = append(all, Case{Taken: true, Parts: []Part{both}}.lots())
	}
	return verdictOf(all...), v
}

// partOf is a use with the package that was named for it, if any.
func partOf(u together.Use, p *stash.Package) Part {
	part := Part{Role: u.Role, Yarn: u.Yarn}
	if p != nil {
		part.Packages = []stash.Package{*p}
	}
	return part
}

// Pair holds two yarns in their roles against each other. The program knows no
// other way to ask it.
func Pair(a, b together.Use, in together.Setting) together.Agreement {
	return together.Together(a, b, in)
}

// Refuses says whether two yarns may not meet in one cloth, unless one is there
// for its effect.
func Refuses(v together.Agreement) bool { return gradeOf(v.Answer, false).Blocks() }

// gradeOf puts the answers of package together on the ladder. What goes only as
// an effect is refused where no effect was meant.
func gradeOf(a together.Answer, effect bool) Grade {
	switch a {
	case together.No:
		return No
	case together.Effect:
		if effect {
			return Check
		}
		return No
	case together.Sample:
		return Check
	}
	return Yes
}

func reasonsOf(v together.Agreement, effect bool) []Reason {
	var out []Reason
	for _, r := range v.Reasons {
		why := r.Why
		if r.Answer == together.Effect {
			why += ", which is fine only as an effect"
		}
		out = append(out, Reason{gradeOf(r.Answer, effect), r.Check, why, todo(r.Answer)})
	}
	return out
}

// todo is the one thing to do about an answer of package together.
func todo(a together.Answer) string {
	switch a {
	case together.No:
		return "Choose another yarn for one of them."
	case together.Effect:
		return "Choose another yarn, or mean it: weave and wash a sample first."
	case together.Sample:
		return "Weave and wash a sample first."
	}
	return ""
}

// use is a part as package together takes it: with how much its yarn shrank in
// pieces of its own, and the sett that it is woven at.
func use(s making.Shelf, p Part, b stash.ProjectFacts) together.Use {
	u := Use(s, p.Yarn, p.Role)
	if u.Role == stash.RoleWarp {
		u.Sett = b.Sett
	} else {
		u.Sett = b.Picks
	}
	return u
}

// Use is a yarn in a role, with how much it shrank in pieces of its own.
func Use(s making.Shelf, y stash.Yarn, role stash.Role) together.Use {
	u := together.Use{Yarn: y, Role: role}
	if loss, known := s.OwnLoss(y.ID); known {
		u.Loss = &loss
	}
	return u
}

// stripeOf is the width of stripes of two warps beside each other, 0 where the
// project has none, or their ends lie evenly among each other. Where the ends of the stripes
// are left open they are taken as of one width.
func stripeOf(x, y Part, b stash.ProjectFacts) measure.Length {
	n := len(b.Stripes)
	if n == 0 && b.StripeRule == stash.StripesFree {
		n = 2
	}
	if x.Role != stash.RoleWarp || y.Role != stash.RoleWarp || n < 2 || b.Sett <= 0 ||
		b.StripeRule == stash.StripesMixed {
		return 0
	}
	widest, all := 0, 0
	for _, stripe := range b.Stripes {
		widest, all = max(widest, stripe.Ends), all+stripe.Ends
	}
	switch b.StripeRule {
	case stash.StripesFree:
		return b.Width / measure.Length(n)
	case stash.StripesProportional:
		return b.Width * measure.Length(widest) / measure.Length(max(1, all))
	}
	if widest == 0 {
		return b.Width / measure.Length(n)
	}
	return measure.Length(float64(widest) / b.Sett.PerMM())
}
