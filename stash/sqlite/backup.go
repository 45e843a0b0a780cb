package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/mattn/go-sqlite3"

	"endsmeet/stash"
	"endsmeet/stash/aside"
	"endsmeet/stash/lasting"
)

// pagesAtOnce is how many pages of the file are copied in one step.
const pagesAtOnce = 1024

// Backup copies the stash into a new file that only its owner can read, by
// SQLite's online backup: one moment of it, whatever other processes write
// meanwhile. The copy is checked (SQLite's own check, as many events as here)
// before it gets its name; a file of that name is never written over. It gives
// the number of events. Progress is told the pages copied and in all. Without
// keys the copy knows of no shared place: whoever has it cannot open that.
func (s *Store) Backup(ctx context.Context, path string, withKeys bool,
	progress func(done, total int)) (int, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return 0, err
	}
	temp, err := tempBeside(path)
	if err != nil {
		return 0, err
	}
	defer removeAll(temp)
	events, err := s.copyTo(ctx, temp, withKeys, progress)
	if err != nil {
		return 0, storageError(path, err)
	}
	return events, nameFinished(temp, path)
}

// tempBeside makes an empty file in the folder where path is to be, which must
// not be taken.
func tempBeside(path string) (string, error) {
	if _, err := os.Lstat(path); err == nil {
		return "", taken(path)
	}
	f, err := aside.File(filepath.Dir(path))
	if err != nil {
		return "", storageError(path, err)
	}
	return f.Name(), f.Close()
}

func taken(path string) error {
	return stash.Refuse(stash.CodeRefused, "name another, it is never written over",
		"there is a file %s already", path)
}

// removeAll removes a database with what SQLite keeps beside it.
func removeAll(path string) {
	for _, tail := range []string{"", "-wal", "-shm", "-journal", ".lock"} {
		_ = os.Remove(path + tail)
	}
}

// copyTo copies one moment of the stash into an empty file, and checks the copy.
func (s *Store) copyTo(ctx context.Context, path string, withKeys bool,
	progress func(done, total int)) (int, error) {
	from, err := s.db.Conn(ctx)
	if err != nil {
		return 0, err
	}
	defer from.Close()
	if _, err := from.ExecContext(ctx, "BEGIN"); err != nil {
		return 0, err
	}
	defer from.ExecContext(context.WithoutCancel(ctx), "ROLLBACK") //nolint:errcheck // it only read
	events, err := countEvents(ctx, from)
	if err != nil {
		return 0, err
	}
	copied := &Store{path: path, busy: s.busy}
	db, err := copied.connect("rwc", nil)
	if err != nil {
		return 0, err
	}
	defer db.Close()
	to, err := db.Conn(ctx)
	if err != nil {
		return 0, err
	}
	defer to.Close()
	if err := copyPages(ctx, from, to, progress); err != nil {
		return 0, err
	}
	if !withKeys {
		if err := forgetPlace(ctx, to); err != nil {
			return 0, err
		}
	}
	return events, checkCopy(ctx, to, events)
}

// forgetPlace takes the shared place and its keys out of a copy, and overwrites
// where they stood.
func forgetPlace(ctx context.Context, to *sql.Conn) error {
	for _, table := range placeTables {
		if _, err := to.ExecContext(ctx, `DELETE FROM `+table); err != nil {
			return err
		}
	}
	_, err := to.ExecContext(ctx, `VACUUM`)
	return err
}

func countEvents(ctx context.Context, conn *sql.Conn) (n int, err error) {
	err = conn.QueryRowContext(ctx, `SELECT count(*) FROM event`).Scan(&n)
	return n, err
}

// copyPages runs SQLite's online backup from one connection to another.
func copyPages(ctx context.Context, from, to *sql.Conn, progress func(done, total int)) error {
	return raw(from, func(source *sqlite3.SQLiteConn) error {
		return raw(to, func(target *sqlite3.SQLiteConn) error {
			b, err := target.Backup("main", source, "main")
			if err != nil {
				return err
			}
			for done := false; !done && err == nil; {
				if done, err = b.Step(pagesAtOnce); err == nil {
					err = ctx.Err()
					progress(b.PageCount()-b.Remaining(), b.PageCount())
				}
			}
			return errors.Join(err, b.Finish())
		})
	})
}

// raw reaches the driver's own connection.
func raw(conn *sql.Conn, do func(*sqlite3.SQLiteConn) error) error {
	return conn.Raw(func(driver any) error {
		c, ok := driver.(*sqlite3.SQLiteConn)
		if !ok {
			return fmt.Errorf("a connection of %T cannot be copied", driver)
		}
		return do(c)
	})
}

// checkCopy makes the copy one file of its own and checks it.
func checkCopy(ctx context.Context, conn *sql.Conn, events int) error {
	if _, err := conn.ExecContext(ctx, `PRAGMA journal_mode = DELETE`); err != nil {
		return err
	}
	var said string
	if err := conn.QueryRowContext(ctx, `PRAGMA integrity_check(1)`).Scan(&said); err != nil {
		return err
	}
	n, err := countEvents(ctx, conn)
	if err == nil && (said != "ok" || n != events) {
		err = stash.Refuse(stash.CodeStorage, "try another disk; the stash itself was only read",
			"the copy is not what was copied: %s, %d of %d events", said, n, events)
	}
	return err
}

// nameFinished brings a finished file to the disk and gives it its name, if nobody
// took that meanwhile.
func nameFinished(temp, path string) error {
	if err := lasting.File(temp); err != nil {
		return storageError(path, err)
	}
	err := os.Link(temp, path)
	if err != nil && !errors.Is(err, fs.ErrExist) { // a file system without hard links
		if _, statErr := os.Lstat(path); statErr == nil {
			return taken(path)
		}
		err = os.Rename(temp, path)
	}
	if errors.Is(err, fs.ErrExist) {
		return taken(path)
	}
	if err != nil {
		return storageError(path, err)
	}
	return storageError(path, lasting.Folder(filepath.Dir(path)))
}
