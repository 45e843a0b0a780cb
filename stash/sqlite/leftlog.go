package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"os"

	"github.com/mattn/go-sqlite3"

	"endsmeet/stash"
)

// checkLog looks through a stash that was not closed, or that others have open, before
// it is opened for writing: a log of another moment than the file, as after one of the
// two was put back or came from another machine, is laid over it without a question, and
// written into it at the end. Read only, so that both files stay what they were.
func (s *Store) checkLog(ctx context.Context) error {
	log, err := os.Stat(s.path + "-wal")
	if err != nil || log.Size() == 0 {
		return nil
	}
	reader := *s
	if reader.db, err = s.connect("ro", nil); err != nil {
		return err
	}
	defer reader.db.Close()
	_, noShared := os.Stat(s.path + "-shm") // before this one makes it
	// where nobody has it open there is time
	r, err := reader.looksThrough(ctx, noShared != nil)
	var damage sqlite3.Error
	switch {
	case err == nil && r.OK():
		return nil
	case err == nil, errors.As(err, &damage) && damage.Code == sqlite3.ErrCorrupt:
		return stash.Refuse(stash.CodeDamaged,
			"Put back both files from one moment, or move both away and restore a backup (endsmeet help restore). Neither was changed.",
			"%s and the log next to it, %s-wal, do not belong together, or one of them is damaged.",
			s.path, s.path)
	case unwritable(err):
		return nil // which is said when it is opened
	}
	return err
}

// looksThrough checks what can be checked of a stash that may be of an older version, of
// which neither the tables nor the views are known; with views where there is time.
func (s *Store) looksThrough(ctx context.Context, views bool) (r Report, err error) {
	err = s.View(ctx, func(tx *Tx) error {
		version, err := schema(ctx, s.db, s.path)
		if err != nil || version == 0 {
			return err
		}
		parts := []func(*Report) error{tx.checkFile, tx.checkReferences}
		var folded string
		if version == schemaVersion {
			parts = append(parts, tx.checkEnds)
			err = s.db.QueryRowContext(ctx, `SELECT value FROM meta WHERE key = ?`,
				foldKey).Scan(&folded)
		}
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return err
		}
		if views && folded == stash.FoldName() {
			parts = append(parts, func(r *Report) error {
				_, err := tx.checkFolds(r)
				return err
			})
		}
		r, err = tx.check(parts...)
		return err
	})
	return r, err
}
