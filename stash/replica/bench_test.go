package replica

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// The benchmarks run on a folder and real files. ENDSMEET_BENCH_EVENTS is how
// many events the stash holds, 100,000 where it is not set.

func benchEvents() int { return int(number("ENDSMEET_BENCH_EVENTS", 100_000)) }

// onDisk makes a machine whose stash lies on the disk and shares a folder.
func onDisk(b *testing.B, name, folder string) *machine {
	m := &machine{t: b, name: name, path: filepath.Join(b.TempDir(), "stash.db"), clock: newClock()}
	m.clock.at = time.Date(2040, 1, 1, 0, 0, 0, 0, time.UTC) // after all events
	m.place = exchange.Place{Remote: inFolder(b, folder, name), Address: "there", Folder: true}
	m.open()
	b.Cleanup(func() { _ = m.store.Close() })
	return m
}

// filled makes a machine with a vault in a folder and a stash of many events
// that it has not passed on.
func filled(b *testing.B, folder string, events int) *machine {
	m := onDisk(b, "filled", folder)
	m.setup()
	for _, run := range stashtest.BigRuns(2000, events) {
		_, err := stashtest.Accept(m.store, run)
		m.must(err)
	}
	m.act(func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			if err := tx.Publish(sqlite.Published{Lane: l.Name,
				Tip: &sqlite.End{Seq: l.Last, Chain: l.Chain}}); err != nil {
				return err
			}
		}
		return nil
	})
	return m
}

// least is how long the lines of all events of a machine are in one zstd
// frame, sealed by age: the least that could be sent.
func least(m *machine, after int) int {
	var lines []sqlite.RawEvent
	n := 0
	m.view(func(tx *sqlite.Tx) error {
		return tx.Events(false, func(e stash.Event) error {
			if n++; n > after {
				lines = append(lines, sqlite.RawEvent{Raw: e.Raw})
			}
			return nil
		})
	})
	signer, err := m.store.Signer(false)
	m.must(err)
	_, sealed, err := m.vaultOf().Seal(m.lane(), stash.Chain{}, lines, signer)
	m.must(err)
	return len(sealed) - 200 // its header
}

func tell(b *testing.B, r exchange.Report) {
	b.ReportMetric(float64(r.Up), "B-up")
	b.ReportMetric(float64(r.Down), "B-down")
	b.ReportMetric(float64(r.Requests()), "requests")
}

// BenchmarkFirstSync passes on all of a stash.
func BenchmarkFirstSync(b *testing.B) {
	for _, n := range []int{10_000, benchEvents()} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				m := filled(b, b.TempDir(), n)
				b.StartTimer()
				r := m.sync()
				b.StopTimer()
				tell(b, r)
				b.ReportMetric(float64(r.Up)/float64(least(m, 0)), "times-least")
				b.StartTimer()
			}
		})
	}
}

// BenchmarkTenNew passes on ten new events, and takes them in elsewhere.
func BenchmarkTenNew(b *testing.B) {
	folder := b.TempDir()
	a := filled(b, folder, benchEvents())
	a.sync()
	other := onDisk(b, "other", folder)
	other.join()
	other.sync()
	ten := func() {
		for i := range 10 {
			a.use("package00007", int64(1+i), time.Time{})
		}
	}
	b.Run("send", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			held := len(events(a))
			ten()
			b.StartTimer()
			r := a.sync()
			b.StopTimer()
			tell(b, r)
			b.ReportMetric(float64(least(a, held)), "B-least")
			b.StartTimer()
		}
	})
	b.Run("receive", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			ten()
			a.sync()
			b.StartTimer()
			tell(b, other.sync())
		}
	})
	b.Run("nothing", func(b *testing.B) {
		for b.Loop() {
			tell(b, other.sync())
		}
	})
}

// BenchmarkJoin is a new machine that takes in all there is, beside a bulk
// insert of the same rows into a table with the same key.
func BenchmarkJoin(b *testing.B) {
	folder := b.TempDir()
	a := filled(b, folder, benchEvents())
	a.sync()
	b.Run("join", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			m := onDisk(b, "newcomer", folder)
			b.StartTimer()
			m.join()
			tell(b, m.sync())
		}
	})
	b.Run("bulk insert", func(b *testing.B) {
		var rows []stash.Event
		a.view(func(tx *sqlite.Tx) error {
			return tx.Events(false, func(e stash.Event) error {
				rows = append(rows, e)
				return nil
			})
		})
		for b.Loop() {
			insertAll(b, rows)
		}
	})
}

// insertAll inserts events as rows, one prepared statement in one transaction,
// synchronous FULL.
func insertAll(b *testing.B, rows []stash.Event) {
	db, err := sql.Open("sqlite3",
		"file:"+filepath.Join(b.TempDir(),
			"rows.db")+"?_journal_mode=WAL&_synchronous=FULL&_cache_size=-65536")
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec(`CREATE TABLE event (n INTEGER PRIMARY KEY, lane TEXT, seq INTEGER, chain BLOB, at INTEGER, hlc INTEGER, kind TEXT, act TEXT, raw BLOB, UNIQUE (lane, seq, chain))`); err != nil {
		b.Fatal(err)
	}
	tx, err := db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	stmt, err := tx.Prepare(
		`INSERT INTO event (lane, seq, chain, at, hlc, kind, act, raw) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
	)
	if err != nil {
		b.Fatal(err)
	}
	for _, e := range rows {
		if _, err := stmt.Exec(string(e.Lane), e.Seq, e.Chain[:], e.At.UnixMilli(), int64(e.Clock),
			string(e.Kind), nil, e.Raw); err != nil {
			b.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkTwentyReplicas has nineteen machines pass on 500 events each, which
// the twentieth takes in.
func BenchmarkTwentyReplicas(b *testing.B) {
	folder := b.TempDir()
	reader := filled(b, folder, benchEvents())
	reader.sync()
	var others []*machine
	for i := range 19 {
		m := onDisk(b, fmt.Sprint("m", i), folder)
		m.copyOf(reader, false)
		others = append(others, m)
	}
	for b.Loop() {
		b.StopTimer()
		for _, m := range others {
			m.act(func(tx *sqlite.Tx) error {
				for i := range 500 {
					raw := stash.Fields{"name": []byte(fmt.Sprintf("\"Yarn %d\"", i))}
					if _, err := tx.Record(stash.Draft{Kind: stash.KindYarn, Of: tx.NewID(),
						Body: stash.Set{What: stash.WhatYarn, Fields: raw}}); err != nil {
						return err
					}
				}
				return nil
			})
			m.sync()
		}
		b.StartTimer()
		tell(b, reader.sync())
	}
}
