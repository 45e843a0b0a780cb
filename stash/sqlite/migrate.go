package sqlite

import (
	"context"
	"embed"
	"io/fs"

	"github.com/gofrs/flock"
	"github.com/pressly/goose/v3"

	"endsmeet/stash"
)

//go:embed migrations/*.sql
var migrations embed.FS

// applicationID marks a SQLite file as a stash ("endm").
const applicationID = 1701733485

// schemaVersion is the newest schema that this program knows. Every
// migration sets user_version to its own number.
const schemaVersion = 1

// bringUpToDate refuses what is not a stash or is newer than this program,
// and migrates what is older.
func (s *Store) bringUpToDate(ctx context.Context) error {
	version, err := s.schema(ctx)
	if err != nil || version == schemaVersion {
		return err
	}
	lock := flock.New(s.path + ".lock")
	if err := lock.Lock(); err != nil {
		return err
	}
	defer lock.Unlock() //nolint:errcheck // released with the process at the latest
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(goose.DialectSQLite3, s.db, sub)
	if err != nil {
		return err
	}
	_, err = provider.Up(ctx)
	return err
}

// schema gives the version of the file's schema, zero for an empty file.
func (s *Store) schema(ctx context.Context) (int, error) {
	var id, version, tables int
	row := s.db.QueryRowContext(ctx, `SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`)
	if err := row.Scan(&id, &version, &tables); err != nil {
		return 0, err
	}
	switch {
	case tables == 0:
		return 0, nil
	case id != applicationID:
		return 0, stash.Refuse(stash.CodeNotOurs, "give the right one with --stash FILE; it was not changed", "%s is a database of another program", s.path)
	case version > schemaVersion:
		return 0, stash.Refuse(stash.CodeNewer, "install that version or a newer one; nothing was changed",
			"%s was written by a newer endsmeet (schema %d, this one knows %d)", s.path, version, schemaVersion)
	}
	return version, nil
}
