package replica

import (
	"cmp"
	"fmt"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// oneYarn asks about yarns that may be one, recorded on two machines: of one name,
// or of names that differ by a slip. Yarns of which nothing is left to keep are
// past asking, and a note that the other does not have says that they are two.
func (q *questions) oneYarn(yarns []stash.Yarn) error {
	packages, err := q.tx.Packages(true)
	if err != nil {
		return err
	}
	kept := map[stash.YarnID]bool{}
	for _, p := range packages {
		kept[p.Yarn] = true
	}
	var names stash.Names
	first := map[string]stash.Yarn{}
	yarns = slices.SortedFunc(slices.Values(yarns), // alike on every machine
		func(a, b stash.Yarn) int { return cmp.Compare(a.ID, b.ID) })
	for _, y := range yarns {
		if !kept[y.ID] {
			continue
		}
		near, found := names.Near(y.Name)
		if other, twice := first[stash.Fold(y.Name)]; twice {
			q.sameName(y, other)
		} else if found {
			if err := q.nearName(y, first[stash.Fold(near)]); err != nil {
				return err
			}
		}
		if _, twice := first[stash.Fold(y.Name)]; !twice {
			first[stash.Fold(y.Name)] = y
			names.Add(y.Name)
		}
	}
	return nil
}

// sameName asks about two yarns of one name.
func (q *questions) sameName(y, other stash.Yarn) {
	q.add("duplicate", stash.WhatYarn, stash.Subject(y.ID), y.Name,
		fmt.Sprintf("two yarns are called so (%s, %s); they may be one", other.ID[:6], y.ID[:6]),
		stash.Command("set", "ITEM",
			"yarn="+string(other.ID[:6]))+" for each item if they are one, "+stash.Command("set",
			string(y.ID[:6]), "name=OTHER")+" if they are two")
}

// nearName asks about two yarns whose names differ by a slip, if two machines
// recorded them: on one, somebody was asked.
func (q *questions) nearName(y, other stash.Yarn) error {
	mine, err := q.brought(stash.Subject(y.ID), stash.KindYarn)
	if err != nil {
		return err
	}
	theirs, err := q.brought(stash.Subject(other.ID), stash.KindYarn)
	if err != nil || mine.Lane == theirs.Lane || y.Note != other.Note {
		return err
	}
	q.add("duplicate", stash.WhatYarn, stash.Subject(y.ID), y.Name,
		fmt.Sprintf("it is nearly the name of %s, which another machine recorded; they may be one",
			other.Name),
		stash.Command("set", "ITEM",
			"yarn="+other.Name)+" for each item if they are one, "+stash.Command("set", y.Name,
			"note=not "+other.Name)+" if they are two")
	return nil
}

// brought is the first event of a kind that stands of a subject; the zero event where none
// does.
func (q *questions) brought(id stash.Subject, kind stash.Kind) (sqlite.Past, error) {
	past, err := q.tx.History(id)
	for _, e := range past {
		if e.Kind == kind && !e.Undone {
			return e, err
		}
	}
	return sqlite.Past{}, err
}
