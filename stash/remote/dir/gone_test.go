package dir_test

import (
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash/outside"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
)

// wantAll calls every method and wants the same kind of error from each.
func wantAll(t *testing.T, r remote.Remote, want remote.Kind) {
	t.Helper()
	_, getErr := r.Get(t.Context(), "head/a")
	_, listErr := r.List(t.Context(), "head/", "")
	for op, err := range map[string]error{
		"get": getErr, "list": listErr,
		"put": r.Put(t.Context(), "head/a", []byte("x")), "delete": r.Delete(t.Context(), "head/a"),
	} {
		if remote.KindOf(err) != want || remotetest.HintOf(err) == "" {
			t.Errorf("%s: %v, hint %q; want %q and a hint", op, err, remotetest.HintOf(err), want)
		}
	}
}

func TestMissingFolderIsNeverMade(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "stick")
	d := open(t, dir.Options{Path: folder})
	wantAll(t, d, remote.NoPlace)
	if _, err := os.Lstat(folder); !os.IsNotExist(err) {
		t.Fatalf("the folder was made: %v", err)
	}
	plant(t, folder, "head/a", []byte("x"))
	if _, err := d.Get(t.Context(), "head/a"); err != nil {
		t.Fatalf("plugged in, it works: %v", err)
	}
}

func TestFileInPlaceOfTheFolderIsNoPlace(t *testing.T) {
	file := filepath.Join(t.TempDir(), "stick")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	wantAll(t, open(t, dir.Options{Path: file}), remote.NoPlace)
}

// TestPulledOutInTheMiddle replaces the folder by an empty one of the same
// name, as a mount point is under a stick.
func TestPulledOutInTheMiddle(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "stick")
	plant(t, folder, "format.json", []byte("{}"))
	d := open(t, dir.Options{Path: folder})
	if _, err := d.Get(t.Context(), "format.json"); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(folder, folder+"-pulled"); err != nil {
		t.Fatal(err)
	}
	wantAll(t, d, remote.NoPlace)
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	wantAll(t, d, remote.NoPlace)
	if entries, err := os.ReadDir(folder); err != nil || len(entries) != 0 {
		t.Fatalf("something was written beside the stick: %v %v", entries, err)
	}
}

func TestSymbolicLinksLeadNowhere(t *testing.T) {
	beyond, folder := t.TempDir(), t.TempDir()
	plant(t, beyond, "secret", []byte("x"))
	for link, to := range map[string]string{"seg": beyond,
		"head": filepath.Join(beyond, "secret")} {
		if err := os.Symlink(to, filepath.Join(folder, link)); err != nil {
			outside.GoWithout(t, "no symbolic links here: %v", err)
		}
	}
	d := open(t, dir.Options{Path: folder})
	found, err := d.List(t.Context(), "", "")
	if err != nil || len(found.Names) != 0 || found.Ignored != 2 {
		t.Fatalf("%+v, %v", found, err)
	}
	if _, err := d.Get(t.Context(), "seg/secret"); err == nil {
		t.Fatal("read through a link out of the folder")
	}
	if err := d.Put(t.Context(), "seg/new", nil); err == nil {
		t.Fatal("wrote through a link out of the folder")
	}
	if entries, err := os.ReadDir(beyond); err != nil || len(entries) != 1 {
		t.Fatalf("%v %v", entries, err)
	}
}

func TestDirectoryRemovedInTheMiddleIsMadeAgain(t *testing.T) {
	folder := t.TempDir()
	d := open(t, dir.Options{Path: folder, Owner: "me"})
	for range 2 {
		if err := d.Put(t.Context(), "seg/lane/1.seg", nil); err != nil {
			t.Fatal(err)
		}
		if err := os.RemoveAll(filepath.Join(folder, "seg")); err != nil {
			t.Fatal(err)
		}
	}
}

func TestFolderWithTheNameOfAnObjectIsTold(t *testing.T) {
	folder := t.TempDir()
	plant(t, folder, "seg/lane/1.seg", nil)
	err := open(t, dir.Options{Path: folder}).Put(t.Context(), "seg/lane", nil)
	if remote.KindOf(err) != remote.Refused {
		t.Fatal(err)
	}
}

func TestOwnerMustBeLettersAndDigits(t *testing.T) {
	for _, owner := range []string{"a-b", "../x", "A", "a b", "a/b", "a.b"} {
		if _, err := dir.New(dir.Options{Path: "x",
			Owner: owner}); remote.KindOf(err) != remote.Invalid {
			t.Errorf("owner %q: %v", owner, err)
		}
	}
}

func TestClosedFolderOpensAgain(t *testing.T) {
	d := open(t, dir.Options{Path: t.TempDir()})
	for range 2 {
		if err := d.Put(t.Context(), "head/a", nil); err != nil {
			t.Fatal(err)
		}
		if err := d.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

func TestHoldsFollowsLinksAndKnowsNeighbours(t *testing.T) {
	top := t.TempDir()
	plant(t, top, "shared/sub/x", nil)
	plant(t, top, "shared-not/x", nil)
	if err := os.Symlink(filepath.Join(top, "shared"), filepath.Join(top, "link")); err != nil {
		outside.GoWithout(t, "no symbolic links here: %v", err)
	}
	for file, want := range map[string]bool{
		"shared/stash.db": true, "shared/sub/stash.db": true, "shared/sub/x": true,
		"link/sub/stash.db": true, "shared": true,
		"shared-not/stash.db": false, "stash.db": false, "shared/../stash.db": false,
	} {
		for _, folder := range []string{"shared", "link"} {
			got, err := dir.Holds(filepath.Join(top, folder), filepath.Join(top, file))
			if err != nil || got != want {
				t.Errorf("%s holds %s: %v, %v; want %v", folder, file, got, err, want)
			}
		}
	}
	if _, err := dir.Holds(filepath.Join(top, "missing"), top); err == nil {
		t.Error("a missing folder holds nothing, and that is an error")
	}
}
