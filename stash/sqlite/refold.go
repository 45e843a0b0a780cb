package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// foldKey is where the file says which version of the fold made its views.
const foldKey = "fold"

// refold makes anew all that is derived from the events.
func (tx *Tx) refold() error {
	for _, table := range []string{"touch", "undo", "once", "import_row", "view"} {
		if _, err := tx.exec(`DELETE FROM ` + table); err != nil {
			return err
		}
	}
	tx.moved = true
	var n int
	if _, err := tx.one(`SELECT count(*) FROM event`, nil, &n); err != nil {
		return err
	}
	told := tx.store.anew(n)
	defer told(true)
	var last int64
	for {
		events, err := tx.eventsAfter(&last)
		if err != nil {
			return err
		}
		if len(events) == 0 {
			break
		}
		for _, e := range events {
			if err := tx.foldStored(e.n, e.Event); err != nil {
				return err
			}
			told(false)
		}
		if err := tx.spillMany(); err != nil {
			return err
		}
	}
	return tx.setMeta(foldKey, stash.FoldName())
}

// numbered is an event with its number in the file.
type numbered struct {
	n int64
	stash.Event
}

// eventsAfter reads the next events in the order in which they came.
func (tx *Tx) eventsAfter(last *int64) ([]numbered, error) {
	var events []numbered
	dates, err := tx.redates()
	if err != nil {
		return nil, err
	}
	err = tx.each(`SELECT e.n, `+eventColumns+` WHERE e.n > ? ORDER BY e.n LIMIT 1000`,
		[]any{*last}, func(rows *sql.Rows) error {
			var x numbered
			var err error
			x.Event, err = dates.scan(rows, &x.n)
			events = append(events, x)
			*last = x.n
			return err
		})
	return events, err
}
