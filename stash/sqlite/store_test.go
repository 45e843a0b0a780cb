package sqlite

import (
	"context"
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// testStore opens a new stash in a folder of the test's own, with a clock
// that moves a minute for each transaction and counted ids.
func testStore(t testing.TB) *Store {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "stash.db"), 1)
}

func openAt(t testing.TB, path string, seed uint64) *Store {
	t.Helper()
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	s, err := Open(context.Background(), path, Options{
		Now:     func() time.Time { now = now.Add(time.Minute); return now },
		IDs:     stash.CountingIDs(seed * 1_000_000),
		Machine: "test",
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func act(t testing.TB, s *Store, do func(*Tx) error) {
	t.Helper()
	if err := s.Act(context.Background(), do); err != nil {
		t.Fatal(err)
	}
}

func checked(t testing.TB, s *Store) Report {
	t.Helper()
	var r Report
	err := s.View(context.Background(), func(tx *Tx) (err error) { r, err = tx.Check(); return err })
	if err != nil {
		t.Fatal(err)
	}
	if !r.OK() {
		t.Fatalf("check: %+v", r.Findings)
	}
	return r
}

func receive(t testing.TB, s *Store, yarn stash.YarnID, gross, tare measure.Mass) stash.PackageID {
	t.Helper()
	var id stash.PackageID
	act(t, s, func(tx *Tx) error {
		id = stash.PackageID(tx.NewID())
		fields := stash.Fields{"yarn": jsonOf(yarn), "form": jsonOf("cone"), "tare": jsonOf(stash.Tare{Mass: tare, Source: stash.TareWeighed})}
		_, err := tx.Record(stash.Draft{Kind: stash.KindReceive, Of: stash.Subject(id), Body: stash.Receive{Fields: fields, Reading: stash.Reading{Gross: &gross}}})
		return err
	})
	return id
}

func TestRecord(t *testing.T) {
	s := testStore(t)
	id := receive(t, s, "yarn", 412*measure.Gram, 25*measure.Gram)
	act(t, s, func(tx *Tx) error {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		d, err := p.Use(stash.Move{Mass: 100 * measure.Gram, At: tx.Now()})
		if err != nil {
			return err
		}
		_, err = tx.Record(d)
		return err
	})
	r := checked(t, s)
	if r.Held != 287*measure.Gram || r.Used != 100*measure.Gram || r.Received != 387*measure.Gram {
		t.Errorf("held %v used %v received %v", r.Held, r.Used, r.Received)
	}
}

func jsonOf(v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return raw
}
