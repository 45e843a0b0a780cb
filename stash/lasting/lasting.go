// Package lasting brings files and the names in folders to the disk, as far as
// each system can.
package lasting

import (
	"errors"
	"os"
	"runtime"
	"syscall"
)

// File brings what a file holds to the disk.
func File(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0) // Windows flushes only what may be written
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Folder makes the names in a folder last.
func Folder(path string) error {
	return folderBy(func() (*os.File, error) {
		return os.Open(path)
	})
}

// FolderIn is Folder for one below a root.
func FolderIn(root *os.Root, path string) error {
	return folderBy(func() (*os.File, error) { return root.Open(path) })
}

// folderBy syncs a folder. Windows has no such call, and some network and
// user-space file systems refuse it: there a rename lasts as well as it gets.
func folderBy(open func() (*os.File, error)) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := open()
	if err != nil {
		return err
	}
	err = f.Sync()
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, errors.ErrUnsupported) {
		err = nil
	}
	return errors.Join(err, f.Close())
}
