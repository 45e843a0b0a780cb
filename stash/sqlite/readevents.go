package sqlite

import (
	"database/sql"
	"encoding/json"
	"errors"

	"endsmeet/stash"
)

// errEnough ends a reading that has as many events as a batch may hold.
var errEnough = errors.New("enough events")

// readEvents reads what the first jobs are folded from, in one query for all of
// them; the lines of what was stored before are not read. It gives how many jobs it
// read for: no more once they have batchEvents between them.
func (tx *Tx) readEvents(jobs []*foldJob) (int, error) {
	numbers, at := []int64{}, []int{}
	for i, j := range jobs {
		if j.state == nil && !tx.youngFor(j) {
			numbers, at = append(numbers, j.n), append(at, i)
		}
	}
	if len(numbers) == 0 {
		return len(jobs), nil
	}
	list, err := json.Marshal(numbers)
	if err != nil {
		return 0, err
	}
	next, events, read := 0, 0, len(jobs)
	err = tx.each(`SELECT t.subject, t.class, `+eventOf+` FROM json_each(?) j
		CROSS JOIN touch t ON t.subject = j.value CROSS JOIN event e ON e.n = t.event CROSS JOIN lane l ON l.n = e.lane`, []any{string(list)}, func(rows *sql.Rows) error {
		var subject int64
		var class int
		e, err := scanRaw(rows, &subject, &class)
		if err != nil {
			return err
		}
		for numbers[next] != subject {
			if next++; events >= batchEvents {
				read = at[next]
				return errEnough
			}
		}
		jobs[at[next]].take(stash.Class(class), e)
		events++
		return nil
	})
	if errors.Is(err, errEnough) {
		err = nil
	}
	return read, err
}

// youngFor takes the events of a job out of memory, where all of them are.
func (tx *Tx) youngFor(j *foldJob) bool {
	v := tx.views[j.n]
	if v == nil || v.newcomers == nil {
		return false
	}
	for _, y := range v.newcomers {
		j.take(y.class, y.event)
	}
	return true
}

// take notes an event, if the subject is folded from its class: a package from facts
// and moves, a piece from its making, all else from facts, and each from what a newer
// version wrote.
func (j *foldJob) take(class stash.Class, e stash.Event) {
	j.touches += hashOf(string(j.id), int(class), e.ID())
	facts := stash.ClassFact
	if j.what == stash.WhatPiece {
		facts = stash.ClassMake
	}
	switch {
	case class == facts, class == stash.ClassOther && j.what != stash.WhatPackage:
		j.facts = append(j.facts, e)
	case j.what == stash.WhatPackage && (class == stash.ClassMove || class == stash.ClassOther):
		j.moves = append(j.moves, e)
	}
}
