package sqlite_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// lateReceipt records that a cone came, with what it weighed on a day that is later than
// some of what is said of it.
func lateReceipt(t rapid.TB, r *stashtest.Replica, id stash.PackageID, f said) {
	net := f.net
	err := r.Act(ctx, func(tx *sqlite.Tx) error {
		_, err := tx.Record(stash.Draft{Kind: stash.KindReceive, Of: stash.Subject(id),
			At: dayOne.AddDate(0, 0, f.day), Replaces: headsOf(t, r, id),
			Body: stash.Receive{Reading: stash.Reading{Net: &net}, Fields: stash.Fields{
				"yarn": stashtest.JSON("a yarn"), "acquired": stashtest.JSON("2025")}}})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestWhatWasSaidOfAConeBeforeItsReceiptCountsInAnyOrder says what happened to a cone on
// days before and after the day on which it was recorded, in the order of the days and in
// a drawn one: the accounts are equal and add up, what the receipt weighed last is held,
// and nothing is asked.
func TestWhatWasSaidOfAConeBeforeItsReceiptCountsInAnyOrder(t *testing.T) {
	folder, n := t.TempDir(), 0
	id := stash.PackageID("packagecone1")
	rapid.Check(t, func(t *rapid.T) {
		n++
		s := drawStory(t)
		receipt := said{kind: stash.KindReceive, net: 300 * g,
			day: rapid.IntRange(0, 20).Draw(t, "receipt")}
		facts := slices.DeleteFunc(s.facts, func(f said) bool { return f.day == receipt.day })
		facts = append([]said{receipt}, facts...)
		slices.SortFunc(facts, func(a, b said) int { return a.day - b.day })
		var accounts [2]stash.Package
		for i, order := range [][]said{facts, rapid.Permutation(facts).Draw(t, "order")} {
			r, err := stashtest.Open(filepath.Join(folder, fmt.Sprintf("%d-%d.db", n, i)), "one", 1)
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = r.Close() }()
			for _, f := range order {
				if f.kind == stash.KindReceive {
					lateReceipt(t, r, id, f)
				} else {
					s.say(t, r, id, f)
				}
			}
			err = r.View(ctx, func(tx *sqlite.Tx) (err error) {
				accounts[i], _, err = tx.Package(id)
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			checked(t, r.Store)
		}
		a, b := accounts[0], accounts[1]
		if a.Held != b.Held || a.Used != b.Used || a.Received != b.Received ||
			a.Unexplained != b.Unexplained || !a.Balanced() || !b.Balanced() {
			t.Fatalf("by the days %+v\nas drawn    %+v\n%+v", a.Account, b.Account, facts)
		}
		if last := facts[len(facts)-1]; last.kind == stash.KindReceive && a.Held != last.net {
			t.Fatalf("the receipt weighed %s last, and %s is held\n%+v", last.net, a.Held, facts)
		}
		if len(a.Question)+len(b.Question) > 0 {
			t.Fatalf("asked: %v, %v", a.Question, b.Question)
		}
	})
	if n < 10 {
		t.Fatalf("only %d stories", n)
	}
}
