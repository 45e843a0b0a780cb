package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"endsmeet/stash"
)

// Restored says what came of restoring a backup.
type Restored struct {
	Events int
	// Keys is where the keys of a stash that was at the path before were moved;
	// empty where there were none.
	Keys string
}

// Restore makes a stash at path out of a backup, which is only read. Nothing
// may be at path. The copy is brought up to date and its structure checked (the file,
// every event against its hash) before it gets its name; that what was made of the
// events is right is left to Check. It goes on under new lanes: keys that lie beside the path belong to the
// stash that was there before, and are moved away.
func Restore(ctx context.Context, backup, path string, o Options) (Restored, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return Restored{}, err
	}
	if err := free(path); err != nil {
		return Restored{}, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return Restored{}, storageError(path, err)
	}
	temp, err := tempBeside(path)
	if err != nil {
		return Restored{}, err
	}
	defer removeAll(temp)
	var r Restored
	if r.Events, err = fetch(ctx, backup, temp, o); err != nil {
		return r, err
	}
	if err := checkWhole(ctx, backup, temp, o); err != nil {
		return r, err
	}
	if r.Keys, err = moveKeys(path); err != nil {
		return r, storageError(path, err)
	}
	return r, nameFinished(temp, path)
}

// free refuses a path where a stash is, or was and left what it had not yet
// written back.
func free(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return stash.Refuse(stash.CodeRefused,
			"move it away first, or name another with --stash FILE", "there is a stash %s already",
			path)
	}
	for _, tail := range []string{"-wal", "-journal"} {
		if _, err := os.Lstat(path + tail); err == nil {
			return stash.Refuse(stash.CodeRefused,
				"move it away: it belongs to a stash that was here", "there is a file %s",
				path+tail)
		}
	}
	return nil
}

// fetch copies a backup into an empty file.
func fetch(ctx context.Context, backup, to string, o Options) (int, error) {
	info, err := os.Stat(backup)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return 0, stash.Refuse(stash.CodeUnknown, "check its name and folder",
			"there is no backup %s", backup)
	case err != nil:
		return 0, storageError(backup, err)
	case !info.Mode().IsRegular() || info.Size() == 0:
		return 0, stash.Refuse(stash.CodeNotOurs, "name the file that `endsmeet backup` wrote",
			"%s is no backup of a stash", backup)
	}
	full, err := filepath.Abs(backup)
	if err != nil {
		return 0, err
	}
	from := &Store{path: full, busy: o.Busy}
	from.fillIn()
	if _, err := from.recognise(ctx); err != nil {
		return 0, storageError(backup, err)
	}
	if from.db, err = from.connect("ro", nil); err != nil {
		return 0, err
	}
	defer from.db.Close()
	n, err := from.copyTo(ctx, to, true, func(int, int) {})
	if noRoom(err) {
		return n, storageError(filepath.Dir(to), err)
	}
	return n, storageError(backup, err)
}

// checkWhole opens the copy, which SQLite has looked through, brings it up to date, and
// checks that every event is what was written.
func checkWhole(ctx context.Context, backup, path string, o Options) error {
	s, err := Open(ctx, path, o)
	if err != nil {
		return storageError(backup, err)
	}
	var report Report
	err = s.View(ctx, func(tx *Tx) error {
		report, err = tx.checkStructure()
		return err
	})
	if err = errors.Join(err, s.Close()); err != nil {
		return storageError(backup, err)
	}
	for _, f := range report.Findings {
		if f.Fault {
			return stash.Refuse(stash.CodeStorage, "take an older backup; nothing was restored",
				"the backup %s is not whole: %s", backup, f.Message)
		}
	}
	return nil
}

// moveKeys moves the key file beside a path away, under a name that is free.
func moveKeys(path string) (string, error) {
	keys := (&Store{path: path}).KeyPath()
	if _, err := os.Lstat(keys); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	for n := 1; ; n++ {
		to := fmt.Sprintf("%s.old-%d", keys, n)
		if _, err := os.Lstat(to); errors.Is(err, fs.ErrNotExist) {
			return to, os.Rename(keys, to)
		}
	}
}
