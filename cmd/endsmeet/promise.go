package main

import (
	"encoding/json"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// promise asks the gate whether yarn may be promised for whom it is: of everybody whom the
// words may name, by their rules. The yarn of a project is reserved by its plan, which
// counts on it.
func (k *call) promise(tx *sqlite.Tx, p stash.Package, fields stash.Fields) error {
	var promise stash.Reserve
	if json.Unmarshal(fields["reserve"], &promise) != nil || promise.For == "" {
		return nil
	}
	if err := noProject(tx, promise.For); err != nil {
		return err
	}
	whom, err := promisedTo(tx, promise.For)
	if err != nil || whom.Person == nil {
		return err
	}
	s, err := namedShelf(tx, []stash.Ref{{Package: p.ID}})
	if err != nil {
		return err
	}
	v := verdict.OfYarn(s, s.Yarns[p.Yarn], nil, whom)
	if err := k.refused(v, nil); err != nil {
		return err
	}
	for _, a := range v.Answers {
		if a.Grade != verdict.Yes {
			k.note("%s for %s: %s", p.Label(), whom.Person.Name, a.Words)
		}
	}
	o, _, any := v.Aside(k.String("override"), whom.ID())
	if !any {
		return nil
	}
	return recordAsideOf(tx, o, p.ID, k.env.now())
}

// promisedTo is everybody whom the words of a promise may name; a promise need not be for
// anybody.
func promisedTo(tx *sqlite.Tx, words string) (verdict.Whom, error) {
	meant, err := whoMayBe(tx, words)
	var whom verdict.Whom
	for _, person := range meant {
		whom = whom.And(verdict.Whom{Person: &person})
	}
	return whom, err
}

// noProject refuses a promise for a project: no plan would count on what is kept from it.
func noProject(tx *sqlite.Tx, words string) error {
	projects, err := tx.Projects()
	for _, b := range projects {
		if b.Name != "" && stash.Fold(b.Name) == stash.Fold(words) {
			return stash.Refuse(stash.CodeRefused, "The yarn of a project is reserved by its plan: `"+
				stash.Command("plan --reserve", b.Name)+"`.",
				"%s is a project, which could not use what is kept apart", b.Name)
		}
	}
	return err
}
