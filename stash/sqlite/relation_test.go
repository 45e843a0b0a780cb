package sqlite_test

import (
	"slices"
	"testing"

	"endsmeet/stash/sqlite"
)

// What `help sql` names is what a file has, whichever migration made it.
func TestWhatOtherProgramsReadIsWhatAFileHas(t *testing.T) {
	relations, err := sqlite.Relations(ctx)
	if err != nil {
		t.Fatal(err)
	}
	pool := newStore(t).Pool()
	var views int
	if err := pool.QueryRow(`SELECT count(*) FROM sqlite_schema WHERE type = 'view'`).Scan(&views); err != nil {
		t.Fatal(err)
	}
	if views == 0 || len(relations) != views {
		t.Fatalf("%d tables are named, the file has %d", len(relations), views)
	}
	for _, r := range relations {
		rows, err := pool.Query(`SELECT * FROM ` + r.Name + ` LIMIT 0`)
		if err != nil {
			t.Fatal(err)
		}
		if columns, err := rows.Columns(); err != nil || !slices.Equal(columns, r.Columns) {
			t.Errorf("%s is named with %q, the file has %q (%v)", r.Name, r.Columns, columns, err)
		}
		rows.Close()
	}
}
