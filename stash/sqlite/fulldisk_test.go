//go:build linux

package sqlite_test

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/outside"
	"endsmeet/stash/sqlite"
)

// smallDisk is a file system of its own with little room.
func smallDisk(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	if os.Geteuid() != 0 {
		outside.GoWithout(t, "only root can mount a file system")
	}
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size=1m"); err != nil {
		outside.GoWithout(t, "mount: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(folder, syscall.MNT_DETACH) })
	return folder
}

// TestAFullDiskIsReadAllTheSame: what is there can be looked at and copied away, and
// nothing can be recorded.
func TestAFullDiskIsReadAllTheSame(t *testing.T) {
	folder := smallDisk(t)
	path := filepath.Join(folder, "stash.db")
	if err := openAt(t, path, 1).Close(); err != nil {
		t.Fatal(err)
	}
	_ = os.WriteFile(filepath.Join(folder, "pad"), make([]byte, 1<<20), 0o600) // as much as goes
	s := openAt(t, path, 2)
	checked(t, s.Store)
	if _, err := s.Backup(ctx, filepath.Join(t.TempDir(), "copy.db"), true, func(int, int) {}); err != nil {
		t.Error("the stash cannot be copied to another disk:", err)
	}
	err := s.Act(ctx, func(*sqlite.Tx) error { return nil })
	refused(t, err, stash.CodeStorage, "is full")
	_, err = sqlite.Restore(ctx, path, filepath.Join(folder, "other.db"), sqlite.Options{})
	refused(t, err, stash.CodeStorage, "the disk of "+folder+" is full")
}

func TestARealFullDiskSaysSo(t *testing.T) {
	folder := smallDisk(t)
	path := filepath.Join(folder, "stash.db")
	s := openAt(t, path, 1)
	var err error
	done := 0
	for ; err == nil && done < 1000; done++ {
		err = s.Act(ctx, func(tx *sqlite.Tx) error {
			_, err := tx.Record(stash.Draft{Kind: stash.KindUse, Of: "x",
				Body: stash.Movement{Mass: g, Note: strings.Repeat("wool ", 400)}})
			return err
		})
	}
	refused(t, err, stash.CodeStorage, "is full")
	if err := s.Close(); err != nil {
		t.Logf("closing on a full disk: %v", err)
	}
	if err := syscall.Mount("tmpfs", folder, "tmpfs", syscall.MS_REMOUNT, "size=8m"); err != nil {
		t.Fatal(err)
	}
	again := openAt(t, path, 2)
	checked(t, again.Store)
	if n := events(t, again.Store); n != done-1 {
		t.Errorf("%d events, %d were recorded", n, done-1)
	}
}
