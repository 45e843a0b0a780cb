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

func TestARealFullDiskSaysSo(t *testing.T) {
	folder := t.TempDir()
	if os.Geteuid() != 0 {
		outside.GoWithout(t, "only root can mount a file system")
	}
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size=1m"); err != nil {
		outside.GoWithout(t, "mount: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(folder, syscall.MNT_DETACH) })
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
