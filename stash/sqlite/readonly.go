package sqlite

import (
	"context"
	"errors"
	"os"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"endsmeet/stash"
)

// unwritable says of an error that the file or its folder cannot be written.
func unwritable(err error) bool {
	var s sqlite3.Error
	if errors.As(err, &s) {
		return s.Code == sqlite3.ErrReadonly || s.Code == sqlite3.ErrCantOpen ||
			s.Code == sqlite3.ErrPerm
	}
	return errors.Is(err, syscall.EROFS) || errors.Is(err, os.ErrPermission)
}

// noRoom says of an error that a file had no room to grow. SQLite wants some beside
// the stash even to read it.
func noRoom(err error) bool {
	var s sqlite3.Error
	if errors.As(err, &s) {
		return s.Code == sqlite3.ErrFull || noRoom(s.SystemErrno)
	}
	no := errnoOf(err)
	return no == syscall.ENOSPC || no == syscall.EDQUOT || no == syscall.EFBIG
}

// openToRead opens a stash where an error says that nothing can be written: on a disc,
// in somebody else's folder, on a full disk. Immutable: SQLite then wants no files beside it. What
// another version must bring up to date first, or what lies in the log, cannot be
// read so, and is refused.
func (s *Store) openToRead(ctx context.Context, denied error) (err error) {
	if log, err := os.Stat(s.path + "-wal"); err == nil && log.Size() > 0 {
		return stash.Refuse(stash.CodeStorage,
			"Copy "+s.path+" and "+s.path+"-wal to a folder where you may write, and give that copy with --stash FILE.",
			"%s was not closed, and is where nothing can be written.", s.path)
	}
	s.denied = denied
	if s.db, err = s.connect("ro", map[string]string{"immutable": "1"}); err != nil {
		return err
	}
	version, err := schema(ctx, s.db, s.path)
	var folded string
	if err == nil && version == schemaVersion {
		err = s.db.QueryRowContext(ctx, `SELECT value FROM meta WHERE key = ?`,
			foldKey).Scan(&folded)
	}
	if err == nil && folded != stash.FoldName() {
		err = stash.Refuse(stash.CodeStorage,
			"Copy it to a folder where you may write, and give that copy with --stash FILE.",
			"%s was written by an older endsmeet, and is where it cannot be brought up to date.",
			s.path)
	}
	if err != nil {
		_ = s.db.Close()
	}
	return err
}

// Locked says whether the stash lies where nothing can be written.
func (s *Store) Locked() bool { return s.denied != nil }

// mayWrite refuses to record where nothing can be written.
func (s *Store) mayWrite() error {
	switch {
	case s.denied == nil:
		return nil
	case noRoom(s.denied):
		return storageError(s.path, s.denied)
	}
	return stash.Refuse(stash.CodeStorage,
		"Copy it to a folder where you may write, and give that copy with --stash FILE.",
		"%s can be read and not written; nothing was recorded.", s.path)
}
