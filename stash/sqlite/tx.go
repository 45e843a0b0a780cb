package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"time"

	"endsmeet/stash"
)

// Tx is one transaction on a stash: what it reads is one moment, what it
// records is one act. It must not be kept after its function returns.
type Tx struct {
	ctx   context.Context
	store *Store
	conn  *sql.Conn
	now   time.Time
	stmts map[string]*sql.Stmt

	act    stash.Act
	deed   Deed
	clock  stash.Clock
	lanes  map[bool]*ownTip
	views  map[int64]*entry
	ids    map[stash.Subject]int64
	all    bool // ids has every subject that the file has
	undone *undoTable
	dates  *redates
	moved  bool                       // whether anything was recorded
	broken error                      // why nothing of this may be committed
	drawn  map[stash.Subject]struct{} // ids that were drawn here and name nothing yet
	held   held
}

func newTx(ctx context.Context, s *Store, conn *sql.Conn) *Tx {
	return &Tx{
		ctx: ctx, store: s, conn: conn, now: s.now().Truncate(time.Millisecond),
		stmts: map[string]*sql.Stmt{},
		lanes: map[bool]*ownTip{}, views: map[int64]*entry{}, ids: map[stash.Subject]int64{},
		drawn: map[stash.Subject]struct{}{}, held: newHeld(),
	}
}

// Now is the wall time of the transaction.
func (tx *Tx) Now() time.Time { return tx.now }

// NewID draws an id for a new subject.
func (tx *Tx) NewID() stash.Subject {
	id := tx.store.ids.Subject()
	tx.drawn[id] = struct{}{}
	return id
}

// fail keeps the first error after which the transaction is not whole any
// more, so that it is not committed even if a caller passes over it. No error
// is none.
func (tx *Tx) fail(err error) error {
	if tx.broken == nil && err != nil {
		tx.broken = err
	}
	return err
}

func (tx *Tx) fault(p Point) { tx.store.fault(p) }

func (tx *Tx) close() {
	for _, s := range tx.stmts {
		_ = s.Close()
	}
}

// stmt prepares a statement once for the transaction.
func (tx *Tx) stmt(query string) (*sql.Stmt, error) {
	if s, ok := tx.stmts[query]; ok {
		return s, nil
	}
	s, err := tx.conn.PrepareContext(tx.ctx, query)
	if err == nil {
		tx.stmts[query] = s
	}
	return s, err
}

// exec runs a statement that writes. After one that failed no other is run:
// SQLite may have rolled back already (full disk), and what followed would
// stand alone.
func (tx *Tx) exec(query string, args ...any) (sql.Result, error) {
	if err := tx.insertHeld(); err != nil {
		return nil, err
	}
	return tx.execNow(query, args...)
}

// execNow is exec before what is held back.
func (tx *Tx) execNow(query string, args ...any) (sql.Result, error) {
	if tx.broken != nil {
		return nil, tx.broken
	}
	s, err := tx.stmt(query)
	if err != nil {
		return nil, tx.fail(err)
	}
	// A single statement is short, and cheaper if it need not be broken off.
	r, err := s.ExecContext(context.WithoutCancel(tx.ctx), args...)
	return r, tx.fail(err)
}

func (tx *Tx) insert(query string, args ...any) (int64, error) {
	r, err := tx.exec(query, args...)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

// one reads one row; found is false where there is none.
func (tx *Tx) one(query string, args []any, into ...any) (found bool, err error) {
	if err := tx.insertHeld(); err != nil {
		return false, err
	}
	return tx.oneNow(query, args, into...)
}

// oneOfLog is one for a query of lanes and events alone.
func (tx *Tx) oneOfLog(query string, args []any, into ...any) (found bool, err error) {
	if err := tx.insertAll(&tx.held.events); err != nil {
		return false, err
	}
	return tx.oneNow(query, args, into...)
}

// oneNow is one before what is held back, for a query that nothing held can answer.
func (tx *Tx) oneNow(query string, args []any, into ...any) (found bool, err error) {
	s, err := tx.stmt(query)
	if err != nil {
		return false, err
	}
	err = s.QueryRowContext(context.WithoutCancel(tx.ctx), args...).Scan(into...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

// each reads all rows of a query, one call of scan for each.
func (tx *Tx) each(query string, args []any, scan func(*sql.Rows) error) error {
	if err := tx.insertHeld(); err != nil {
		return err
	}
	s, err := tx.stmt(query)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(tx.ctx, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// meta reads a single value; absent is the empty string.
func (tx *Tx) meta(key string) (string, error) {
	var value string
	_, err := tx.one(`SELECT value FROM meta WHERE key = ?`, []any{key}, &value)
	return value, err
}

func (tx *Tx) setMeta(key, value string) error {
	_, err := tx.exec(`INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value`, key, value)
	return err
}

// lastClock is the clock of the last event that this replica wrote or saw.
func (tx *Tx) lastClock() (stash.Clock, error) {
	if tx.clock != 0 {
		return tx.clock, nil
	}
	text, err := tx.meta("clock")
	if err != nil || text == "" {
		return 0, err
	}
	n, err := strconv.ParseInt(text, 10, 64)
	tx.clock = stash.Clock(n)
	return tx.clock, err
}
