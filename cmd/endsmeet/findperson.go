package main

import (
	"errors"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// findPerson finds a person by the name or its beginning. Where several fit,
// the error says no name but the one that was typed: who is on record is
// private, and errors end up in logs.
func findPerson(tx *sqlite.Tx, name string) (stash.Person, error) {
	p, err := tx.FindPerson(name)
	var refusal *stash.Error
	if errors.As(err, &refusal) && refusal.Code == stash.CodeAmbiguous {
		return p, stash.Refuse(stash.CodeAmbiguous,
			"type more of the name; `endsmeet person list` shows them", "%s", refusal.Problem)
	}
	return p, err
}
