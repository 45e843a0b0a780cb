package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/aside"
)

// wholeFolder fills a folder that is new or empty, whole or not at all: write
// is given a folder inside it, whose files are moved up when all are there. What
// it made is taken away again where write fails.
func wholeFolder(folder string, write func(dir string) error) error {
	_, err := os.Lstat(folder)
	made := errors.Is(err, fs.ErrNotExist)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return show.Unwritable(folder, err)
	}
	err = fillFolder(folder, write)
	if err != nil && made {
		_ = os.Remove(folder) // only where it is empty
	}
	return err
}

func fillFolder(folder string, write func(dir string) error) error {
	dir, err := aside.Folder(folder)
	if err != nil {
		return show.Unwritable(folder, err)
	}
	defer os.RemoveAll(dir) //nolint:errcheck // empty once its files have moved
	if err := write(dir); err != nil {
		var refusal *stash.Error
		if errors.As(err, &refusal) { // the folder is blamed that the user named
			refusal.Problem = strings.ReplaceAll(refusal.Problem, stash.Clean(dir),
				stash.Clean(folder))
		}
		return err
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		return show.Unwritable(folder, err)
	}
	for _, f := range files {
		if err := os.Rename(filepath.Join(dir, f.Name()),
			filepath.Join(folder, f.Name())); err != nil {
			return show.Unwritable(folder, err)
		}
	}
	return nil
}
