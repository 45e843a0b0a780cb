package sqlite_test

import (
	"context"
	"database/sql"
	"strings"
	"testing"

	"endsmeet/stash/sqlite"
)

// connections takes every connection that the pool will give.
func connections(t *testing.T, s *sqlite.Store) []*sql.Conn {
	t.Helper()
	limit := s.Pool().Stats().MaxOpenConnections
	if limit < 2 {
		t.Fatalf("the pool is limited to %d connections", limit)
	}
	var conns []*sql.Conn
	for range limit {
		c, err := s.Pool().Conn(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = c.Close() })
		conns = append(conns, c)
	}
	return conns
}

func TestEventsAreOnlyAppended(t *testing.T) {
	s := newStore(t)
	id := receive(t, s, 100*g)
	use(t, s, id, g)
	before := events(t, s.Store)
	columns := `(n, lane, seq, chain, at, hlc, kind, raw)`
	same := `SELECT n, lane, seq, chain, at, hlc, 'use', x'7b7d' FROM event WHERE n = 1`
	statements := map[string]string{
		"update":               `UPDATE event SET raw = x'7b7d'`,
		"update of the row id": `UPDATE event SET n = n + 10`,
		"delete":               `DELETE FROM event`,
		"insert or replace":    `INSERT OR REPLACE INTO event ` + columns + ` ` + same,
		"replace":              `REPLACE INTO event ` + columns + ` ` + same,
		"replace on row id alone": `REPLACE INTO event ` + columns +
			` SELECT 1, lane, seq + 10, chain, at, hlc, kind, raw FROM event WHERE n = 2`,
		"replace on the place alone": `REPLACE INTO event ` + columns +
			` SELECT n + 100, lane, seq, chain, at, hlc, kind, x'7b7d' FROM event WHERE n = 2`,
		"update or replace": `UPDATE OR REPLACE event SET n = 1 WHERE n = 2`,
		"upsert": `INSERT INTO event ` + columns + ` ` + same +
			` ON CONFLICT (n) DO UPDATE SET raw = excluded.raw`,
		"upsert on the place": `INSERT INTO event ` + columns +
			` SELECT n + 100, lane, seq, chain, at, hlc, kind, x'7b7d' FROM event WHERE n = 1 ON CONFLICT DO UPDATE SET raw = excluded.raw`,
		"plain insert in its place": `INSERT INTO event ` + columns + ` ` + same,
		"an event of a lane not known": `INSERT INTO event ` + columns +
			` SELECT n + 100, 99, seq, chain, at, hlc, kind, raw FROM event WHERE n = 1`,
		"a lane that has events": `DELETE FROM lane`,
	}
	for i, c := range connections(t, s.Store) {
		for name, q := range statements {
			if _, err := c.ExecContext(ctx, q); err == nil {
				t.Errorf("connection %d: %s was not refused", i, name)
			} else if !strings.Contains(err.Error(), "events are never") &&
				!strings.Contains(err.Error(), "constraint failed") {
				t.Errorf("connection %d: %s: %v", i, name, err)
			}
		}
		_ = c.Close()
	}
	if events(t, s.Store) != before {
		t.Errorf("%d events, were %d", events(t, s.Store), before)
	}
	checked(t, s.Store)
}

func TestEveryConnectionHasItsPragmas(t *testing.T) {
	s := newStore(t)
	for i, c := range connections(t, s.Store) {
		for pragma, want := range map[string]string{
			"foreign_keys": "1", "recursive_triggers": "1", "synchronous": "2",
			"journal_mode": "wal", "busy_timeout": "15000", "cache_size": "-16384",
		} {
			var got string
			if err := c.QueryRowContext(ctx, "PRAGMA "+pragma).Scan(&got); err != nil ||
				got != want {
				t.Errorf("connection %d: %s is %q, want %q (%v)", i, pragma, got, want, err)
			}
		}
	}
}
