package main

import (
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// makingShelf reads what the planner plans with: a count that finished pieces
// teach is the count.
func makingShelf(tx *sqlite.Tx) (making.Shelf, error) { return shelfWithout(tx, "") }

// shelfWithout reads a shelf as if a piece had taught nothing.
func shelfWithout(tx *sqlite.Tx, piece stash.PieceID) (making.Shelf, error) {
	s, err := readShelf(tx)
	if err != nil {
		return s, err
	}
	s.Pieces = slices.DeleteFunc(s.Pieces, func(p stash.Piece) bool { return p.ID == piece })
	if s.Yarns, err = tx.YarnsByID(); err != nil {
		return s, err
	}
	s.Packages, err = tx.Packages(false)
	besideYarns(s)
	return s.Taught(), err
}

// plannedShelf reads no more of a shelf than a plan of a project is made of.
func plannedShelf(tx *sqlite.Tx, b stash.ProjectFacts) (making.Shelf, error) {
	return namedShelf(tx, slices.Concat(b.Warp, b.Weft, b.HemstitchYarn))
}

// projectsShelf reads no more of a shelf than some projects name and the open pieces are of;
// all of it where one of them leaves its yarn open.
func projectsShelf(tx *sqlite.Tx, projects []stash.ProjectFacts) (making.Shelf, error) {
	var refs []stash.Ref
	for _, b := range projects {
		if len(b.Warp) == 0 || len(b.Weft) == 0 {
			return makingShelf(tx)
		}
		refs = slices.Concat(refs, b.Warp, b.Weft, b.HemstitchYarn)
	}
	pieces, err := tx.Pieces(true)
	if err != nil {
		return making.Shelf{}, err
	}
	more, err := madeOf(tx, pieces)
	if err != nil {
		return making.Shelf{}, err
	}
	return namedShelf(tx, slices.Concat(refs, more))
}

// pieceShelf reads no more of a shelf than a piece, and those on the same warp, are planned
// of and took yarn from, with packages beside.
func pieceShelf(tx *sqlite.Tx, piece stash.Piece, beside ...stash.PackageID) (making.Shelf, error) {
	pieces, err := onTheWarp(tx, piece)
	if err != nil {
		return making.Shelf{}, err
	}
	refs, err := madeOf(tx, append(pieces, piece))
	for _, id := range beside {
		refs = append(refs, stash.Ref{Package: id})
	}
	if err != nil {
		return making.Shelf{}, err
	}
	return namedShelf(tx, refs)
}

// madeOf names what pieces are planned of and took yarn from.
func madeOf(tx *sqlite.Tx, pieces []stash.Piece) ([]stash.Ref, error) {
	var refs []stash.Ref
	for _, p := range pieces {
		if p.Plan != nil {
			refs = slices.Concat(refs, p.Plan.Spec.Warp, p.Plan.Spec.Weft, p.Plan.Spec.HemstitchYarn)
		}
		for _, id := range p.MadeOf() {
			refs = append(refs, stash.Ref{Package: id})
		}
		fed, err := tx.PackagesIn(p.ID)
		if err != nil {
			return nil, err
		}
		for _, one := range fed {
			refs = append(refs, stash.Ref{Package: one.ID})
		}
	}
	return refs, nil
}

// namedShelf reads no more of a shelf than all packages of the yarns that are named, and
// those that the finished pieces are of.
func namedShelf(tx *sqlite.Tx, named []stash.Ref) (making.Shelf, error) {
	s, err := readShelf(tx)
	if err != nil {
		return s, err
	}
	var yarns []stash.YarnID
	for _, ref := range named {
		yarn := ref.Yarn
		if ref.Package != "" {
			p, _, err := tx.Package(ref.Package)
			if err != nil {
				return s, err
			}
			yarn = p.Yarn
		}
		yarns = append(yarns, yarn)
	}
	var others []stash.PackageID
	for _, piece := range s.Pieces {
		others = append(others, piece.MadeOf()...)
	}
	if s.Packages, err = tx.PackagesAmong(yarns, others); err != nil {
		return s, err
	}
	s.Yarns, err = fewYarns(tx, s, yarns)
	besideYarns(s)
	return s.Taught(), err
}

// searchedShelf reads a shelf of all yarns and of no more packages than its pieces were
// made of: what is searched through is told of one after the other.
func searchedShelf(tx *sqlite.Tx) (making.Shelf, error) {
	s, err := readShelf(tx)
	if err != nil {
		return s, err
	}
	var ids []stash.PackageID
	for _, piece := range s.Pieces {
		ids = append(ids, piece.MadeOf()...)
	}
	if s.Packages, err = packagesByID(tx)(ids); err != nil {
		return s, err
	}
	s.Yarns, err = tx.YarnsByID()
	return s.Taught(), err
}

// packagesByID reads packages by their ids.
func packagesByID(tx *sqlite.Tx) search.Full {
	return func(ids []stash.PackageID) ([]stash.Package, error) {
		return tx.PackagesAmong(nil, ids)
	}
}

// searchThrough tells of all packages, the words that stand with each put beside its yarn.
func searchThrough(tx *sqlite.Tx, s making.Shelf, add func(stash.Package)) error {
	return tx.EachPackage(false, func(p stash.Package) error {
		besideYarn(s, p)
		add(p)
		return nil
	})
}

// pieceAndShelf finds a piece by its name and reads the shelf that it came from.
func pieceAndShelf(tx *sqlite.Tx, name string) (stash.Piece, making.Shelf, error) {
	piece, err := tx.FindPiece(name)
	if err != nil {
		return piece, making.Shelf{}, err
	}
	s, err := pieceShelf(tx, piece)
	return piece, s, err
}

// readShelf reads all of a shelf but its packages and their yarns.
func readShelf(tx *sqlite.Tx) (making.Shelf, error) {
	s := making.Shelf{Now: tx.Now()}
	var err error
	if s.Settings, err = tx.Settings(); err != nil {
		return s, err
	}
	if s.Claims, err = tx.Claims(); err != nil {
		return s, err
	}
	pieces, err := tx.Pieces(false)
	for _, p := range pieces {
		if p.State == stash.Finished {
			s.Pieces = append(s.Pieces, p)
		}
	}
	return s, err
}

// besideYarns puts the words that stand with the packages beside their yarns.
func besideYarns(s making.Shelf) {
	for _, p := range s.Packages {
		besideYarn(s, p)
	}
}

func besideYarn(s making.Shelf, p stash.Package) {
	y, found := s.Yarns[p.Yarn]
	for _, b := range p.Beside() {
		if found && !slices.Contains(y.Beside, b) {
			y.Beside = append(y.Beside, b)
			s.Yarns[p.Yarn] = y
		}
	}
}

// wovenShelf is a shelf of no more packages than the finished pieces are of, which
// is all that counts are learned from, and of no yarns.
func wovenShelf(tx *sqlite.Tx) (making.Shelf, error) {
	s, err := readShelf(tx)
	seen := map[stash.PackageID]bool{}
	for _, piece := range s.Pieces {
		for _, id := range piece.Finish.Packages() {
			if seen[id] || err != nil {
				continue
			}
			var p stash.Package
			seen[id] = true
			p, _, err = tx.Package(id)
			s.Packages = append(s.Packages, p)
		}
	}
	return s, err
}

// fewYarns reads the yarns with the ids given, those of the packages of a shelf, and
// those that its pieces name.
func fewYarns(tx *sqlite.Tx, s making.Shelf, ids []stash.YarnID) (map[stash.YarnID]stash.Yarn,
	error) {
	for _, p := range s.Packages {
		ids = append(ids, p.Yarn)
	}
	for _, piece := range s.Pieces {
		if piece.Plan == nil {
			continue
		}
		for _, ref := range slices.Concat(piece.Plan.Spec.Warp, piece.Plan.Spec.Weft) {
			ids = append(ids, ref.Yarn)
		}
	}
	yarns := map[stash.YarnID]stash.Yarn{}
	for _, id := range ids {
		if _, known := yarns[id]; known {
			continue
		}
		y, found, err := tx.Yarn(id)
		if err != nil {
			return nil, err
		}
		if found {
			yarns[id] = y
		}
	}
	return yarns, nil
}

// recipientOf holds what goes into a piece against the rules of the person it
// is for, and adds the cautions for the weaver.
func recipientOf(tx *sqlite.Tx, s making.Shelf, b stash.ProjectFacts) (show.Recipient, error) {
	whom, err := whomFor(tx, b.For)
	return recipientFor(s, b, whom), err
}

// recipientFor is recipientOf for somebody who was found.
func recipientFor(s making.Shelf, b stash.ProjectFacts, whom verdict.Whom) show.Recipient {
	r := show.Recipient{Whom: whom}
	parts := partsOf(s, b)
	if r.Whom.Elsewhere {
		r.Cautions = append(r.Cautions, show.Caution{Rule: "person", Answer: stash.Unknown,
			Why: "it is for somebody whose rules are kept on another machine; ask"})
	}
	if person := r.Whom.Person; person != nil {
		for _, reason := range people.SuitsPiece(*person, parts, people.FormOf(b)).Reasons {
			r.Cautions = append(r.Cautions, show.Caution{Rule: reason.Rule, Answer: reason.Answer,
				Why: reason.Why,
				Of:  reason.Of})
		}
		for _, c := range people.Cautions(*person) {
			r.Cautions = append(r.Cautions, show.Caution{Rule: "caution", Answer: stash.Ask,
				Why: c.Text})
		}
	}
	r.AddWeaver(parts)
	return r
}

// recipientOfPiece is recipientOf for a piece that was planned.
func recipientOfPiece(tx *sqlite.Tx, s making.Shelf, p stash.Piece) (show.Recipient, error) {
	whom, err := whomOf(tx, p)
	return recipientFor(s, p.Plan.Spec, whom), err
}

// partsOf lists the yarns that a project names, by role.
func partsOf(s making.Shelf, b stash.ProjectFacts) (parts []people.Part) {
	for _, y := range s.NamedYarns(b) {
		parts = append(parts, people.Part(y))
	}
	return parts
}
