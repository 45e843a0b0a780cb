package replica

import (
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash/remote/remotetest"
)

// A machine whose log was lost before it was written back has the file of an earlier
// moment beside its keys: whatever moment that is, all that had reached the shared place
// comes back with the next exchange, and what it records from then on reaches the others.
func TestAMachineThatLostItsLogGetsBackWhatWasInThePlace(t *testing.T) {
	moments := []string{"before it joined", "joined", "in the middle", "before its last exchange"}
	for at, moment := range moments {
		t.Run(moment, func(t *testing.T) {
			place := remotetest.NewMemory()
			machines := several(t, 2, place)
			b, c := machines[0], machines[1]
			a := newMachine(t, "a", place)
			a.yarn("known before all")
			file := filepath.Join(t.TempDir(), "stash.db")
			for i, step := range []func(){a.join, func() { a.sync() }, func() {
				a.yarn("one")
				a.sync()
				b.sync()
			}, func() {
				a.yarn("two")
				a.sync()
			}} {
				a.open() // which writes the log back
				if i == at {
					copyFile(t, a.path, file)
				}
				step()
			}
			b.sync()
			there := events(b)
			a.yarn("never passed on, and lost with the log")
			_ = a.store.Close()
			copyFile(t, file, a.path)
			_ = os.Remove(a.path + "-wal")
			_ = os.Remove(a.path + "-shm")
			a.open()
			if at == 0 { // it does not know that it takes part
				a.join()
			}
			a.yarn("after the loss")
			for range 2 {
				for _, m := range []*machine{a, b, c} {
					m.sync()
				}
			}
			same(t, a, b, c)
			held := events(a)
			for id := range there {
				if !held[id] {
					t.Errorf("event %s was in the place and is lost", id)
				}
			}
			if len(held) != len(there)+1 {
				t.Errorf("%d events, %d were there, and one came after", len(held), len(there))
			}
		})
	}
}
