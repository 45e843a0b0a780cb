package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "github.com/mattn/go-sqlite3" // the driver

	"endsmeet/stash"
)

// Options are what a store takes from outside.
type Options struct {
	// Now is the wall clock; time.Now where nil.
	Now func() time.Time
	// IDs makes new names; random where its Bytes is nil.
	IDs stash.IDs
	// Machine names this machine for the key file; found out where empty.
	Machine string
}

// Store is an open stash.
type Store struct {
	db      *sql.DB
	path    string
	now     func() time.Time
	ids     stash.IDs
	machine string
}

// Open opens the stash in a file, making it if there is none and bringing an
// older one up to date. A file that is no stash, is from a newer version, or
// cannot be read or written is refused with the reason; it is not changed.
func Open(ctx context.Context, path string, o Options) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if err := prepareFile(path); err != nil {
		return nil, storageError(path, err)
	}
	db, err := sql.Open("sqlite3", dsn(path))
	if err != nil {
		return nil, err
	}
	s := &Store{db: db, path: path, now: o.Now, ids: o.IDs, machine: o.Machine}
	s.fillIn()
	if err := s.bringUpToDate(ctx); err != nil {
		_ = db.Close()
		return nil, storageError(path, err)
	}
	return s, nil
}

func (s *Store) fillIn() {
	s.db.SetMaxOpenConns(2)
	if s.now == nil {
		s.now = time.Now
	}
	if s.ids.Bytes == nil {
		s.ids = stash.RandomIDs()
	}
	if s.machine == "" {
		s.machine = machineName()
	}
}

// dsn puts every pragma where each connection of the pool gets it.
func dsn(path string) string {
	q := url.Values{
		"_foreign_keys":       {"on"},
		"_recursive_triggers": {"on"},
		"_busy_timeout":       {"15000"},
		"_journal_mode":       {"WAL"},
		"_synchronous":        {"FULL"},
		"_cache_size":         {"-65536"},
	}
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + q.Encode()
}

// prepareFile makes an empty file that only its owner can read, and the
// folder for it. An existing file is left as it is.
func prepareFile(path string) error {
	info, err := os.Stat(path)
	if err == nil && info.IsDir() {
		return stash.Refuse(stash.CodeNotOurs, "name a file in it, such as "+filepath.Join(path, "stash.db"), "%s is a folder, not a stash", path)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// Close closes the file.
func (s *Store) Close() error { return s.db.Close() }

// Path is the absolute path of the file.
func (s *Store) Path() string { return s.path }

// View reads one moment of the stash.
func (s *Store) View(ctx context.Context, read func(*Tx) error) error {
	return s.within(ctx, "BEGIN", func(tx *Tx) (bool, error) { return false, read(tx) })
}

// Act runs one command as one transaction: all that it records, or nothing.
// The events that it records form one act.
func (s *Store) Act(ctx context.Context, do func(*Tx) error) error {
	return s.within(ctx, "BEGIN IMMEDIATE", func(tx *Tx) (bool, error) { return true, do(tx) })
}

// Rehearse runs a command as Act does and then takes all of it back.
func (s *Store) Rehearse(ctx context.Context, do func(*Tx) error) error {
	return s.within(ctx, "BEGIN IMMEDIATE", func(tx *Tx) (bool, error) { return false, do(tx) })
}

// within runs f in a transaction begun by the given statement and commits it
// if f says so.
func (s *Store) within(ctx context.Context, begin string, f func(*Tx) (bool, error)) error {
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return storageError(s.path, err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, begin); err != nil {
		return storageError(s.path, err)
	}
	defer conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK") //nolint:errcheck // after a commit it has nothing to do
	tx := newTx(ctx, s, conn)
	defer tx.close()
	keep, err := f(tx)
	if err == nil {
		err = tx.flush()
	}
	if err != nil || !keep {
		return storageError(s.path, err)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	_, err = conn.ExecContext(ctx, "COMMIT")
	return storageError(s.path, err)
}
