package main

import (
	"encoding/json"
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// hadBy lists what somebody has had, in order: whom a movement names by the
// recorded person, or by the very name.
func hadBy(tx *sqlite.Tx, person stash.Person) ([]show.HadThing, error) {
	var out []show.HadThing
	pieces, err := tx.Pieces(false)
	if err != nil {
		return nil, err
	}
	mine := func(id stash.PersonID, who string) bool {
		if id != "" || who == "" {
			return id == person.ID
		}
		named, err := findPerson(tx, who)
		return err == nil && named.ID == person.ID
	}
	for _, p := range pieces {
		for _, x := range p.Passed {
			if mine(x.Person, x.Who) {
				out = append(out, show.HadThing{At: x.At, Piece: &p.Name, Of: stash.Subject(p.ID), Number: x.Number,
					Price: x.Price, Woven: p.Woven()})
			}
		}
	}
	yarn, err := yarnHad(tx, mine)
	out = append(out, yarn...)
	if err == nil && len(out) > 0 && len(person.Rules) > 0 {
		err = judgeHad(tx, verdict.Whom{Person: &person}, out)
	}
	slices.SortStableFunc(out, func(a, b show.HadThing) int { return a.At.Compare(b.At) })
	return out, err
}

// yarnHad lists the yarn that was given to somebody, and what is lent to them.
func yarnHad(tx *sqlite.Tx, mine func(stash.PersonID, string) bool) ([]show.HadThing, error) {
	packages, err := tx.Packages(false)
	if err != nil {
		return nil, err
	}
	var out []show.HadThing
	for _, p := range packages {
		y, _, err := tx.Yarn(p.Yarn)
		if err != nil {
			return nil, err
		}
		tag := p.Label()
		if mine("", p.LentTo) {
			out = append(out, show.HadThing{At: p.LentAt, Item: &tag, Mass: &p.Held, Lent: true,
				Of: stash.Subject(p.ID), Yarn: y.Name})
		}
		if p.Given == 0 {
			continue
		}
		past, err := tx.History(stash.Subject(p.ID))
		if err != nil {
			return nil, err
		}
		for _, e := range past {
			var m stash.Movement
			if e.Kind == stash.KindGive && !e.Undone && json.Unmarshal(e.Body, &m) == nil &&
				mine(m.Person, m.Who) {
				out = append(out, show.HadThing{At: e.At, Item: &tag, Mass: &m.Mass,
					Of: stash.Subject(p.ID), Yarn: y.Name})
			}
		}
	}
	return out, nil
}

// judgeHad holds what somebody has had against their rules as they now are, which may be
// newer.
func judgeHad(tx *sqlite.Tx, whom verdict.Whom, had []show.HadThing) error {
	s, err := makingShelf(tx)
	for i := range had {
		if err != nil {
			return err
		}
		var v verdict.Verdict
		if had[i].Piece != nil {
			var piece stash.Piece
			piece, _, err = tx.Piece(stash.PieceID(had[i].Of))
			v = verdict.OfWoven(s, piece, whom)
		} else if p, found := s.Find(stash.PackageID(had[i].Of)); found {
			v = verdict.OfYarn(s, s.Yarns[p.Yarn], nil, whom)
		}
		if a, asked := v.Of(verdict.Recipient); asked {
			had[i].Now = &a
		}
	}
	return err
}
