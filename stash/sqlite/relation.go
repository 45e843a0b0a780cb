package sqlite

import (
	"context"
	"database/sql"

	"github.com/mattn/go-sqlite3"
)

// Relation is a table that other programs may read, with its columns.
type Relation struct {
	Name    string
	Columns []string
}

// Relations lists the tables that other programs may read: views of the file,
// which nobody can write through, as the newest migration leaves them.
func Relations(ctx context.Context) ([]Relation, error) {
	db, err := sql.Open("sqlite3", ":memory:")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if err := toNewest(ctx, db); err != nil {
		return nil, err
	}
	rows, err := db.QueryContext(ctx,
		`SELECT v.name, c.name FROM sqlite_schema v, pragma_table_info(v.name) c WHERE v.type = 'view' ORDER BY v.name, c.cid`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Relation
	for rows.Next() {
		var view, column string
		if err := rows.Scan(&view, &column); err != nil {
			return nil, err
		}
		if n := len(out); n == 0 || out[n-1].Name != view {
			out = append(out, Relation{Name: view})
		}
		out[len(out)-1].Columns = append(out[len(out)-1].Columns, column)
	}
	return out, rows.Err()
}

// Version is the version of SQLite that is built in.
func Version() string {
	version, _, _ := sqlite3.Version()
	return version
}
