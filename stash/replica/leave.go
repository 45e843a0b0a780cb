package replica

import (
	"context"
	"fmt"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// Leave forgets the shared place. What lies there stays, and what came from
// there stays here. Unless forced it refuses while something has yet to be
// passed on, and says how many events.
func (r *Replica) Leave(ctx context.Context, force bool) error {
	return r.locked(ctx, func() error {
		return r.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
			_, found, err := loadVault(tx)
			if err != nil {
				return err
			}
			if !found {
				return stash.Refuse(stash.CodeRefused, "", "this stash has no shared place")
			}
			waiting, err := r.waiting(tx)
			if err != nil {
				return err
			}
			objects, _, err := tx.PendingPuts()
			if err != nil {
				return err
			}
			if waiting+objects > 0 && !force {
				return stash.Refuse(stash.CodeRefused, "`endsmeet sync` first, or give --force",
					"not all has been passed on: %s", waitWords(waiting))
			}
			return tx.LeaveVault()
		})
	})
}

func waitWords(events int64) string {
	switch events {
	case 0:
		return "what was sealed has yet to be sent"
	case 1:
		return "1 event waits"
	}
	return fmt.Sprintf("%d events wait", events)
}

// waiting counts the events that have yet to reach the shared place.
func (r *Replica) waiting(tx *sqlite.Tx) (int64, error) {
	unsealed, err := (&exchange{Replica: r}).unsealed(tx)
	if err != nil {
		return 0, err
	}
	var sum int64
	for _, d := range unsealed {
		sum += d.tip.Seq - d.mark.Seq
	}
	return sum, nil
}
