package learn

import (
	"math"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Shelf is what is known of the yarn that pieces are made of.
type Shelf struct {
	Yarns    map[stash.YarnID]stash.Yarn
	Packages map[stash.PackageID]*stash.Package
	// Settings give twist and knot of a fringe, the doubt of a count by its
	// source and the step of the scale.
	Settings stash.Settings
}

// Question is a piece to be planned.
type Question struct {
	Project stash.ProjectFacts
	// Working is how close the cloth is set where the sett follows from the yarn, as
	// a share of the closest sett; 0 is ordinary cloth.
	Working measure.Ratio
	// Warp and Weft are the yarns; empty means those that the project names.
	Warp, Weft []stash.YarnID
}

// direction says along which threads a loss runs.
type direction int

const (
	lengthwise direction = iota // along the warp
	widthwise                   // along the weft
)

// rung says how near a piece is to the question, nearest last.
type rung int

const (
	ofClass rung = iota
	ofYarn
	ofCloth
	rungs
	apart rung = -1
)

// key is what losses hang on.
type key struct {
	yarns     [2][]stash.YarnID // warp, weft
	class     [2]string
	structure string
	washing   string
	sett      measure.Sett
}

func (s Shelf) keyOf(b stash.ProjectFacts, warp, weft []stash.YarnID) key {
	return key{
		yarns: [2][]stash.YarnID{warp, weft}, class: [2]string{s.classOf(warp), s.classOf(weft)},
		structure: structureOf(b.Structure), washing: words(b.Washing), sett: b.Sett,
	}
}

// question gives the yarns and the key of what is asked.
func (s Shelf) question(q Question) key {
	warp, weft := unique(q.Warp), unique(q.Weft)
	if len(warp) == 0 {
		warp = s.named(q.Project.Warp)
	}
	if len(weft) == 0 {
		weft = s.named(q.Project.Weft)
	}
	return s.keyOf(q.Project, warp, weft)
}

// compare gives the rung of a piece.
func (k key) compare(p key, d direction) rung {
	own, other := int(d), 1-int(d)
	same := len(k.yarns[own]) > 0 && slices.Equal(k.yarns[own], p.yarns[own])
	switch {
	case same && slices.Equal(k.yarns[other], p.yarns[other]) && k.structure == p.structure &&
		k.washing == p.washing && near(k.sett, p.sett):
		return ofCloth
	case same:
		return ofYarn
	case k.class[own] != "" && k.class[own] == p.class[own]:
		return ofClass
	}
	return apart
}

// near says whether two setts are within a tenth, or one is not known.
func near(a, b measure.Sett) bool {
	return a <= 0 || b <= 0 || math.Abs(float64(a-b)) <= 0.1*float64(max(a, b))
}

// pieceKey takes the yarns that a piece was really made of: its debits, else
// its allotments, else what its project names.
func (s Shelf) pieceKey(p stash.Piece) key {
	warp, weft := s.debited(p, stash.RoleWarp), s.debited(p, stash.RoleWeft)
	if len(warp) == 0 {
		warp = s.allotted(p.Plan, func(a stash.Allotment) bool { return a.Warp > 0 })
	}
	if len(weft) == 0 {
		weft = s.allotted(p.Plan, func(a stash.Allotment) bool { return a.Weft > 0 })
	}
	if len(warp) == 0 {
		warp = s.named(p.Plan.Spec.Warp)
	}
	if len(weft) == 0 {
		weft = s.named(p.Plan.Spec.Weft)
	}
	return s.keyOf(p.Plan.Spec, warp, weft)
}

// ByID are packages by their ids.
func ByID(packages []stash.Package) map[stash.PackageID]*stash.Package {
	byID := make(map[stash.PackageID]*stash.Package, len(packages))
	for i := range packages {
		byID[packages[i].ID] = &packages[i]
	}
	return byID
}

// Package is the package with an id, nothing where it is not known.
func (s Shelf) Package(id stash.PackageID) stash.Package {
	if p := s.Packages[id]; p != nil {
		return *p
	}
	return stash.Package{}
}

func (s Shelf) debited(p stash.Piece, role stash.Role) []stash.YarnID {
	var ids []stash.YarnID
	for _, d := range p.Finish.Debits {
		if d.Role == role && d.Mass > 0 {
			ids = append(ids, s.Package(d.Package).Yarn)
		}
	}
	return unique(ids)
}

func (s Shelf) allotted(plan *stash.Plan, takes func(stash.Allotment) bool) []stash.YarnID {
	var ids []stash.YarnID
	for _, a := range plan.Allotments {
		if takes(a) {
			ids = append(ids, s.Package(a.Package).Yarn)
		}
	}
	return unique(ids)
}

func (s Shelf) named(refs []stash.Ref) []stash.YarnID {
	var ids []stash.YarnID
	for _, r := range refs {
		if r.Package != "" {
			ids = append(ids, s.Package(r.Package).Yarn)
			continue
		}
		ids = append(ids, r.Yarn)
	}
	return unique(ids)
}

// unique sorts ids and drops the empty and the repeated.
func unique(ids []stash.YarnID) []stash.YarnID {
	ids = slices.DeleteFunc(slices.Clone(ids), func(id stash.YarnID) bool { return id == "" })
	slices.Sort(ids)
	return slices.Compact(ids)
}

// yarns gives the records of ids.
func (s Shelf) yarns(ids []stash.YarnID) []stash.Yarn {
	var out []stash.Yarn
	for _, id := range ids {
		out = append(out, s.Yarns[id])
	}
	return out
}

// classOf names the one class of fibre that all yarns are mostly of, empty if
// there is none.
func (s Shelf) classOf(ids []stash.YarnID) string {
	class := ""
	for i, y := range s.yarns(ids) {
		c := mainClass(y)
		if c == unknownRow.name || i > 0 && c != class {
			return ""
		}
		class = c
	}
	return class
}

// mainClass is the handbook row that more than half of a yarn belongs to.
func mainClass(y stash.Yarn) string {
	weights := map[string]float64{}
	for _, s := range sharesOf(y) {
		weights[s.name] += s.weight
		if weights[s.name] > 0.5 {
			return s.name
		}
	}
	return unknownRow.name
}
