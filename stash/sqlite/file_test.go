package sqlite_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/outside"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

func TestAFileMayBeNamedAnything(t *testing.T) {
	for _, name := range []string{"a?b.db", "a#b.db", "a%41b.db", "two  words.db", "Wolle 毛糸.db",
		"a&mode=ro.db", "a;b'c\"d.db", "-dash", "no-ending", ":memory:", "file:x.db"} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, name)
			s := openAt(t, path, 1)
			receive(t, s, g)
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			if info, err := os.Stat(path); err != nil || info.Size() == 0 {
				t.Fatalf("the stash is not in the file named: %v", err)
			}
			found, err := os.ReadDir(folder)
			for _, f := range found {
				if !strings.HasPrefix(f.Name(), name) {
					t.Errorf("another file was made: %q", f.Name())
				}
			}
			again := openAt(t, path, 2)
			if err != nil || events(t, again.Store) != 1 {
				t.Errorf("the event is not there: %v", err)
			}
		})
	}
}

// open opens a path and gives only the error.
func open(path string) error {
	s, err := sqlite.Open(ctx, path, stashtest.NewClock().Options(1))
	if err == nil {
		_ = s.Close()
	}
	return err
}

// otherDatabase is a SQLite file of another program.
func otherDatabase(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite3", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, q := range append([]string{`CREATE TABLE tune (name TEXT)`}, statements...) {
		if _, err := db.Exec(q); err != nil {
			t.Fatal(err)
		}
	}
}

func TestWhatIsNoStashIsRefusedAndNotChanged(t *testing.T) {
	stored := filepath.Join(t.TempDir(), "good.db")
	s := openAt(t, stored, 1)
	receive(t, s, g)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	good := read(t, stored)
	for _, c := range []struct {
		rule  string
		make  func(t *testing.T, path string)
		code  stash.Code
		words string
	}{
		{"a text", func(t *testing.T, p string) { write(t, p, []byte("yarn: 3 balls\n")) },
			stash.CodeNotOurs, "is not a stash"},
		{"a long text", func(t *testing.T, p string) {
			write(t, p, bytes.Repeat([]byte("yarn\n"), 5000))
		}, stash.CodeNotOurs, "is not a stash"},
		{"one byte", func(t *testing.T, p string) { write(t, p, []byte("S")) }, stash.CodeNotOurs,
			"is not a stash"},
		{"a database of another program", func(t *testing.T, p string) { otherDatabase(t, p) },
			stash.CodeNotOurs, "another program"},
		{"one with a mark of its own",
			func(t *testing.T, p string) { otherDatabase(t, p, `PRAGMA application_id = 77`) },
			stash.CodeNotOurs, "another program"},
		{"one that keeps a log", func(t *testing.T, p string) {
			otherDatabase(t, p, `PRAGMA journal_mode = WAL`, `INSERT INTO tune VALUES ('a')`)
		}, stash.CodeNotOurs, "another program"},
		{"a newer schema", func(t *testing.T, p string) {
			write(t, p, good)
			db, err := sql.Open("sqlite3", p)
			if err == nil {
				_, err = db.Exec(fmt.Sprintf(`PRAGMA user_version = %d`, sqlite.SchemaVersion+1))
			}
			if err = errors.Join(err, db.Close()); err != nil {
				t.Fatal(err)
			}
		}, stash.CodeNewer, "newer endsmeet"},
		{"a file cut off in its header", func(t *testing.T, p string) { write(t, p, good[:60]) },
			stash.CodeDamaged, "is damaged"},
		{"a folder", func(t *testing.T, p string) {
			if err := os.Mkdir(p, 0o700); err != nil {
				t.Fatal(err)
			}
		}, stash.CodeNotOurs, "is a folder"},
		{"a file in a file", func(t *testing.T, p string) { write(t, filepath.Dir(p)+"/x", nil) },
			stash.CodeStorage, "cannot be opened"},
	} {
		t.Run(c.rule, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "stash.db")
			c.make(t, path)
			if c.rule == "a file in a file" {
				path = folder + "/x/stash.db"
			}
			before, _ := os.ReadFile(path)
			refused(t, open(path), c.code, c.words)
			after, _ := os.ReadFile(path)
			if !bytes.Equal(before, after) {
				t.Error("the file was changed")
			}
			if left, _ := os.ReadDir(folder); len(left) != 1 && c.code != stash.CodeStorage &&
				c.code != stash.CodeDamaged {
				t.Errorf("files were left: %v", left)
			}
		})
	}
}

func TestAnEmptyFileAndABrokenOffMakingBecomeAStash(t *testing.T) {
	for rule, make := range map[string]func(path string){
		"an empty file": func(path string) { write(t, path, nil) },
		"a making broken off": func(path string) {
			otherDatabase(t, path, `DROP TABLE tune`,
				`CREATE TABLE goose_db_version (id INTEGER PRIMARY KEY AUTOINCREMENT, version_id INTEGER NOT NULL, is_applied INTEGER NOT NULL, tstamp TIMESTAMP DEFAULT (datetime('now')))`, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (0, 1)`)
		},
		"a database of nothing": func(path string) { otherDatabase(t, path, `DROP TABLE tune`) },
	} {
		t.Run(rule, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "stash.db")
			make(path)
			s := openAt(t, path, 1)
			receive(t, s, g)
			checked(t, s.Store)
		})
	}
}

// unwritable makes a path that not even root may write, or skips.
func unwritable(t *testing.T, path string) {
	t.Helper()
	if os.Geteuid() != 0 {
		info, err := os.Stat(path)
		if err == nil {
			err = os.Chmod(path, info.Mode().Perm()&^0o222)
		}
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(path, 0o700) })
		return
	}
	if out, err := exec.Command("chattr", "+i", path).CombinedOutput(); err != nil {
		if outside.Required() {
			t.Fatalf("chattr: %v %s", err, out)
		}
		t.Skipf("nothing here can be made unwritable for root: %v %s", err, out)
	}
	t.Cleanup(func() { _ = exec.Command("chattr", "-i", path).Run() })
}

func TestAReadOnlyFileAndFolderSaySo(t *testing.T) {
	for _, what := range []string{"file", "folder", "new file in a folder"} {
		t.Run(what, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "stash.db")
			if what != "new file in a folder" {
				s := openAt(t, path, 1)
				receive(t, s, g)
				if err := s.Close(); err != nil {
					t.Fatal(err)
				}
			}
			if what == "file" {
				unwritable(t, path)
			} else {
				unwritable(t, folder)
			}
			s, err := sqlite.Open(ctx, path, stashtest.NewClock().Options(2))
			if err == nil {
				t.Cleanup(func() { _ = s.Close() })
				err = s.Act(ctx, func(tx *sqlite.Tx) error {
					_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
						Body: stash.Movement{Mass: g}})
					return err
				})
			}
			refused(t, err, stash.CodeStorage, path)
		})
	}
}

func TestAFullDiskSaysSoAndLeavesTheLedgerWhole(t *testing.T) {
	s := newStore(t)
	id := receive(t, s, 500*g)
	s.Pool().SetMaxOpenConns(1) // the one that knows the limit
	var pages int
	if err := s.Pool().QueryRow(`PRAGMA page_count`).Scan(&pages); err != nil {
		t.Fatal(err)
	}
	var limit int
	if err := s.Pool().QueryRow(fmt.Sprintf(`PRAGMA max_page_count = %d`,
		pages+5)).Scan(&limit); err != nil {
		t.Fatal(err)
	}
	written := 0
	fill := func(swallow bool) error {
		return s.Act(ctx, func(tx *sqlite.Tx) error {
			for range 20 {
				_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: stash.Subject(id),
					Body: stash.Movement{Mass: g, Note: strings.Repeat("wool ", 200)}})
				if err != nil && !swallow {
					return err
				}
			}
			return nil
		})
	}
	err := fill(false)
	for ; err == nil && written < 100; written++ {
		err = fill(false)
	}
	refused(t, err, stash.CodeStorage, "is full")
	refused(t, fill(true), stash.CodeStorage, "is full") // even if a command passes over it
	checked(t, s.Store)
	if err := s.Pool().QueryRow(`PRAGMA max_page_count = 1000000`).Scan(&limit); err != nil {
		t.Fatal(err)
	}
	use(t, s, id, g)
	checked(t, s.Store)
}

func TestALockedFileSaysSo(t *testing.T) {
	s := newStore(t)
	clock := stashtest.NewClock()
	o := clock.Options(2)
	o.Busy = 1 // nanosecond
	other, err := sqlite.Open(ctx, s.Path(), o)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	err = s.Act(ctx, func(*sqlite.Tx) error {
		return other.Act(ctx, func(*sqlite.Tx) error { return nil })
	})
	refused(t, err, stash.CodeStorage, "is locked")
}

func TestABrokenOffCommandRecordsNothing(t *testing.T) {
	s := newStore(t)
	during, cancel := context.WithCancel(ctx)
	err := s.Act(during, func(tx *sqlite.Tx) error {
		_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
			Body: stash.Movement{Mass: g}})
		cancel()
		return err
	})
	if !errors.Is(err, context.Canceled) || events(t, s.Store) != 0 {
		t.Errorf("%v, %d events", err, events(t, s.Store))
	}
	act := func(tx *sqlite.Tx) error {
		_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
			Body: stash.Movement{Mass: g}})
		return err
	}
	if err := s.Rehearse(ctx, act); err != nil || events(t, s.Store) != 0 {
		t.Errorf("rehearsed: %v, %d events", err, events(t, s.Store))
	}
}

func TestADraftThatNoLineCanHoldIsNotRecorded(t *testing.T) {
	s := newStore(t)
	for rule, d := range map[string]stash.Draft{
		"no kind":        {Of: "x"},
		"no subject":     {Kind: stash.KindUse},
		"no JSON at all": {Kind: stash.KindUse, Of: "x", Body: func() {}},
	} {
		err := s.Act(ctx, func(tx *sqlite.Tx) error {
			_, err := tx.Record(d)
			return err
		})
		if err == nil {
			t.Errorf("%s: recorded", rule)
		}
	}
	if events(t, s.Store) != 0 {
		t.Error("something was stored")
	}
}

func TestDamagedPagesAreFound(t *testing.T) {
	path := filepath.Join(t.TempDir(), "stash.db")
	s := openAt(t, path, 1)
	id := receive(t, s, 500*g)
	for range 40 {
		use(t, s, id, g)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	good := read(t, path)
	found, pages := 0, len(good)/8192
	for page := 1; page < pages; page++ { // the first is the schema
		bad := bytes.Clone(good)
		at := bad[page*8192 : (page+1)*8192]
		for i := range at {
			at[i] ^= 0x5a
		}
		copyPath := filepath.Join(t.TempDir(), "stash.db")
		write(t, copyPath, bad)
		if damageFound(copyPath) {
			found++
		} else {
			t.Errorf("damage in page %d of %d was not found", page+1, pages)
		}
	}
	if found < 5 {
		t.Errorf("only %d pages were damaged", found)
	}
}

// damageFound opens and checks a stash and says whether anything was wrong.
func damageFound(path string) bool {
	s, err := sqlite.Open(ctx, path, stashtest.NewClock().Options(3))
	if err != nil {
		return true
	}
	defer s.Close()
	var r sqlite.Report
	err = s.View(ctx, func(tx *sqlite.Tx) (err error) {
		r, err = tx.Check()
		return err
	})
	return err != nil || !r.OK()
}

func TestCheckFindsWhatWasChangedByHand(t *testing.T) {
	for rule, statements := range map[string][]string{
		"an event rewritten": {`DROP TRIGGER event_is_final`,
			`UPDATE event SET raw = CAST(replace(raw, '1000', '9000') AS BLOB) WHERE kind = 'use'`},
		"an event removed": {`PRAGMA foreign_keys = 0`, `DROP TRIGGER event_is_kept`,
			`DELETE FROM event WHERE n = 2`},
		"the last event removed": {`PRAGMA foreign_keys = 0`, `DROP TRIGGER event_is_kept`,
			`DELETE FROM touch WHERE event = 3`, `DELETE FROM event WHERE n = 3`},
		"a lane renamed":           {`UPDATE lane SET name = 'another'`},
		"a lane's end moved":       {`UPDATE lane SET seq = seq + 1`},
		"a view changed":           {`UPDATE view SET state = CAST(replace(state, '498000', '598000') AS BLOB)`},
		"a state taken away":       {`UPDATE view SET state = x'' WHERE what = 'package'`},
		"what it is found by":      {`UPDATE view SET live = 0`},
		"what is said to be held":  {`UPDATE view SET held = held + 1`},
		"a view removed":           {`DELETE FROM view`},
		"a movement not noted":     {`DELETE FROM touch WHERE event = 2`},
		"an undo made up":          {`INSERT INTO undo SELECT 'aaaaaaaaaaaaaaaaaaaaaaaaaa', 'b'`},
		"a touch of another class": {`UPDATE touch SET class = 4 WHERE event = 2`},
	} {
		t.Run(rule, func(t *testing.T) {
			s := newStore(t)
			id := receive(t, s, 500*g)
			use(t, s, id, g)
			use(t, s, id, g)
			checked(t, s.Store)
			s.Pool().SetMaxOpenConns(1)
			for _, q := range statements {
				if r, err := s.Pool().Exec(q); err != nil {
					t.Fatal(err)
				} else if n, _ := r.RowsAffected(); n == 0 && !strings.HasPrefix(q, "DROP") &&
					!strings.HasPrefix(q, "PRAGMA") {
					t.Fatalf("%s changed nothing", q)
				}
			}
			var r sqlite.Report
			err := s.View(ctx, func(tx *sqlite.Tx) (err error) {
				r, err = tx.Check()
				return err
			})
			if err == nil && r.OK() {
				t.Error("not found")
			}
		})
	}
}
