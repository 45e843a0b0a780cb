package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"embed"
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"

	"github.com/pressly/goose/v3"

	"endsmeet/stash"
)

//go:embed migrations/*.sql
var migrations embed.FS

// applicationID marks a SQLite file as a stash ("endm").
const applicationID = 1701733485

// schemaVersion is the newest schema that this program knows. Every
// migration sets user_version to its own number.
const schemaVersion = 9

// bringUpToDate migrates the file and folds it anew if another version of the
// fold made its views.
func (s *Store) bringUpToDate(ctx context.Context) error {
	if err := s.migrate(ctx); err != nil {
		return err
	}
	var folded string
	err := s.db.QueryRowContext(ctx, `SELECT value FROM meta WHERE key = ?`, foldKey).Scan(&folded)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	if folded == stash.FoldName() {
		return nil
	}
	return s.Act(ctx, (*Tx).refold)
}

// migrate refuses what is not a stash or is newer than this program,
// and migrates what is older.
func (s *Store) migrate(ctx context.Context) error {
	version, err := schema(ctx, s.db, s.path)
	if err != nil || version == schemaVersion {
		return err
	}
	if err := s.making.Lock(); err != nil {
		return err
	}
	return toNewest(ctx, s.db)
}

// toNewest runs every migration that a file has not seen.
func toNewest(ctx context.Context, db *sql.DB) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(goose.DialectSQLite3, db, sub)
	if err != nil {
		return err
	}
	_, err = provider.Up(ctx)
	return err
}

// sqliteHeader is how long the header of a SQLite file is, and idOffset where
// in it the application id stands (SQLite, Database File Format, 1.3).
const (
	sqliteHeader = 100
	idOffset     = 68
)

// recognise refuses a file of another program before it is opened for
// writing, which would change it; ours is false while the file does not say
// yet that it is a stash.
func (s *Store) recognise(ctx context.Context) (ours bool, err error) {
	f, err := os.Open(s.path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	header := make([]byte, sqliteHeader)
	n, err := io.ReadFull(f, header)
	switch {
	case n == 0 && errors.Is(err, io.EOF):
		return false, nil
	case err != nil && !errors.Is(err, io.ErrUnexpectedEOF):
		return false, err
	case !bytes.HasPrefix(header, []byte("SQLite format 3\x00")):
		return false, stash.Refuse(stash.CodeNotOurs,
			"give the right one with --stash FILE; it was not changed", "%s is not a stash", s.path)
	case binary.BigEndian.Uint32(header[idOffset:]) == applicationID:
		return true, nil
	}
	// A new stash has its header in the log still, and no table in the file.
	// Immutable: reading leaves nothing beside a file that is not ours.
	db, err := s.connect("ro", map[string]string{"immutable": "1"})
	if err != nil {
		return false, err
	}
	defer db.Close()
	// Another process may be writing it this moment, which reads like damage.
	var refusal *stash.Error
	if _, err = schema(ctx, db, s.path); errors.As(err, &refusal) {
		return false, err
	}
	return false, nil
}

// schema gives the version of the file's schema, zero for an empty file and
// for one whose making was broken off.
func schema(ctx context.Context, db *sql.DB, path string) (int, error) {
	var id, version, tables int
	row := db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version),
		(SELECT count(*) FROM sqlite_schema WHERE tbl_name NOT IN ('goose_db_version', 'sqlite_sequence'))`)
	if err := row.Scan(&id, &version, &tables); err != nil {
		return 0, err
	}
	switch {
	case tables == 0:
		return 0, nil
	case id != applicationID:
		return 0, stash.Refuse(stash.CodeNotOurs,
			"give the right one with --stash FILE; it was not changed",
			"%s is a database of another program", path)
	case version > schemaVersion:
		return 0, stash.Refuse(stash.CodeNewer,
			"install that version or a newer one; nothing was changed",
			"%s was written by a newer endsmeet (schema %d, this one knows %d)", path, version,
			schemaVersion)
	}
	return version, nil
}
