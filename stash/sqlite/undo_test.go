package sqlite_test

import (
	"fmt"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Folds that run beside each other ask which finish counts and what was undone,
// both of one table of answers; a map that two of them write ends the process.
func TestManyFoldsAtOnceAskWhatWasUndone(t *testing.T) {
	a := newStore(t)
	const many = 400
	net := 100 * measure.Gram
	var last stash.Act
	for i := range many {
		id := stash.Subject(fmt.Sprintf("package%d", i))
		record(t, a, stash.Draft{Kind: stash.KindReceive, Of: id, Body: stash.Receive{
			Fields: stash.Fields{}, Reading: stash.Reading{Net: &net}}})
		last = record(t, a, stash.Draft{Kind: stash.KindFinish,
			Of: stash.Subject(fmt.Sprintf("piece%d", i)), Body: stash.Finish{
				Debits: []stash.Debit{{Package: stash.PackageID(id), Role: stash.RoleWarp,
					Mass: 10 * measure.Gram}}}})
	}
	undo(t, a, last)
	for i := range 5 {
		b := openAt(t, t.TempDir()+"/b.db", uint64(2+i))
		send(t, a, b)
		sameOn(t, a, b)
	}
	if held := packageOf(t, a, "package399").Held; held != net {
		t.Errorf("the package holds %d mg though its finish was undone", held)
	}
}
