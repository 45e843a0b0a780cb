package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/gofrs/flock"
	_ "github.com/mattn/go-sqlite3" // the driver

	"endsmeet/stash"
	"endsmeet/stash/lasting"
	_ "endsmeet/stash/sqlite/ccompiler" // SQLite is written in C
)

// Options are what a store takes from outside.
type Options struct {
	// Now is the wall clock; time.Now where nil.
	Now func() time.Time
	// IDs makes new names; random where its Bytes is nil.
	IDs stash.IDs
	// Machine names this machine for the key file; found out where empty.
	Machine string
	// Busy is how long to wait for another process that writes; 15 seconds
	// where zero.
	Busy time.Duration
	// Renewing is told that a stash of another version is made anew out of so many
	// events, once; what it gives is called with each of them, and with true at the end.
	Renewing func(events int) func(done bool)
	// Fault is told of every point that a write passes; nil is nobody. It is
	// there to break off at.
	Fault func(Point)
}

// Point names a place in the middle of a write.
type Point string

// The points, in the order in which a write passes them.
const (
	PointBegun    Point = "begun"     // the transaction has begun
	PointKey      Point = "key"       // a new key file is written, not yet in place
	PointKeyed    Point = "keyed"     // the key file is in place
	PointInserted Point = "inserted"  // events are in their table, what they change is not
	PointFolded   Point = "folded"    // all is written, before the commit
	PointDone     Point = "committed" // after the commit
)

// Store is an open stash.
type Store struct {
	db      *sql.DB
	path    string
	now     func() time.Time
	ids     stash.IDs
	machine string
	busy    time.Duration
	faultAt func(Point)
	anew    func(events int) func(done bool)
	making  *flock.Flock // held while the file is made or migrated
	denied  error        // why nothing can be written where the stash lies
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
	if path, err = filepath.EvalSymlinks(path); err != nil {
		return nil, storageError(path, err)
	}
	s := &Store{path: path, now: o.Now, ids: o.IDs, machine: o.Machine, busy: o.Busy,
		faultAt: o.Fault, anew: o.Renewing, making: flock.New(path + ".lock")}
	s.fillIn()
	ours, err := s.recognise(ctx)
	if err != nil {
		return nil, storageError(path, err)
	}
	defer s.making.Unlock() //nolint:errcheck // released with the process at the latest
	if !ours {
		// Two that make a file at once find it locked, however long they wait.
		if err := s.making.Lock(); err != nil {
			return nil, storageError(path, err)
		}
		if err := s.layOut(ctx); err != nil {
			return nil, storageError(path, err)
		}
	}
	if err := s.checkLog(ctx); err != nil {
		return nil, storageError(path, err)
	}
	if s.db, err = s.connect("rwc", writing); err != nil {
		return nil, err
	}
	s.db.SetMaxOpenConns(2)
	if err := s.bringUpToDate(ctx); err != nil {
		_ = s.db.Close()
		if ours && (unwritable(err) || noRoom(err)) {
			denied := err
			if err = s.openToRead(ctx, denied); err != nil && noRoom(denied) {
				err = denied // room is what it lacks most
			}
			return s, storageError(path, err)
		}
		return nil, storageError(path, err)
	}
	return s, nil
}

func (s *Store) fillIn() {
	if s.busy == 0 {
		s.busy = 15 * time.Second
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.ids.Bytes == nil {
		s.ids = stash.RandomIDs()
	}
	if s.machine == "" {
		s.machine = machineName(s.path + machineTail)
	}
	if s.anew == nil {
		s.anew = func(int) func(bool) { return func(bool) {} }
	}
}

// writing are the pragmas of a connection that writes.
var writing = map[string]string{
	"_foreign_keys":       "on",
	"_recursive_triggers": "on",
	"_journal_mode":       "WAL",
	"_synchronous":        "FULL",
	"_cache_size":         "-16384",
}

// connect puts every pragma where each connection of the pool gets it.
func (s *Store) connect(mode string, pragmas map[string]string) (*sql.DB, error) {
	q := url.Values{"mode": {mode}, "_busy_timeout": {strconv.FormatInt(s.busy.Milliseconds(), 10)}}
	for name, value := range pragmas {
		q.Set(name, value)
	}
	return sql.Open("sqlite3", "file:"+(&url.URL{Path: s.path}).EscapedPath()+"?"+q.Encode())
}

// layOut gives an empty file its page size: of 8 KiB less is left over behind the last
// event of a page than of the usual 4. A file that has pages keeps theirs.
func (s *Store) layOut(ctx context.Context) error {
	info, err := os.Stat(s.path)
	if err != nil || info.Size() > 0 {
		return err
	}
	db, err := s.connect("rw", nil)
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, `PRAGMA page_size = 8192; PRAGMA journal_mode = WAL`)
	return err
}

// prepareFile makes an empty file that only its owner can read, and the
// folder for it. An existing file is left as it is; what can be no stash is
// refused before it is opened, for to open a pipe is to wait.
func prepareFile(path string) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return stash.Refuse(stash.CodeNotOurs, "name a file in it, such as "+filepath.Join(path,
			"stash.db"), "%s is a folder, not a stash", path)
	case err == nil && !info.Mode().IsRegular():
		return stash.Refuse(stash.CodeNotOurs, "give the right one with --stash FILE",
			"%s is a pipe or a device, not a stash", path)
	case err == nil && info.Size() == 0 && emptied(path):
		return stash.Refuse(stash.CodeStorage,
			"Restore a backup (endsmeet help restore). To begin again under this name, move both files away first.",
			"%s is empty, and its key %s.key says that it was a stash.", path, path)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := WasHere(path); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	// before a key can lie beside it
	return errors.Join(f.Close(), lasting.Folder(filepath.Dir(path)))
}

// WasHere refuses to begin anew where a stash was: what lies beside it says so.
// Another stash would go on in its place, under its lane.
func WasHere(path string) error {
	for _, tail := range []string{".key", "-wal"} {
		if _, err := os.Lstat(path + tail); err == nil {
			return stash.Refuse(stash.CodeStorage,
				"Put the file back, or restore a backup (endsmeet help restore). To begin again under this name, move "+path+tail+" away first.",
				"%s is not there, and %s says that it was a stash.", path, path+tail)
		}
	}
	return nil
}

// emptied says of an empty file that it held a stash: its key is there, and no
// log that still has what the file has not.
func emptied(path string) bool {
	_, err := os.Stat(path + ".key")
	log, logErr := os.Stat(path + "-wal")
	return err == nil && (logErr != nil || log.Size() == 0)
}

func (s *Store) fault(p Point) {
	if s.faultAt != nil {
		s.faultAt(p)
	}
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
	if err := s.mayWrite(); err != nil {
		return err
	}
	return s.within(ctx, "BEGIN IMMEDIATE", func(tx *Tx) (bool, error) { return true, do(tx) })
}

// Rehearse runs a command as Act does and then takes all of it back.
func (s *Store) Rehearse(ctx context.Context, do func(*Tx) error) error {
	if err := s.mayWrite(); err != nil {
		return err
	}
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
	//nolint:errcheck // after a commit it has nothing to do
	defer conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	tx := newTx(ctx, s, conn)
	defer tx.close()
	tx.fault(PointBegun)
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
	tx.fault(PointFolded)
	// Not to be broken off: it must be plain whether it was recorded.
	_, err = conn.ExecContext(context.WithoutCancel(ctx), "COMMIT")
	tx.fault(PointDone)
	return storageError(s.path, err)
}
