package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func (k *call) showPiece(tx *sqlite.Tx, p stash.Piece) error {
	past, err := tx.History(stash.Subject(p.ID))
	if err != nil {
		return err
	}
	events, err := k.pastItems(tx, past, "", 0)
	if err != nil {
		return err
	}
	shape, err := show.PieceShape(p)
	if err != nil {
		return err
	}
	shape["events"] = events
	head, err := k.pieceHead(tx, p)
	if err != nil {
		return err
	}
	var compared []learn.Row
	if k.Bool("sums") {
		if compared, err = compareLater(tx, p); err != nil {
			return err
		}
		shape["planned_vs_actual"] = compared
	}
	return k.answer(shape, func(w io.Writer) {
		head(w)
		show.PrintPast(w, events)
		if compared != nil {
			fmt.Fprintln(w)
			show.PrintCompared(w, compared, k.units, k.drawn())
		}
	})
}

// pieceHead tells a piece: its size, its yarn, where it went, what is asked of it.
func (k *call) pieceHead(tx *sqlite.Tx, p stash.Piece) (func(w io.Writer), error) {
	yarn, err := k.pieceYarn(tx, p)
	if err != nil {
		return nil, err
	}
	passed, err := passedLines(tx, p)
	if err != nil {
		return nil, err
	}
	photo, err := photoWords(tx, stash.Subject(p.ID), p.Name)
	return func(w io.Writer) {
		fmt.Fprintf(w, "%s: %s\n", stash.Clean(p.Name), p.State)
		show.PrintPhotoRow(w, photo)
		show.PrintPieceSize(w, p, k.units)
		if yarn != nil {
			yarn.Print(w)
		}
		for _, line := range passed {
			fmt.Fprint(w, show.Wrap(line, "  ", show.RoomOf(w)))
		}
		for _, q := range p.Question {
			fmt.Fprintf(w, "  question: %s\n", q)
		}
		for _, o := range p.Overrides {
			fmt.Fprint(w, show.Wrap("set aside: "+o.Reason, "  ", show.RoomOf(w)))
		}
	}, err
}

// pieceYarn is the table of the yarn of a piece: what it took, else what is promised to
// it; nil where there is none.
func (k *call) pieceYarn(tx *sqlite.Tx, p stash.Piece) (*show.Table, error) {
	t := &usedTable{show.NewTable("item", "yarn", "as", ">used", ">length", "how"), tx, k.units}
	var err error
	switch {
	case !p.Open():
		err = t.addTaken(p)
	case p.Plan != nil:
		t.Head[3] = "promised"
		for _, a := range p.Plan.Promised() {
			err = errors.Join(err,
				t.add(a.Package, rolesOf(a), a.Mass, a.Warp+a.Weft+a.Hemstitch, ""))
		}
	}
	if len(t.Rows) == 0 {
		return nil, err
	}
	t.DropEmpty()
	t.Whole = true
	return t.Table, err
}

// usedTable is the table of the yarn of a piece, as it grows.
type usedTable struct {
	*show.Table
	tx    *sqlite.Tx
	units measure.System
}

// add tells what of a package is in the piece, or promised to it.
func (t *usedTable) add(id stash.PackageID, role string, mass measure.Mass,
	length measure.Length, how string) error {
	pack, _, err := t.tx.Package(id)
	if err != nil {
		return err
	}
	y, _, err := t.tx.Yarn(pack.Yarn)
	t.Add(pack.Label(), show.YarnColour(y.Name, stash.Known(pack.Colour)), role, mass.Whole(t.units), show.YarnOrBlank(length, t.units), how)
	return err
}

// addTaken tells what a piece took that is off the loom, on it and at the finish, and the
// thrums that were cut.
func (t *usedTable) addTaken(p stash.Piece) error {
	packages, err := t.tx.PackagesIn(p.ID)
	if err != nil {
		return err
	}
	var yarns []stash.YarnID
	for _, pack := range packages {
		yarns = append(yarns, pack.Yarn)
	}
	s, err := shelfFor(t.tx, yarns...)
	if err != nil {
		return err
	}
	for _, pack := range packages {
		for _, took := range s.Took(p, pack) {
			how := "computed"
			if took.Weighed {
				how = "weighed"
			}
			err = errors.Join(err, t.add(pack.ID, string(took.Role), took.Mass, took.Length, how))
		}
	}
	if p.Finish != nil {
		for _, c := range p.Finish.Thrums {
			err = errors.Join(err, t.add(c.Package, "thrums cut", c.Mass, 0, "weighed"))
		}
	}
	return err
}

// rolesOf says what a package is promised for.
func rolesOf(a stash.Allotment) string {
	var roles []string
	for _, part := range []struct {
		role   stash.Role
		length measure.Length
	}{{stash.RoleWarp, a.Warp}, {stash.RoleWeft, a.Weft}, {stash.RoleHemstitch, a.Hemstitch}} {
		if part.length > 0 {
			roles = append(roles, string(part.role))
		}
	}
	return strings.Join(roles, ", ")
}
