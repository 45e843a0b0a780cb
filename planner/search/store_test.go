package search

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// TestAStoreIsWhatItWasMadeOf makes a stash file out of a random shelf, reads it
// back and searches it: what is found is what is found on the shelf itself. With
// ENDSMEET_FITS=PACKAGES:FILE it makes a large one there, for measurements of the
// whole program.
func TestAStoreIsWhatItWasMadeOf(t *testing.T) {
	packages, file := 60, t.TempDir()+"/stash.db"
	if asked := os.Getenv("ENDSMEET_FITS"); asked != "" {
		if _, err := fmt.Sscanf(asked, "%d:%s", &packages, &file); err != nil {
			t.Fatal(err)
		}
	}
	shelf := randomShelf(rand.New(rand.NewPCG(1, 2)), packages/8, packages)
	shelf.Settings = stash.DefaultSettings()
	s, err := sqlite.Open(context.Background(), file, stashtest.NewClock().Options(1))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Act(context.Background(),
		func(tx *sqlite.Tx) error { return fillStore(tx, shelf) }); err != nil {
		t.Fatal(err)
	}
	if packages > 1000 {
		return
	}
	stored := readShelf(t, s)
	q := Query{Kind: usualKind("scarf"), Colours: 2, Weights: usualWeights, Rest: 25_000}
	a, errA := Find(context.Background(), shelf, q)
	b, errB := Find(context.Background(), stored, q)
	if errA != nil || errB != nil || len(a.Answers) == 0 || len(a.Answers) != len(b.Answers) {
		t.Fatal(errA, errB, len(a.Answers), len(b.Answers))
	}
	for i := range a.Answers {
		if x, y := a.Answers[i], b.Answers[i]; x.Score != y.Score ||
			fmt.Sprint(x.Warp, x.Weft) != fmt.Sprint(y.Warp, y.Weft) {
			t.Errorf("place %d: %d %v %v, stored %d %v %v", i+1, x.Score, x.Warp, x.Weft, y.Score,
				y.Warp, y.Weft)
		}
	}
}

func readShelf(t *testing.T, s *sqlite.Store) (out making.Shelf) {
	err := s.View(context.Background(), func(tx *sqlite.Tx) (err error) {
		out.Now = tx.Now()
		if out.Settings, err = tx.Settings(); err != nil {
			return err
		}
		if out.Packages, err = tx.Packages(false); err != nil {
			return err
		}
		if out.Yarns, err = tx.YarnsByID(); err != nil {
			return err
		}
		out.Claims, err = tx.Claims()
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// fillStore records a shelf.
func fillStore(tx *sqlite.Tx, shelf making.Shelf) error {
	for i := range len(shelf.Yarns) {
		y := shelf.Yarns[stash.YarnID(fmt.Sprintf("yarn%05d", i))]
		d := stash.Draft{Kind: stash.KindYarn, Of: stash.Subject(y.ID),
			Body: stash.Set{What: stash.WhatYarn, Fields: fieldsOf(y.YarnFacts)}}
		if _, err := tx.Record(d); err != nil {
			return err
		}
	}
	for _, p := range shelf.Packages {
		r := stash.Receive{Fields: fieldsOf(p.PackageFacts)}
		if p.Known {
			held := p.Held
			r.Reading = stash.Reading{Net: &held, Step: measure.Gram}
		}
		if _, err := tx.Record(stash.Draft{Kind: stash.KindReceive, Of: stash.Subject(p.ID),
			Body: r}); err != nil {
			return err
		}
		if p.LentTo == "" {
			continue
		}
		now, _, err := tx.Package(p.ID)
		if err != nil {
			return err
		}
		lend := stash.Draft{Kind: stash.KindLend, Of: stash.Subject(p.ID), Replaces: now.Heads,
			Body: stash.Movement{Who: p.LentTo}}
		if _, err := tx.Record(lend); err != nil {
			return err
		}
	}
	return nil
}

// fieldsOf are the facts that are recorded of a subject.
func fieldsOf(facts any) stash.Fields {
	raw, _ := json.Marshal(facts)
	fields := stash.Fields{}
	_ = json.Unmarshal(raw, &fields)
	return fields
}
