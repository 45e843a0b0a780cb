package sqlite

import (
	"database/sql"
	"sync"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash"
)

// undoTable answers which acts are reversed, remembering the answers. Several
// folds may ask at once, and so may the transaction that they are of.
type undoTable struct {
	by     map[stash.Act][]stash.Act
	asking sync.Mutex // of known
	known  map[stash.Act]bool
}

// undone says whether an act was reversed by one that stands.
func (u *undoTable) undone(act stash.Act) bool {
	if len(u.by) == 0 {
		return false
	}
	u.asking.Lock()
	defer u.asking.Unlock()
	return u.ask(act)
}

func (u *undoTable) ask(act stash.Act) bool {
	if answer, ok := u.known[act]; ok {
		return answer
	}
	u.known[act] = false
	answer := false
	for _, by := range u.by[act] {
		answer = answer || !u.ask(by)
	}
	u.known[act] = answer
	return answer
}

// Undone says whether an act was reversed by one that stands (stash.Env). A
// failure to read it fails the transaction.
func (tx *Tx) Undone(act stash.Act) bool {
	u, err := tx.reversals()
	if err != nil {
		_ = tx.fail(err)
	}
	return u.undone(act)
}

// reversals reads which acts were reversed by which.
func (tx *Tx) reversals() (*undoTable, error) {
	if tx.undone != nil {
		return tx.undone, nil
	}
	tx.undone = &undoTable{by: map[stash.Act][]stash.Act{}, known: map[stash.Act]bool{}}
	return tx.undone, tx.each(`SELECT act, by FROM undo`, nil, func(rows *sql.Rows) error {
		var a, by string
		err := rows.Scan(&a, &by)
		tx.undone.by[stash.Act(a)] = append(tx.undone.by[stash.Act(a)], stash.Act(by))
		return err
	})
}

// foldUndo notes a reversal and has all that it concerns folded anew.
func (tx *Tx) foldUndo(n int64, e stash.Event) error {
	var u stash.Undo
	if jsonv2.Unmarshal(e.Body, &u) != nil {
		return nil // kept for a version that understands it
	}
	if _, err := tx.exec(`INSERT INTO undo (act, by) VALUES (?, ?) ON CONFLICT DO NOTHING`,
		string(u.Act), string(e.ActOf())); err != nil {
		return err
	}
	tx.undone, tx.dates = nil, nil
	return tx.unfold(u, e.ID(), map[stash.EventID]bool{})
}

// unfold marks the subjects of a reversed act stale, and those of the acts
// that it had reversed itself.
func (tx *Tx) unfold(u stash.Undo, by stash.EventID, seen map[stash.EventID]bool) error {
	if seen[by] {
		return nil
	}
	seen[by] = true
	events, err := tx.EventsOfAct(u)
	if err != nil {
		return err
	}
	rest, err := tx.actMembers(u.Act)
	if err != nil {
		return err
	}
	for _, e := range append(events, rest...) {
		if err := tx.staleAll(e); err != nil {
			return err
		}
		if err := tx.unfoldFinish(e); err != nil {
			return err
		}
		if err := tx.unfoldDates(e); err != nil {
			return err
		}
		var inner stash.Undo
		if e.Kind == stash.KindUndo && jsonv2.Unmarshal(e.Body, &inner) == nil {
			if err := tx.unfold(inner, e.ID(), seen); err != nil {
				return err
			}
		}
	}
	return nil
}

// unfoldFinish lets another finish of the same piece count, if there is one, and
// its packages know whether it is still on the loom.
func (tx *Tx) unfoldFinish(e stash.Event) error {
	least := finishesFor(e.Kind)
	if least == 0 {
		return nil
	}
	n, _, err := tx.subject(e.Of)
	if err != nil {
		return err
	}
	return tx.lifeChanged(n, least)
}

// EventsOfAct reads the events of the act that an undo reverses.
func (tx *Tx) EventsOfAct(u stash.Undo) ([]stash.Event, error) {
	var events []stash.Event
	for _, run := range u.Runs {
		here, err := tx.eventsIn(run)
		if err != nil {
			return nil, err
		}
		for _, e := range here {
			if e.ActOf() == u.Act {
				events = append(events, e)
			}
		}
	}
	return events, nil
}

// eventsIn reads the events of a run that are here.
func (tx *Tx) eventsIn(run stash.Run) ([]stash.Event, error) {
	return tx.query(`SELECT `+eventColumns+` WHERE l.name = ? AND e.seq BETWEEN ? AND ? ORDER BY e.seq`,
		string(run.Lane), run.First, run.Last)
}
