package sqlite_test

import (
	"bytes"
	"database/sql"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

var update = flag.Bool("update", false,
	"write the stash of this schema and what it shows, if there is none yet")

const schemas = "../../testdata/schemas"

// everyKind drafts at least one event of each kind, commands in a row.
func everyKind() [][]stash.Draft {
	set := func(what stash.What, pairs ...any) stash.Set {
		fields := stash.Fields{}
		for i := 0; i < len(pairs); i += 2 {
			fields[pairs[i].(string)] = stashtest.JSON(pairs[i+1])
		}
		return stash.Set{What: what, Fields: fields}
	}
	received := func(gross int64, pairs ...any) stash.Receive {
		mass := g * 0
		for range gross {
			mass += g
		}
		return stash.Receive{Fields: set("", pairs...).Fields,
			Reading: stash.Reading{Gross: &mass, Step: g}}
	}
	scale := func(gross int64) stash.Movement { return stash.Movement{Reading: received(gross).Reading} }
	spec := stash.ProjectFacts{Name: "scarf", Width: 300, Length: 1800, Sett: 80000}
	back := received(150).Reading
	return [][]stash.Draft{
		{{Kind: stash.KindYarn, Of: "yarncotton01",
			Body: set(stash.WhatYarn, "name", "Ossentarn cotton", "shedding", 1)},
			{Kind: stash.KindReceive, Of: "packagecone1",
				Body: received(412, "yarn", "yarncotton01", "form", "cone", "tag", "C1", "tare",
					stash.Tare{Mass: 25 * g, Source: stash.TareWeighed})},
			{Kind: stash.KindReceive, Of: "packageball1", Body: received(50, "yarn", "yarncotton01",
				"form", "ball", "colour", "oat")}},
		{{Kind: stash.KindSet, Of: "packageball1",
			Body: set(stash.WhatPackage, "colour", "slate")}},
		{{Kind: stash.KindSet, Of: stash.SettingsSubject,
			Body: set(stash.WhatSettings, "maker", "a weaver", "stale.days", 200)}},
		{{Kind: stash.KindWeigh, Of: "packagecone1", Body: scale(410)}},
		{{Kind: stash.KindUse, Of: "packagecone1",
			Body: stash.Movement{Mass: 10 * g, Note: "sample"}}},
		{{Kind: stash.KindDiscard, Of: "packagecone1", Body: stash.Movement{Mass: 2 * g}}},
		{{Kind: stash.KindGive, Of: "packageball1",
			Body: stash.Movement{Mass: 5 * g, Who: "a friend"}}},
		{{Kind: stash.KindLend, Of: "packageball1", Body: stash.Movement{Who: "a guild"}}},
		{{Kind: stash.KindReturn, Of: "packageball1", Body: scale(30)}},
		{{Kind: stash.KindWind, Of: "packagecone1",
			Body: stash.Movement{Mass: 20 * g, Into: "packagebobb1",
				Fields: set("", "yarn", "yarncotton01", "form", "bobbin").Fields}}},
		{{Kind: stash.KindProject, Of: "projectscarf01",
			Body: set(stash.WhatProject, "name", "scarf", "width", 300)}},
		{{Kind: stash.KindPerson, Of: "person000001", Private: true,
			Body: set(stash.WhatPerson, "name", "A. Recipient")}},
		{{Kind: stash.KindPlan, Of: "piecescarf01", Body: stash.Making{Project: "projectscarf01",
			Name: "scarf", Plan: &stash.Plan{Spec: spec, Ends: 240,
				Allotments: []stash.Allotment{{Package: "packagecone1", Mass: 200 * g}}}}}},
		{{Kind: stash.KindStart, Of: "piecescarf01", Body: stash.Making{}},
			{Kind: stash.KindOverride, Of: "piecescarf01", Private: true,
				Body: stash.Override{Person: "person000001", Rules: []string{"fibre"},
					Reason: "asked for"}}},
		{{Kind: stash.KindFinish, Of: "piecescarf01", Body: stash.Finish{
			Debits: []stash.Debit{{Package: "packagecone1", Role: stash.RoleWarp, Mass: 190 * g,
				Measured: true}},
			Weighed: []stash.Weighed{{Package: "packagecone1", Reading: back}},
			Thrums: []stash.Thrums{{Package: "packagethru1", Mass: 12 * g,
				Fields: set("", "yarn", "yarncotton01", "form", "thrums").Fields}},
			Measures: stash.Measures{Tape: 2000, Length: 1790}}}},
		{{Kind: stash.KindPlan, Of: "piecetowel01", Body: stash.Making{Name: "towel"}}},
		{{Kind: stash.KindAbandon, Of: "piecetowel01", Body: stash.Making{Reason: "no time"}}},
		{{Kind: stash.KindRetire, Of: "packagebobb1",
			Body: stash.Movement{Leftover: stash.LeftoverLost}}},
		{{Kind: "dye", Of: "packageball1", Body: map[string]string{"bath": "of a newer version"}}},
	}
}

// writeSchema writes the stash of this schema and what it shows.
func writeSchema(t *testing.T, path string) {
	s := openAt(t, filepath.Join(t.TempDir(), "stash.db"), 1)
	var last stash.Act
	for _, drafts := range everyKind() {
		last = record(t, s, drafts...)
	}
	var use stash.Act
	if err := s.Act(ctx, func(tx *sqlite.Tx) error {
		tx.Begin(sqlite.Deed{Once: "line 7", Command: "use:1"})
		_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "packagecone1",
			Body: stash.Movement{Mass: g}})
		use = tx.Act()
		return err
	}); err != nil {
		t.Fatal(err)
	}
	undo(t, s, use)
	if last == use {
		t.Fatal("two acts of one name")
	}
	checked(t, s.Store)
	views, err := stashtest.Views(s.Store)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	write(t, path, read(t, s.Path()))
	writeViews(t, strings.TrimSuffix(path, ".db")+".json", views)
}

// writeViews writes what a stash shows, to be read as a diff.
func writeViews(t *testing.T, path string, views map[string]string) {
	shown, err := json.MarshalIndent(views, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	write(t, path, append(shown, '\n'))
}

func TestEverySchemaLeftAStash(t *testing.T) {
	for v := 1; v <= sqlite.SchemaVersion; v++ {
		path := filepath.Join(schemas, fmt.Sprintf("v%d.db", v))
		if _, err := os.Stat(path); err != nil && *update && v == sqlite.SchemaVersion {
			writeSchema(t, path)
		} else if err != nil {
			t.Errorf("schema %d has left none; run with -update before it is changed: %v", v, err)
		}
	}
}

// old gives the stashes that earlier versions left, by name.
func old(t *testing.T) map[string][]byte {
	t.Helper()
	files, err := filepath.Glob(schemas + "/v*.db")
	if err != nil || len(files) == 0 {
		t.Fatal("no old stash found", err)
	}
	out := map[string][]byte{}
	for _, f := range files {
		out[filepath.Base(f)] = read(t, f)
	}
	return out
}

func TestOldStashesAreBroughtUpToDate(t *testing.T) {
	for name, content := range old(t) {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			write(t, path, content)
			s := reopened(t, path)
			checked(t, s.Store)
			got, err := stashtest.Views(s.Store)
			if err != nil {
				t.Fatal(err)
			}
			shows := filepath.Join(schemas, strings.TrimSuffix(name, ".db")+".json")
			var want map[string]string
			if err := json.Unmarshal(read(t, shows), &want); err != nil {
				t.Fatal(err)
			}
			if *update {
				settings := want["settings"] // those that there were then
				want = maps.Clone(got)
				want["settings"] = settings
				writeViews(t, shows, want)
			}
			settingsHold(t, got["settings"], want["settings"])
			delete(got, "settings")
			delete(want, "settings")
			sameViews(t, got, want)
			hasEveryKind(t, s)
			use(t, s, "packagecone1", g)
			checked(t, s.Store)
		})
	}
}

// One that was not closed before the upgrade has a log: it is no fault of its schema, nor
// of its views, that another version made them.
func TestOldStashesThatWereNotClosedAreBroughtUpToDate(t *testing.T) {
	for name, content := range old(t) {
		t.Run(name, func(t *testing.T) {
			from, path := filepath.Join(t.TempDir(), "old.db"), filepath.Join(t.TempDir(), "stash.db")
			write(t, from, content)
			db, err := sql.Open("sqlite3", from+"?_journal_mode=WAL")
			if err == nil {
				_, err = db.Exec(`CREATE TABLE left_open (a); DROP TABLE left_open`)
			}
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			write(t, path, read(t, from))
			log := read(t, from+"-wal")
			if write(t, path+"-wal", log); len(log) == 0 {
				t.Fatal("there is no log")
			}
			checked(t, reopened(t, path).Store)
		})
	}
}

// settingsHold compares the settings that the old version knew; newer ones come
// with their defaults.
func settingsHold(t *testing.T, got, want string) {
	t.Helper()
	var now, then map[string]json.RawMessage
	if err := errors.Join(json.Unmarshal([]byte(got), &now),
		json.Unmarshal([]byte(want), &then)); err != nil || len(then) == 0 {
		t.Fatalf("settings %s, then %s: %v", got, want, err)
	}
	for name, value := range then {
		name = strings.NewReplacer("fits.rest", "fits.leftover", "weight.rest", "weight.leftover").
			Replace(name)
		if string(now[name]) != string(value) {
			t.Errorf("setting %s is %s, it was %s", name, now[name], value)
		}
	}
}

func hasEveryKind(t *testing.T, s *stashtest.Replica) {
	t.Helper()
	found := map[stash.Kind]bool{}
	err := s.View(ctx, func(tx *sqlite.Tx) error {
		return tx.Events(true, func(e stash.Event) error {
			line, err := stash.DecodeLine(e.Raw)
			found[line.Kind] = true
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	want := map[stash.Kind]bool{stash.KindUndo: true}
	for _, drafts := range everyKind() {
		for _, d := range drafts {
			want[d.Kind] = true
		}
	}
	if !maps.Equal(found, want) || len(want) != 20 {
		t.Errorf("holds the kinds %v, want %v", slices.Sorted(maps.Keys(found)),
			slices.Sorted(maps.Keys(want)))
	}
}

func TestAnOldStashOfANewerSchemaIsRefusedByName(t *testing.T) {
	for name, content := range old(t) {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			write(t, path, content)
			db, err := sql.Open("sqlite3", path)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := db.Exec(fmt.Sprintf("PRAGMA user_version = %d",
				sqlite.SchemaVersion+40)); err != nil {
				t.Fatal(err)
			}
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			before := read(t, path)
			refused(t, open(path), stash.CodeNewer,
				fmt.Sprintf("newer endsmeet (schema %d, this one knows %d)",
					sqlite.SchemaVersion+40, sqlite.SchemaVersion))
			if !bytes.Equal(read(t, path), before) {
				t.Error("it was changed")
			}
		})
	}
}

// A stash of another version is made anew once, and whoever waits for it is told.
func TestMakingAnewIsToldOf(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stash.db")
	write(t, path, old(t)["v1.db"])
	events, steps, ends := 0, 0, 0
	for range 2 {
		o := stashtest.NewClock().Options(1)
		o.Renewing = func(n int) func(bool) {
			events = n
			return func(done bool) {
				if done {
					ends++
				} else {
					steps++
				}
			}
		}
		s, err := sqlite.Open(ctx, path, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if events < 20 || steps != events || ends != 1 {
		t.Errorf("%d events, %d steps, %d ends", events, steps, ends)
	}
}
