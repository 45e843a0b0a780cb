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
	yarn, err := k.pieceYarn(tx, p)
	if err != nil {
		return err
	}
	passed, err := passedLines(tx, p)
	if err != nil {
		return err
	}
	photo, err := photoWords(tx, stash.Subject(p.ID), p.Name)
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
		fmt.Fprintf(w, "%s: %s\n", stash.Clean(p.Name), p.State)
		show.PrintPhotoRow(w, photo)
		show.PrintPieceSize(w, p, k.units)
		if yarn != nil {
			yarn.Print(w)
		}
		for _, line := range passed {
			fmt.Fprint(w, show.Wrap(line, "  ", show.PageWidth))
		}
		for _, q := range p.Question {
			fmt.Fprintf(w, "  question: %s\n", q)
		}
		for _, o := range p.Overrides {
			fmt.Fprint(w, show.Wrap("set aside: "+o.Reason, "  ", show.RoomOf(w)))
		}
		show.PrintPast(w, events)
		if compared != nil {
			fmt.Fprintln(w)
			show.PrintCompared(w, compared, k.units, k.drawn())
		}
	})
}

// pieceYarn is the table of the yarn of a piece: what was debited, else what
// is promised to it; nil where there is none.
func (k *call) pieceYarn(tx *sqlite.Tx, p stash.Piece) (*show.Table, error) {
	t := show.NewTable("item", "yarn", "as", ">used", ">length", "how")
	row := func(id stash.PackageID, role string, mass measure.Mass, length, how string) error {
		pack, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		y, _, err := tx.Yarn(pack.Yarn)
		t.Add(pack.Label(), y.Name, role, mass.Whole(k.units), length, how)
		return err
	}
	var err error
	earlier := map[stash.PackageID]measure.Mass{} // what was debited on the loom, once the finish is added
	switch {
	case p.Finish != nil:
		for _, d := range p.Finish.Debited() {
			how := "computed"
			if d.Measured {
				how = "weighed"
			}
			err = errors.Join(err, row(d.Package, string(d.Role), d.Mass, show.YarnOrBlank(d.Length, k.units),
				how))
			earlier[d.Package] -= d.Mass
		}
		for _, id := range p.Finish.Packages() {
			pack, _, failed := tx.Package(id)
			if err = errors.Join(err, failed); earlier[id] < 0 && pack.UsedIn[p.ID]+earlier[id] > 0 {
				err = errors.Join(err,
					row(id, "", pack.UsedIn[p.ID]+earlier[id], "", "weighed before the finish"))
				earlier[id] = 0 // told
			}
		}
		for _, c := range p.Finish.Thrums {
			err = errors.Join(err, row(c.Package, "thrums cut", c.Mass, "", "weighed"))
		}
	case p.Plan != nil:
		t.Head[3] = "promised"
		for _, a := range p.Plan.Allotments {
			err = errors.Join(err,
				row(a.Package, rolesOf(a), a.Mass, show.YarnOrBlank(a.Warp+a.Weft+a.Hem, k.units), ""))
		}
	}
	if len(t.Rows) == 0 {
		return nil, err
	}
	t.DropEmpty()
	t.Whole = true
	return t, err
}

// rolesOf says what a package is promised for.
func rolesOf(a stash.Allotment) string {
	var roles []string
	for _, part := range []struct {
		role   stash.Role
		length measure.Length
	}{{stash.RoleWarp, a.Warp}, {stash.RoleWeft, a.Weft}, {stash.RoleHem, a.Hem}} {
		if part.length > 0 {
			roles = append(roles, string(part.role))
		}
	}
	return strings.Join(roles, ", ")
}
