//go:build unix

package sqlite_test

import (
	"io/fs"
	"path/filepath"
	"syscall"
	"testing"
)

func TestOnlyTheOwnerCanReadWhatIsMade(t *testing.T) {
	old := syscall.Umask(0) // the laxest
	defer syscall.Umask(old)
	folder := filepath.Join(t.TempDir(), "new", "deeper")
	s := openAt(t, filepath.Join(folder, "stash.db"), 1)
	receive(t, s, g)
	seen := 0
	err := filepath.WalkDir(filepath.Dir(folder),
		func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			seen++
			info, err := d.Info()
			if err == nil && info.Mode().Perm()&0o077 != 0 {
				t.Errorf("%s may be used by others: %v", path, info.Mode())
			}
			return err
		})
	if err != nil || seen < 2+4 { // folders; database, log, index of the log, key
		t.Errorf("%v, %d files", err, seen)
	}
}
