package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// Lane is what is known here of one lane.
type Lane struct {
	Name    stash.Lane
	Private bool
	// Key is the lane's Ed25519 public key.
	Key []byte
	// Last and Chain are the end of its longest history here, or of the one
	// that this replica writes.
	Last  int64
	Chain stash.Chain
	// Own says that this replica writes it.
	Own bool
}

// Lanes lists the lanes in the order in which they were first heard of.
func (tx *Tx) Lanes() ([]Lane, error) {
	if err := tx.flush(); err != nil {
		return nil, err
	}
	own, err := tx.ownLanes()
	if err != nil {
		return nil, err
	}
	var lanes []Lane
	err = tx.each(`SELECT name, private, key, seq, chain FROM lane ORDER BY n`, nil,
		func(rows *sql.Rows) error {
			var l Lane
			err := rows.Scan((*string)(&l.Name), &l.Private, &l.Key, &l.Last,
				(*chainScan)(&l.Chain))
			l.Own = own[l.Name]
			lanes = append(lanes, l)
			return err
		})
	return lanes, err
}

// LaneEvents reads the events of a lane by their sequence numbers, from first
// on. Where two histories go by one name, both come, in the order of their
// hashes at each number.
func (tx *Tx) LaneEvents(name stash.Lane, first int64) ([]stash.Event, error) {
	return tx.query(`SELECT `+eventColumns+` WHERE l.name = ? AND e.seq >= ? ORDER BY e.seq, e.chain`, string(name), first)
}
