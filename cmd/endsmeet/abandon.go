package main

import (
	"fmt"
	"io"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// abandon ends a piece unfinished. What was wound of its warp and woven in is gone as
// yarn of its items, and what was cut off and kept is thrums.
func (k *call) abandon(tx *sqlite.Tx, shelf making.Shelf, p stash.Piece, reason string,
	at time.Time) error {
	d := stash.Draft{Kind: stash.KindAbandon, Of: stash.Subject(p.ID), At: at,
		Body: stash.Making{Reason: stash.Clean(reason)}}
	if p.State != stash.OnLoom {
		if _, err := tx.Record(d); err != nil {
			return err
		}
		return k.answerAbandoned(tx, p, stash.Finish{})
	}
	in, err := k.takenInput(tx, p, at, "tape", "wound", "reed-width")
	if err == nil {
		err = k.unweighed(p, in)
	}
	if err != nil {
		return err
	}
	f, err := shelf.Abandon(p, in)
	if err != nil {
		return err
	}
	if k.IsSet("wound") && in.Measures.Wound == 0 {
		f = stash.Finish{} // nothing was wound
	}
	cuts, err := shelf.CutsOf(p, in.Thrums, f)
	if err != nil {
		return err
	}
	d.Replaces = headsOf(shelf, p.Plan.Packages())
	d.Body = stash.Making{Plan: p.Plan, Reason: stash.Clean(reason)}
	if _, err := tx.Record(d); err != nil {
		return err
	}
	if err := recordTaken(tx, p, f, cuts, at); err != nil {
		return err
	}
	return k.answerAbandoned(tx, p, f)
}

// recordTaken records what an abandoned piece took: the thrums as wound off their items,
// then what was weighed, and what is computed as used. Until they are weighed, those
// items are asked about.
func recordTaken(tx *sqlite.Tx, p stash.Piece, f stash.Finish, cuts []making.Cut,
	at time.Time) error {
	cut, err := recordCuts(tx, cuts, at)
	if err != nil {
		return err
	}
	for _, w := range f.Weighed {
		m := stash.Move{At: at, Reading: w.Reading, Piece: p.ID}
		if err := recordMove(tx, w.Package, m, stash.Package.Weigh); err != nil {
			return err
		}
	}
	for _, d := range f.Debited() {
		off := min(d.Mass, cut[d.Package])
		cut[d.Package] -= off
		m := stash.Move{At: at, Mass: d.Mass - off, Piece: p.ID, Force: true}
		if d.Measured || m.Mass == 0 {
			continue
		}
		if err := recordMove(tx, d.Package, m, stash.Package.Use); err != nil {
			return err
		}
	}
	return nil
}

// recordCuts records thrums as wound off their items, and says how much of each.
func recordCuts(tx *sqlite.Tx, cuts []making.Cut,
	at time.Time) (map[stash.PackageID]measure.Mass, error) {
	cut, made := map[stash.PackageID]measure.Mass{}, map[stash.PackageID]bool{}
	for _, c := range cuts {
		fields := c.Thrums.Fields
		if made[c.Thrums.Package] {
			fields = nil
		}
		made[c.Thrums.Package] = true
		cut[c.From] += c.Mass
		wind := func(p stash.Package, m stash.Move) (stash.Draft, error) {
			return p.Wind(m, c.Thrums.Package, fields)
		}
		if err := recordMove(tx, c.From, stash.Move{At: at, Mass: c.Mass, Force: true},
			wind); err != nil {
			return nil, err
		}
	}
	return cut, nil
}

// recordMove records a movement of a package as it stands now.
func recordMove(tx *sqlite.Tx, id stash.PackageID, m stash.Move,
	draft func(stash.Package, stash.Move) (stash.Draft, error)) error {
	p, _, err := tx.Package(id)
	if err != nil {
		return err
	}
	d, err := draft(p, m)
	if err == nil {
		_, err = tx.Record(d)
	}
	return err
}

// answerAbandoned tells what an abandoned piece took and what is left.
func (k *call) answerAbandoned(tx *sqlite.Tx, p stash.Piece, f stash.Finish) error {
	onLoom := p.State == stash.OnLoom
	p, _, err := tx.Piece(p.ID)
	if err != nil {
		return err
	}
	shape, err := show.PieceShape(p)
	if err != nil {
		return err
	}
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	taken, err := takenOf(tx, s, f)
	if err != nil {
		return err
	}
	shape["debits"], shape["thrums"] = taken.Debits, taken.Thrums
	return k.answer(shape, func(w io.Writer) {
		if !onLoom {
			fmt.Fprintf(w, "%s is abandoned; its yarn is available again\n", stash.Clean(p.Name))
			return
		}
		show.PrintAbandoned(w, stash.Clean(p.Name), taken, k.units)
	})
}
