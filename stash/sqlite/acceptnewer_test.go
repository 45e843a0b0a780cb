package sqlite_test

import (
	"errors"
	"fmt"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

func TestWhatANewerVersionWroteIsKeptToTheByteAndFlagged(t *testing.T) {
	w := stashtest.NewWriter(5)
	writeUses(w, 1)
	head := `{"v":1,"hlc":116000000000000000,"at":"2026-03-02T09:00:00Z",`
	for i, line := range []string{
		head + `"kind":"dye","of":"cone","body":{"bath":["indigo", 2.50]},"mood":"blue"}`,
		head + `"kind":"use","of":"cone","body":{"mass_mg":1000,"twist":"S"} , "x" : null }`,
		`{"v":7,` + head[7:] + `"kind":"use","of":"cone","body":{"mass_mg":1000}}`,
		head + `"kind":"use","of":"cone","body":{"mass_mg":"plenty"}}`,
		head + `"kind":"receive","of":"cone","body":[]}`,
		head + `"kind":"set","of":"cone","body":{"what":"package","fields":{"sparkle":3}}}`,
		head + `"kind":"set","of":"cone","body":{"what":"package","fields":{"tare":"heavy"}}}`,
		head + `"kind":"undo","of":"cone","body":"everything"}`,
		head + `"kind":"weigh","of":"cone","body":{"volume_ml":3}}`,
	} {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			w := w.Fork()
			e := w.Raw([]byte(line))
			a, b := newStore(t), openAt(t, t.TempDir()+"/b.db", 2)
			accept(t, a, w.Run())
			send(t, a, b)
			sameOn(t, a, b)
			err := b.View(ctx, func(tx *sqlite.Tx) error {
				events, err := tx.LaneEvents(e.Lane, e.Seq)
				if len(events) != 1 || string(events[0].Raw) != line || events[0].Chain != e.Chain {
					t.Errorf("kept as %s", events[0].Raw)
				}
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
			p := packageOf(t, b, "cone")
			// an unknown field of a movement: its version says that it may be passed over
			plain := i == 1
			if p.Newer == plain {
				t.Errorf("newer is %v", p.Newer)
			}
			if p.Held < 497*g || p.Tare != nil {
				t.Errorf("what cannot be read was counted: %+v", p)
			}
		})
	}
}

func TestNewerIsFlaggedOnEveryKindOfSubject(t *testing.T) {
	w, s := stashtest.NewWriter(5), newStore(t)
	for kind, what := range map[stash.Kind]stash.What{stash.KindYarn: stash.WhatYarn,
		stash.KindProject: stash.WhatProject, stash.KindPerson: stash.WhatPerson} {
		w.Line(stash.Line{Kind: kind, Of: stash.Subject(what),
			Body: stashtest.JSON(stash.Set{What: what,
				Fields: stash.Fields{"name": stashtest.JSON("n")}})})
		w.Line(stash.Line{Kind: "dye", Of: stash.Subject(what)})
	}
	w.Line(stash.Line{Kind: stash.KindPlan, Of: "piece",
		Body: stashtest.JSON(stash.Making{Name: "n"})})
	w.Line(stash.Line{Kind: stash.KindFinish, Of: "piece", Body: []byte(`{"debits":"all"}`)})
	accept(t, s, w.Run())
	err := s.View(ctx, func(tx *sqlite.Tx) error {
		y, _, err := tx.Yarn("yarn")
		b, _, err2 := tx.Project("project")
		p, _, err3 := tx.Person("person")
		piece, _, err4 := tx.Piece("piece")
		if !y.Newer || !b.Newer || !p.Newer || !piece.Newer {
			t.Errorf("yarn %v, project %v, person %v, piece %v", y.Newer, b.Newer, p.Newer,
				piece.Newer)
		}
		if piece.State != stash.Planned {
			t.Errorf("a finish that cannot be read made it %s", piece.State)
		}
		return errors.Join(err, err2, err3, err4)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestALineWithoutTheOuterShapeIsRefusedWhole(t *testing.T) {
	for _, line := range []string{`not json`, `[]`, `{}`, `{"v":1,"kind":"use"}`,
		`{"v":1,"of":"cone"}`, `{"kind":"use","of":"cone"}`,
		`{"v":1,"at":"yesterday","kind":"use","of":"cone"}`} {
		w, s := stashtest.NewWriter(5), newStore(t)
		writeUses(w, 1)
		w.Raw([]byte(line))
		_, err := stashtest.Accept(s.Store, w.Run())
		refused(t, err, stash.CodeNewer, "event 3 of lane")
		if events(t, s.Store) != 0 {
			t.Errorf("%s: something was stored", line)
		}
	}
}

func TestWhatOncesKeyWasTakenElsewhereIsKnownHere(t *testing.T) {
	a, b, id := pair(t)
	p := packageOf(t, a, id)
	d, err := p.Use(stash.Move{Mass: g, At: a.Clock.Now()})
	if err != nil {
		t.Fatal(err)
	}
	if err := a.Act(ctx, func(tx *sqlite.Tx) error {
		tx.Begin(sqlite.Deed{Once: "script line 7", Command: "use:1"})
		_, err := tx.Record(d)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	send(t, a, b)
	err = b.View(ctx, func(tx *sqlite.Tx) error {
		e, done, err := tx.RecordedUnder("script line 7")
		_, other, err2 := tx.RecordedUnder("script line 8")
		if !done || other || e.OnceFor != "use:1" {
			t.Errorf("done %v as %q, another one %v", done, e.OnceFor, other)
		}
		return errors.Join(err, err2)
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestFoldedAnewAfterAnUpgrade(t *testing.T) {
	path := t.TempDir() + "/stash.db"
	s := openAt(t, path, 1)
	w := stashtest.NewWriter(5)
	writeUses(w, 5)
	accept(t, s, w.Run())
	act := use(t, s, "cone", g)
	undo(t, s, act)
	want, err := stashtest.Views(s.Store)
	if err != nil {
		t.Fatal(err)
	}
	// What an older version left, which could not read some of it.
	for _, q := range []string{`DELETE FROM touch WHERE class = 2`,
		`UPDATE view SET state = x'7b7d' WHERE what = 'package'`, `DELETE FROM undo`,
		`UPDATE meta SET value = 'older' WHERE key = 'fold'`} {
		if _, err := s.Pool().Exec(q); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, path, 2)
	checked(t, again.Store)
	got, err := stashtest.Views(again.Store)
	if err != nil {
		t.Fatal(err)
	}
	sameViews(t, got, want)
}
