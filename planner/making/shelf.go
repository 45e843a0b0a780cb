package making

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Shelf is the stash as the planner sees it.
type Shelf struct {
	Packages []stash.Package
	Yarns    map[stash.YarnID]stash.Yarn
	// Claims is the mass that open pieces were promised of each package.
	Claims   map[stash.PackageID]measure.Mass
	Settings stash.Settings
	// Pieces are the finished ones, from which losses are learned.
	Pieces []stash.Piece
	Now    time.Time
	// taught are the counts that Taught has put in, nil before.
	taught map[stash.YarnID]Loss
	// terse leaves out what could be measured, which costs more than the rest of an answer.
	terse bool
	// weaver is what the pieces taught, nil before Taught.
	weaver *learn.Weaver
}

// Terse is the shelf for those who try many sizes: its answers do not say what could be
// measured.
func (s Shelf) Terse() Shelf {
	s.terse = true
	return s
}

// LeftOut is a package that cannot be planned with, and why.
type LeftOut struct {
	ID     stash.PackageID `json:"id"`
	Label  string          `json:"label"`
	Reason string          `json:"reason"`
}

// amount is what is left of a package.
func (s Shelf) amount(p stash.Package) stash.Amount {
	return stash.AmountOf(p, s.Yarns[p.Yarn].YarnFacts, s.Settings, s.Claims[p.ID], s.Now)
}

// find gives a package by its id.
func (s Shelf) find(id stash.PackageID) (stash.Package, bool) {
	for i := range s.Packages { // a package is too large to be handed to a function for each
		if s.Packages[i].ID == id {
			return s.Packages[i], true
		}
	}
	return stash.Package{}, false
}

// Named gives the packages that references name, in the order of the shelf.
func (s Shelf) Named(refs []stash.Ref) []stash.Package {
	var out []stash.Package
	for _, p := range s.Packages {
		if slices.ContainsFunc(refs, func(r stash.Ref) bool {
			return r.Package == p.ID ||
				r.Package == "" && r.Yarn == p.Yarn
		}) {
			out = append(out, p)
		}
	}
	return out
}

// Barred says why a package cannot be planned with at all, empty if it can.
func (s Shelf) Barred(p stash.Package) string {
	return s.Bar(p).Words(p, s.Yarns[p.Yarn].YarnFacts, s.Now)
}

// Bar is what keeps the yarn of a package from being woven, none where nothing
// does.
func (s Shelf) Bar(p stash.Package) stash.Bar {
	return stash.BarOf(p, s.Yarns[p.Yarn].YarnFacts, s.Claims[p.ID], s.Now)
}

// barredAs says why a package cannot serve in a role.
func (s Shelf) barredAs(p stash.Package, role stash.Role) string {
	if why := s.Barred(p); why != "" {
		return why
	}
	if role == stash.RoleWarp && s.Yarns[p.Yarn].Fit == stash.FitWeftOnly {
		return "is fit for weft only"
	}
	return ""
}

// pool is the packages of a plan: each once, with the roles that it may have.
type pool struct {
	packages []fit.Package
	leftOut  []LeftOut
	warp     int
	weft     int
}

// gather makes the pool of a project's warp and weft.
func (s Shelf) gather(b stash.ProjectFacts) pool {
	var out pool
	named := func(refs []stash.Ref) map[stash.PackageID]bool {
		ids := map[stash.PackageID]bool{}
		for _, p := range s.Named(refs) {
			ids[p.ID] = true
		}
		return ids
	}
	warp, weft := named(b.Warp), named(b.Weft)
	for _, p := range s.Packages {
		asWarp := s.admit(&out, p, warp, stash.RoleWarp)
		asWeft := s.admit(&out, p, weft, stash.RoleWeft)
		if !asWarp && !asWeft {
			continue
		}
		f := s.fitPackage(p, b)
		f.ForWarp, f.ForWeft = asWarp, asWeft
		if asWeft {
			f.Side = s.sideOf(p, b)
		}
		switch y := s.Yarns[p.Yarn]; { // rags go by mass, ends do not
		case asWarp && y.Tex() == 0:
			f.Unknown, f.Measure = true, howToMeasure(p, y, s.amount(p))
		case !asWarp && b.RagPerM2 > 0:
			f = byMass(f)
		}
		out.packages = append(out.packages, f)
	}
	for _, f := range out.packages {
		if f.ForWarp {
			out.warp++
		}
		if f.ForWeft {
			out.weft++
		}
	}
	return out
}

// admit says whether a package was named for a role and may have it.
func (s Shelf) admit(out *pool, p stash.Package, named map[stash.PackageID]bool,
	role stash.Role) bool {
	if !named[p.ID] {
		return false
	}
	why := s.barredAs(p, role)
	if why == "" {
		return true
	}
	left := LeftOut{p.ID, p.Label(), why}
	if !slices.Contains(out.leftOut, left) {
		out.leftOut = append(out.leftOut, left)
	}
	return false
}

// nominal is the count that rags without one are reckoned by.
const nominal = 1000 * measure.Tex

// fitPackage states a package as the solver takes it: the free part of it, in
// millimetres, with its own and its shared errors.
func (s Shelf) fitPackage(p stash.Package, b stash.ProjectFacts) fit.Package {
	y := s.Yarns[p.Yarn]
	a := s.amount(p)
	tex := s.texFor(y, b)
	f := fit.Package{
		ID: string(p.ID), Yarn: string(p.Yarn), Colour: s.colourIn(p, y, b), Lot: p.Lot,
		Knots: p.Knots, Longest: p.Strand(s.Settings),
	}
	length, ok := measure.LengthOf(a.Available, tex)
	if !a.Known || !ok {
		f.Unknown, f.Measure = true, howToMeasure(p, y, a)
		return f
	}
	f.Length = length
	perMg := 1e6 / float64(tex)
	f.Own = float64(a.Reading) * perMg
	f.Shared = s.loadings(p, y, a, perMg)
	f.PlusMinus = spread(f)
	return f
}

// byMass is a package of rags, of which a mass is wanted: whatever their count really is, need
// and supply are off by it alike.
func byMass(f fit.Package) fit.Package {
	of := learn.CountError(stash.YarnID(f.Yarn))
	f.Shared = slices.DeleteFunc(f.Shared, func(l chance.Loading) bool { return l.Factor == of })
	f.PlusMinus = spread(f)
	return f
}

// texFor is the count that a yarn's length is reckoned by in a project. Rags go by mass: need
// and supply are both masses, and any count will do, so long as all of the weft has the same.
func (s Shelf) texFor(y stash.Yarn, b stash.ProjectFacts) measure.Count {
	switch {
	case b.RagPerM2 == 0:
		return y.Tex()
	case len(b.Weft) == 0 || s.oneOf(b.Warp, y.ID):
		return cmp.Or(y.Tex(), nominal)
	}
	return s.ragTex(b)
}

// ragTex is the count that a rag weft is reckoned by: that of a yarn of it which is in the warp
// as well, else the first that is known.
func (s Shelf) ragTex(b stash.ProjectFacts) measure.Count {
	var first measure.Count
	for _, p := range s.Named(b.Weft) {
		y := s.Yarns[p.Yarn]
		if s.oneOf(b.Warp, y.ID) {
			return cmp.Or(y.Tex(), nominal)
		}
		first = cmp.Or(first, y.Tex())
	}
	return cmp.Or(first, nominal)
}

// oneOf says whether references name some yarn of an id.
func (s Shelf) oneOf(refs []stash.Ref, id stash.YarnID) bool {
	return slices.ContainsFunc(refs, func(r stash.Ref) bool {
		p, _ := s.find(r.Package)
		return id == p.Yarn || r.Package == "" && id == r.Yarn
	})
}

// loadings are the errors that a package shares with others: the count with
// all of its yarn, an assumed tare with all of its yarn and form, the humidity
// of the room with everything that takes up water. What a scale rounds is each package's own,
// though like balls are rounded alike: see coarse_test.go.
func (s Shelf) loadings(p stash.Package, y stash.Yarn, a stash.Amount,
	perMg float64) []chance.Loading {
	var out []chance.Loading
	if a.Count > 0 {
		out = append(out, chance.Loading{Factor: learn.CountError(y.ID), Relative: a.Count.Float()})
	}
	if a.Tare > 0 {
		out = append(out, chance.Loading{Factor: fmt.Sprintf("tare of the %s of %s", p.Form, y.ID),
			Absolute: float64(a.Tare) * perMg})
	}
	if a.Room > 0 {
		out = append(out, chance.Loading{Factor: "humidity of the room", Relative: a.Room.Float()})
	}
	return out
}

// spread is one combined standard uncertainty in millimetres.
func spread(f fit.Package) measure.Length {
	sum := f.Own * f.Own
	for _, l := range f.Shared {
		u := l.Absolute + l.Relative*float64(f.Length)
		sum += u * u
	}
	return measure.Length(math.Sqrt(sum))
}

func howToMeasure(p stash.Package, y stash.Yarn, a stash.Amount) string {
	switch {
	case !a.Known && y.Tex() == 0:
		return "weigh it, and cut and weigh 10 m for its count"
	case !a.Known:
		return "weigh it: `" + stash.Command("weigh", p.Label(), "WEIGHT") + "`"
	}
	return "cut and weigh 10 m of " + y.Name + " and set its count"
}

// colourIn is the label of the stripe that a package belongs to: the one that its tag,
// label or colour is, else the first whose words are in the name of its yarn, else its own
// colour.
func (s Shelf) colourIn(p stash.Package, y stash.Yarn, b stash.ProjectFacts) string {
	for _, stripe := range b.Stripes {
		if is := stripe.Colour; strings.EqualFold(is, p.Tag) || strings.EqualFold(is, p.Label()) ||
			strings.EqualFold(is, p.Colour) {
			return is
		}
	}
	for _, stripe := range b.Stripes {
		if strings.Contains(inWords(y.Name), inWords(stripe.Colour)) {
			return stripe.Colour
		}
	}
	if p.Colour != "" {
		return p.Colour
	}
	return y.Name
}

// inWords is a text as its words in small letters, a space around each.
func inWords(text string) string {
	apart := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	return " " + strings.Join(strings.FieldsFunc(strings.ToLower(text), apart), " ") + " "
}

// HasCount says whether the yarn of a package has a count, without which a length
// of it is not known.
func (s Shelf) HasCount(id stash.PackageID) bool {
	p, _ := s.find(id)
	return s.Yarns[p.Yarn].Tex() > 0
}

// Find gives a package by its id; false where the shelf has none.
func (s Shelf) Find(id stash.PackageID) (stash.Package, bool) { return s.find(id) }

// Label is what a person calls a package, its id where the shelf has none.
func (s Shelf) Label(id stash.PackageID) string {
	p, found := s.find(id)
	if !found {
		return string(id)
	}
	return p.Label()
}

// WarpYarns lists the yarns in the warp of a piece, in the order of its
// allotments.
func (s Shelf) WarpYarns(piece stash.Piece) []stash.YarnID {
	var out []stash.YarnID
	if piece.Plan == nil {
		return nil
	}
	for _, a := range piece.Plan.Allotments {
		p, _ := s.find(a.Package)
		if a.Warp > 0 && !slices.Contains(out, p.Yarn) {
			out = append(out, p.Yarn)
		}
	}
	return out
}
