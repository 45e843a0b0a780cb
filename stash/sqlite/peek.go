package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"endsmeet/stash"
)

// Name is what one record is called: a package by its tag and the name of its
// yarn, all else by a name.
type Name struct {
	ID, Tag, Name, Colour string
	Live                  bool
}

// Label is what a person types for a package: its tag, else the beginning of
// its id.
func (n Name) Label() string {
	if n.Tag != "" {
		return n.Tag
	}
	return n.ID[:min(6, len(n.ID))]
}

// Peek reads a stash without changing a byte of it or of what lies next to it:
// it makes nothing, migrates nothing and waits for nobody. A stash that is not
// there or cannot be read like this is an error.
func Peek(ctx context.Context, path string, read func(*Tx) error) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return err
	}
	s := &Store{path: path, busy: 20 * time.Millisecond}
	s.fillIn()
	pragmas := map[string]string{"_query_only": "on"}
	// Without a log nobody writes; a connection that may not change the file
	// would leave a log behind if it looked for one.
	if _, err := os.Stat(path + "-wal"); errors.Is(err, fs.ErrNotExist) {
		pragmas["immutable"] = "1"
	}
	if s.db, err = s.connect("ro", pragmas); err != nil {
		return err
	}
	defer s.db.Close()
	if _, err := schema(ctx, s.db, path); err != nil {
		return err
	}
	return s.View(ctx, read)
}

// Names lists what the records of a kind are called, live ones first, in the
// order of their tags and names.
func (tx *Tx) Names(what stash.What) ([]Name, error) {
	var out []Name
	err := tx.each(`SELECT v.id, v.tag, iif(v.what = 'package', coalesce(y.name, ''), v.name), iif(v.what = 'package', coalesce(`+viewFacts+` ->> '$.colour', ''), ''), v.live
		FROM view v`+withReceipt+` LEFT JOIN subject s ON s.id = v.parent LEFT JOIN view y ON y.subject = s.n
		WHERE v.what = ? ORDER BY v.live DESC, v.tag, v.name, v.subject`, []any{string(what)}, func(rows *sql.Rows) error {
		var n Name
		err := rows.Scan(&n.ID, &n.Tag, &n.Name, &n.Colour, &n.Live)
		out = append(out, n)
		return err
	})
	return out, err
}

// Bins lists the bins of the packages that are not retired, in order.
func (tx *Tx) Bins() ([]string, error) {
	var out []string
	err := tx.each(`SELECT DISTINCT `+viewFacts+` ->> '$.bin' AS bin FROM view v`+withReceipt+` WHERE v.what = 'package' AND v.live AND bin != '' ORDER BY bin`, nil, func(rows *sql.Rows) error {
		var bin string
		err := rows.Scan(&bin)
		out = append(out, bin)
		return err
	})
	return out, err
}
