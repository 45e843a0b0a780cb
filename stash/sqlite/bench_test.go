package sqlite_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// BenchmarkAppend is one command of one event, on the disk when it returns.
func BenchmarkAppend(b *testing.B) {
	s := newStore(b)
	id := receive(b, s, 500*g)
	for b.Loop() {
		use(b, s, id, 1)
	}
}

// BenchmarkAccept takes in events of other replicas, ENDSMEET_BENCH_EVENTS of
// them (100,000 where not set) over 2,000 packages.
func BenchmarkAccept(b *testing.B) {
	n := 100_000
	if set := os.Getenv("ENDSMEET_BENCH_EVENTS"); set != "" {
		n, _ = strconv.Atoi(set)
	}
	runs := stashtest.BigRuns(2000, n)
	i := 0
	for b.Loop() {
		i++
		s := openAt(b, filepath.Join(b.TempDir(), fmt.Sprint(i, ".db")), 1)
		for _, run := range runs {
			if _, err := stashtest.Accept(s.Store, run); err != nil {
				b.Fatal(err)
			}
		}
		_ = s.Close()
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "events/s")
}

// BenchmarkRefold folds a package of 500 events from nothing, after one of
// long ago came in.
func BenchmarkRefold(b *testing.B) {
	s := newStore(b)
	for _, run := range stashtest.BigRuns(1, 501) {
		if _, err := stashtest.Accept(s.Store, run); err != nil {
			b.Fatal(err)
		}
	}
	p := packageOf(b, s, "package00000")
	late := stash.Draft{Kind: stash.KindUse, Of: stash.Subject(p.ID), At: p.Arrived,
		Body: stash.Movement{Mass: 1}}
	for b.Loop() {
		err := s.Rehearse(ctx, func(tx *sqlite.Tx) error {
			_, err := tx.Record(late)
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}
