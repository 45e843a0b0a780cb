package sqlite

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"github.com/mattn/go-sqlite3"

	"endsmeet/stash"
)

// fileError turns what the file system says into a refusal.
func fileError(err error, refuse func(code stash.Code, hint, format string) error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return refuse(stash.CodeStorage, "check who owns it, or give another with --stash FILE", "%s may not be read and written")
	case errors.Is(err, syscall.ENOSPC):
		return refuse(stash.CodeStorage, fullHint, "the disk of %s is full")
	case errors.As(err, &path), errors.As(err, &link):
		return refuse(stash.CodeStorage, "check the path, or give another with --stash FILE", "%s cannot be opened or written")
	}
	return err
}

const fullHint = "make room and repeat the command; nothing of it was recorded"

// storageError turns what SQLite or the file system says into a refusal that
// names the file and the remedy. Other errors pass unchanged.
func storageError(path string, err error) error {
	var refusal *stash.Error
	if err == nil || errors.As(err, &refusal) {
		return err
	}
	refuse := func(code stash.Code, hint, format string) error {
		e := stash.Refuse(code, hint, format, path)
		e.Cause = err
		return e
	}
	var s sqlite3.Error
	if !errors.As(err, &s) {
		return fileError(err, refuse)
	}
	if s.SystemErrno == syscall.ENOSPC {
		return refuse(stash.CodeStorage, fullHint, "the disk of %s is full")
	}
	switch s.Code {
	case sqlite3.ErrNotADB:
		return refuse(stash.CodeNotOurs, "give the right one with --stash FILE; it was not changed", "%s is not a stash")
	case sqlite3.ErrFull:
		return refuse(stash.CodeStorage, fullHint, "the disk of %s is full")
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return refuse(stash.CodeStorage, "wait for the other endsmeet to end and repeat; nothing was recorded", "%s is locked by another program")
	case sqlite3.ErrReadonly, sqlite3.ErrCantOpen, sqlite3.ErrPerm:
		return refuse(stash.CodeStorage, "check the file and its folder, or give another with --stash FILE", "%s cannot be opened for writing")
	case sqlite3.ErrCorrupt, sqlite3.ErrIoErr:
		return refuse(stash.CodeStorage, "keep the file, and restore a backup beside it", "%s is damaged or its disk fails")
	}
	return err
}
