package sqlite

import (
	"path/filepath"
	"testing"

	"endsmeet/stash"
)

func TestAMachineWithoutAnIDOfItsSystemKeepsARandomOneBesideTheKey(t *testing.T) {
	system := systemID
	systemID = filepath.Join(t.TempDir(), "none")
	defer func() { systemID = system }()
	dir := t.TempDir()
	id := func(path string) string {
		s := &Store{path: path, ids: stash.RandomIDs()}
		if err := s.nameMachine(); err != nil {
			t.Fatal(err)
		}
		return s.machine
	}
	first := id(filepath.Join(dir, "stash.db"))
	if again := id(filepath.Join(dir, "stash.db")); len(first) < 20 || again != first {
		t.Errorf("drawn anew: %q, then %q", first, again)
	}
	if other := id(filepath.Join(dir, "other.db")); other == first {
		t.Error("two machines have one id")
	}
}
