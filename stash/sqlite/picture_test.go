package sqlite_test

import (
	"database/sql"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func TestADamagedPictureIsFound(t *testing.T) {
	s := newStore(t)
	var id stash.ContentID
	if err := s.Act(ctx, func(tx *sqlite.Tx) (err error) {
		id, err = tx.KeepPicture([]byte("a picture"))
		return err
	}); err != nil {
		t.Fatal(err)
	}
	problems := func() (out []string) {
		if err := s.View(ctx, func(tx *sqlite.Tx) error {
			r, err := tx.Check()
			for _, f := range r.Findings {
				if f.Fault {
					out = append(out, f.Message)
				}
			}
			return err
		}); err != nil {
			t.Fatal(err)
		}
		return out
	}
	if found := problems(); len(found) > 0 {
		t.Fatalf("a whole picture: %q", found)
	}
	db, err := sql.Open("sqlite3", s.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(`UPDATE picture SET data = x'00' WHERE id = ?`, id[:]); err != nil {
		t.Fatal(err)
	}
	if found := problems(); len(found) != 1 || !strings.Contains(found[0], "a photo is damaged") {
		t.Errorf("%q", found)
	}
}
