package verdict

import (
	"slices"

	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// The roles beyond warp, weft and hemstitching in which yarn comes into a piece.
const (
	// RoleTrim is sewn, braided or tied to it.
	RoleTrim stash.Role = "trim"
	// RoleEffect is there for what it does: a stripe that puckers, a thread that
	// stands out.
	RoleEffect stash.Role = "effect"
)

// Part is a yarn in one role of a piece, and the packages that it comes from.
type Part struct {
	Role     stash.Role
	Yarn     stash.Yarn
	Packages []stash.Package
}

// Case is a piece that is asked about.
type Case struct {
	// Facts are the project's, with sett and picks where they are known.
	Facts stash.ProjectFacts
	Parts []Part
	// Asked are the yarns named for the warp, where it is wound of some of them.
	Asked []stash.Ref
	// Size is how the size came out; nil where none is asked for.
	Size *Size
	// Taken says that the packages of the parts are those that are really taken, not
	// all of what a project names.
	Taken bool
	// Changes are the places where dye lots meet, LeftOut the packages that were
	// named and cannot be taken.
	Changes []fit.LotChange
	LeftOut []making.LeftOut
	// Woven says that the yarn is on the loom or in the cloth already: then
	// nothing but agreement and the recipient is asked of it.
	Woven bool
	For   Whom
}

// Whom says for whom something is. The zero value is nobody named.
type Whom struct {
	// Person is nil where none is named, or their rules are not on this machine,
	// which Elsewhere says.
	Person    *stash.Person
	Elsewhere bool
}

// And is both: the rules of each must be kept.
func (w Whom) And(other Whom) Whom {
	if w.Person == nil || other.Person == nil {
		person := w.Person
		if person == nil {
			person = other.Person
		}
		return Whom{Person: person, Elsewhere: w.Elsewhere || other.Elsewhere}
	}
	both := *w.Person
	both.Name += " and " + other.Person.Name
	both.Rules = append(slices.Clone(both.Rules), other.Person.Rules...)
	both.Newer = both.Newer || other.Person.Newer
	return Whom{Person: &both}
}

// ID is the person's id, empty for nobody whose rules are here.
func (w Whom) ID() stash.PersonID {
	if w.Person == nil {
		return ""
	}
	return w.Person.ID
}

// judge answers for a piece.
func judge(s making.Shelf, c Case) Verdict {
	var answers []Answer
	if c.Size != nil {
		answers = append(answers, c.Size.enough(c.waiting(s)))
	}
	if len(c.Parts) > 0 {
		answers = append(answers, togetherReasons(s, c.Parts, c.Facts))
	}
	if !c.Woven && len(c.Parts) > 0 {
		answers = append(answers, c.lots())
	}
	if !c.Woven && len(c.Parts)+len(c.LeftOut) > 0 {
		answers = append(answers, c.condition(s))
	}
	if a, asked := c.For.piece(c.everything(s), people.FormOf(c.Facts)); asked {
		answers = append(answers, a)
	}
	return verdictOf(answers...)
}

// waiting are the finished pieces of the same yarn of which a measure was asked about, and
// nobody has answered: what they took may be what this one takes.
func (c Case) waiting(s making.Shelf) []string {
	var out []string
	for _, p := range s.Pieces {
		if !c.Woven && p.Waits() && slices.ContainsFunc(s.PieceYarns(p), func(y making.PieceYarn) bool {
			return slices.ContainsFunc(c.Parts, func(part Part) bool { return part.Yarn.ID == y.Yarn.ID })
		}) {
			out = append(out, p.Name)
		}
	}
	return out
}

// everything is what a recipient may be asked about: the parts of a case, and what its
// project names besides, which may still be wound. What keeps a package from being woven
// today keeps no rule from asking about its yarn.
func (c Case) everything(s making.Shelf) []people.Part {
	var out []people.Part
	add := func(p people.Part) {
		if !slices.ContainsFunc(out, func(have people.Part) bool {
			return have.Role == p.Role && have.Yarn.ID == p.Yarn.ID
		}) {
			out = append(out, p)
		}
	}
	for _, p := range c.Parts {
		add(people.Part{Role: p.Role, Yarn: p.Yarn})
	}
	named := c.Facts
	named.Warp = slices.Concat(named.Warp, c.Asked)
	if !c.Woven {
		for _, y := range s.NamedYarns(named) {
			add(people.Part(y))
		}
	}
	return out
}

// named are the parts of a piece as its project names them.
func named(s making.Shelf, b stash.ProjectFacts) []Part {
	var out []Part
	for _, group := range []struct {
		role stash.Role
		refs []stash.Ref
	}{{stash.RoleWarp, b.Warp}, {stash.RoleWeft, b.Weft}, {stash.RoleHemstitch, b.HemstitchYarn}} {
		for _, p := range s.Named(group.refs) {
			if s.BarredAs(p, group.role) == "" || s.Bar(p) == stash.BarPromised {
				out = addPart(out, group.role, s.Yarns[p.Yarn], p)
			}
		}
	}
	return out
}

// allotted are the parts of a piece as packages were allotted to it.
func allotted(s making.Shelf, allotments []stash.Allotment) []Part {
	var out []Part
	for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft, stash.RoleHemstitch} {
		for _, a := range allotments {
			if p, found := s.Find(a.Package); found && serves(a, role) {
				out = addPart(out, role, s.Yarns[p.Yarn], p)
			}
		}
	}
	return out
}

// partsOf are the parts of a piece as packages were allotted to it, and as its project names
// them in a role for which none were; false where there is such a role.
func partsOf(s making.Shelf, allotments []stash.Allotment, b stash.ProjectFacts) ([]Part, bool) {
	given, all := allotted(s, allotments), true
	parts := slices.Clone(given)
	for _, p := range named(s, b) {
		if !slices.ContainsFunc(given, func(have Part) bool { return have.Role == p.Role }) {
			all = false
			parts = append(parts, p)
		}
	}
	return parts, all
}

// serves says whether an allotment gives yarn for a role. One of unknown length
// serves whatever its piece takes.
func serves(a stash.Allotment, role stash.Role) bool {
	switch role {
	case stash.RoleWarp:
		return a.Warp > 0
	case stash.RoleHemstitch:
		return a.Hemstitch > 0
	}
	return a.Weft > 0 || a.Warp == 0 && a.Hemstitch == 0
}

func addPart(parts []Part, role stash.Role, y stash.Yarn, p stash.Package) []Part {
	i := slices.IndexFunc(parts, func(have Part) bool {
		return have.Role == role && have.Yarn.ID == y.ID
	})
	if i < 0 {
		return append(parts, Part{Role: role, Yarn: y, Packages: []stash.Package{p}})
	}
	parts[i].Packages = append(parts[i].Packages, p)
	return parts
}

// OfPlan judges a plan: the yarn that it allots, or where it allots none what
// its project names.
func OfPlan(s making.Shelf, o making.Outcome, whom Whom) Verdict {
	parts, taken := partsOf(s, o.Allotments, o.Project)
	return judge(s, Case{
		Facts: o.Project, Parts: parts, Taken: taken, Size: sizeOf(s, o, whom),
		Asked: o.Asked, Changes: o.LotChanges, LeftOut: o.LeftOut, For: whom,
	})
}

// OfAnother judges another piece like one that was made: of the yarns that its project names,
// and of those that the first was really woven of.
func OfAnother(s making.Shelf, like stash.Piece, a making.Second, whom Whom) Verdict {
	parts, taken := partsOf(s, a.Allotments, a.Project)
	for _, y := range s.PieceYarns(like) {
		if !slices.ContainsFunc(parts, func(p Part) bool { return p.Yarn.ID == y.Yarn.ID }) {
			parts = append(parts, Part{Role: y.Role, Yarn: y.Yarn})
		}
	}
	return judge(s, Case{
		Facts: a.Project, Parts: parts, Taken: taken, Size: sizeOfAnother(a, s.Settings.Units),
		Changes: a.LotChanges, LeftOut: a.LeftOut, For: whom,
	})
}

// OfPlanned judges a planned piece that is to go on the loom, with what there is
// of its yarn now.
func OfPlanned(s making.Shelf, p stash.Piece, whom Whom) (Verdict, error) {
	o, err := making.PlanAgain(s, p)
	if err != nil {
		return Verdict{}, err
	}
	given := p.Plan.Allotments
	if p.Plan.Short {
		given = o.Allotments
	}
	s = s.Without(p)
	parts, taken := partsOf(s, given, p.Plan.Spec)
	return judge(s, Case{
		Facts: p.Plan.Spec, Parts: parts, Taken: taken, Size: sizeOf(s, o, whom),
		Changes: o.LotChanges, For: whom,
	}), nil
}

// OfJoining judges a piece that a package joins without having been planned for
// it, as weft. What the piece was promised is its own.
func OfJoining(s making.Shelf, p stash.Piece, joins stash.Package, whom Whom) Verdict {
	s = s.Without(p)
	c := Case{Facts: p.Plan.Spec, For: whom}
	for _, y := range s.PieceYarns(p) {
		c.Parts = append(c.Parts, Part{Role: y.Role, Yarn: y.Yarn})
	}
	y := s.Yarns[joins.Yarn]
	if i := slices.IndexFunc(c.Parts,
		func(have Part) bool { return have.Yarn.ID == y.ID }); i >= 0 {
		c.Parts[i].Packages = []stash.Package{joins}
	} else {
		c.Parts = addPart(c.Parts, stash.RoleWeft, y, joins)
	}
	return judge(s, c)
}

// OfWoven judges a piece that is on the loom or in the cloth.
func OfWoven(s making.Shelf, p stash.Piece, whom Whom) Verdict { return ofWoven(s, p, nil, whom) }

// OfLoom judges a piece on the loom, of which so much is left to weave.
func OfLoom(s making.Shelf, p stash.Piece, r making.Rest, whom Whom) Verdict {
	return ofWoven(s, p, sizeOfLoom(s, p, r, whom), whom)
}

func ofWoven(s making.Shelf, p stash.Piece, size *Size, whom Whom) Verdict {
	c := Case{Woven: true, Size: size, For: whom}
	if p.Plan != nil {
		c.Facts = p.Plan.Spec
	}
	for _, y := range s.PieceYarns(p) {
		c.Parts = append(c.Parts, Part{Role: y.Role, Yarn: y.Yarn})
	}
	return judge(s, c)
}

// OfYarn judges yarn that is to reach somebody as it is, out of these packages.
func OfYarn(s making.Shelf, y stash.Yarn, packages []stash.Package, whom Whom) Verdict {
	var answers []Answer
	if len(packages) > 0 {
		var reasons []Reason
		for _, p := range packages {
			reasons = append(reasons, handed(s, p)...)
		}
		answers = append(answers, answer(Condition, conditionLabel, conditionFine, reasons))
	}
	if a, asked := whom.Yarn(y); asked {
		answers = append(answers, a)
	}
	return verdictOf(answers...)
}
