package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// hadThing is something that a person has had: a piece, or yarn.
type hadThing struct {
	At    time.Time     `json:"at"`
	Piece *string       `json:"piece"`
	Item  *string       `json:"item"`
	Mass  *measure.Mass `json:"mass_mg"`
	// Number is how many of a set, Price what was paid for them.
	Number int          `json:"number,omitempty"`
	Price  *stash.Price `json:"price"`
	// Lent says that the yarn is a loan that is still out.
	Lent bool `json:"lent"`

	woven int
	yarn  string
}

// hadBy lists what somebody has had, in order: whom a movement names by the
// recorded person, or by the very name.
func hadBy(tx *sqlite.Tx, person stash.Person) ([]hadThing, error) {
	out := []hadThing{}
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
				out = append(out, hadThing{At: x.At, Piece: &p.Name, Number: x.Number,
					Price: x.Price, woven: p.Woven()})
			}
		}
	}
	yarn, err := yarnHad(tx, mine)
	out = append(out, yarn...)
	slices.SortStableFunc(out, func(a, b hadThing) int { return a.At.Compare(b.At) })
	return out, err
}

// yarnHad lists the yarn that was given to somebody, and what is lent to them.
func yarnHad(tx *sqlite.Tx, mine func(stash.PersonID, string) bool) ([]hadThing, error) {
	packages, err := tx.Packages(false)
	if err != nil {
		return nil, err
	}
	var out []hadThing
	for _, p := range packages {
		y, _, err := tx.Yarn(p.Yarn)
		if err != nil {
			return nil, err
		}
		tag := p.Label()
		if mine("", p.LentTo) {
			out = append(out, hadThing{At: p.LentAt, Item: &tag, Mass: &p.Held, Lent: true,
				yarn: y.Name})
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
				out = append(out, hadThing{At: e.At, Item: &tag, Mass: &m.Mass, yarn: y.Name})
			}
		}
	}
	return out, nil
}

func printHad(w io.Writer, had []hadThing, units measure.System) {
	if len(had) > 0 {
		fmt.Fprintln(w, "  has had")
	}
	for _, h := range had {
		words := ""
		switch {
		case h.Piece != nil:
			words = *h.Piece + ", " + passedWords(stash.Passing{Number: h.Number, Price: h.Price},
				h.woven, "")
		case h.Lent:
			words = fmt.Sprintf("%s %s, %s, on loan", *h.Item, h.yarn, h.Mass.Format(units))
		default:
			words = fmt.Sprintf("%s %s, %s given", *h.Item, h.yarn, h.Mass.Format(units))
		}
		fmt.Fprint(w, wrap(h.At.Format(time.DateOnly)+"  "+stash.Clean(words), "    ", 80))
	}
}
