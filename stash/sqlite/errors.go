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
	hint, words := causeOf(errnoOf(err))
	switch {
	case words != "":
		return refuse(stash.CodeStorage, hint, words)
	case errors.As(err, &path), errors.As(err, &link):
		return refuse(stash.CodeStorage, "check the path, or give another with --stash FILE",
			"%s cannot be opened or written")
	}
	return err
}

const (
	fullHint  = "make room and repeat the command; nothing of it was recorded"
	failsHint = "copy the file and its key to another disk while it can be read, or restore a backup there"
)

// causeOf says what an error of the operating system means for a stash, with the
// remedy; nothing where the error of SQLite says more.
func causeOf(no syscall.Errno) (hint, words string) {
	switch no {
	case syscall.ENOSPC:
		return fullHint, "the disk of %s is full"
	case syscall.EDQUOT:
		return fullHint, "your share of the disk of %s is used up"
	case syscall.EFBIG:
		return "raise the limit (ulimit -f) or move the stash to a disk that takes larger files; nothing was recorded", "%s may not grow: the system limits the size of a file"
	case syscall.EACCES, syscall.EPERM:
		return "check who owns the file and its folder, or give another with --stash FILE",
			"%s may not be read and written, or not be locked"
	case syscall.EROFS:
		return "copy it to a folder where you may write", "%s is on a disk that cannot be written"
	case syscall.EIO:
		return failsHint, "the disk of %s fails"
	}
	return "", ""
}

// errnoOf is the error of the operating system in an error, zero where there is none.
func errnoOf(err error) (no syscall.Errno) {
	errors.As(err, &no)
	return no
}

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
	if hint, words := causeOf(s.SystemErrno); words != "" {
		return refuse(stash.CodeStorage, hint, words)
	}
	switch s.Code {
	case sqlite3.ErrNotADB:
		return refuse(stash.CodeNotOurs, "give the right one with --stash FILE; it was not changed",
			"%s is not a stash")
	case sqlite3.ErrFull:
		return refuse(stash.CodeStorage, fullHint, "the disk of %s is full")
	case sqlite3.ErrBusy, sqlite3.ErrLocked:
		return refuse(stash.CodeStorage,
			"wait for the other endsmeet to end and repeat; nothing was recorded",
			"%s is locked by another program")
	case sqlite3.ErrReadonly, sqlite3.ErrCantOpen, sqlite3.ErrPerm:
		return refuse(stash.CodeStorage,
			"check the file and its folder, or give another with --stash FILE",
			"%s cannot be opened for writing")
	case sqlite3.ErrCorrupt:
		return refuse(stash.CodeDamaged, "keep the file, and restore a backup next to it",
			"%s is damaged")
	case sqlite3.ErrIoErr:
		return refuse(stash.CodeStorage, failsHint, "the disk of %s fails")
	}
	return err
}
