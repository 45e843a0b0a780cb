package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/aside"
	"endsmeet/stash/lasting"
)

// newFile refuses a path that is there already, unless it may be written over.
func newFile(path string, force bool) error {
	info, err := os.Lstat(path)
	switch {
	case err == nil && info.IsDir():
		return stash.Refuse(stash.CodeRefused, "name a file in it", "%s is a folder",
			stash.Clean(path))
	case err == nil && !force:
		return thereAlready(path)
	case err == nil || errors.Is(err, fs.ErrNotExist):
		return nil
	}
	return err
}

func thereAlready(path string) error {
	return stash.Refuse(stash.CodeRefused, "name another file, or give --force",
		"%s is there already", stash.Clean(path))
}

// writeNew writes a file whole or not at all: under another name first, made
// lasting, then named. Without force it never writes over a file, even one
// that appears meanwhile. Only its owner can read it.
func writeNew(path string, data []byte, force bool) error {
	err := writeWhole(path, data, force)
	var refusal *stash.Error
	if err == nil || errors.As(err, &refusal) {
		return err
	}
	return show.Unwritable(path, err)
}

func writeWhole(path string, data []byte, force bool) error {
	tmp, err := writeAside(path, data)
	if err != nil {
		return err
	}
	defer os.Remove(tmp)
	if err := linkName(tmp, path, force); err != nil {
		return err
	}
	return lasting.Folder(filepath.Dir(path))
}

// writeAside writes the data into a new file beside the path.
func writeAside(path string, data []byte) (string, error) {
	f, err := aside.File(filepath.Dir(path))
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		_ = os.Remove(f.Name())
	}
	return f.Name(), err
}

// linkName gives the file its name. A link fails where the name is taken; a
// file system without links is asked first.
func linkName(tmp, path string, force bool) error {
	if force {
		return os.Rename(tmp, path)
	}
	err := os.Link(tmp, path)
	if errors.Is(err, fs.ErrExist) {
		return thereAlready(path)
	}
	if err == nil {
		return nil
	}
	if err := newFile(path, false); err != nil {
		return err
	}
	return os.Rename(tmp, path)
}
