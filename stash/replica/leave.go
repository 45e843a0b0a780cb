package replica

import (
	"context"
	"fmt"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
)

// Leave forgets the shared place. What lies there stays, and what came from
// there stays here. Unless forced it refuses while something has yet to be
// passed on, and says how many events.
func (r *Replica) Leave(ctx context.Context, force bool) error {
	return r.part.Locked(ctx, func() error {
		return r.part.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
			_, found, err := exchange.LoadMembership(tx)
			if err != nil {
				return err
			}
			if !found {
				return stash.Refuse(stash.CodeRefused,
					"there is nothing to leave; `endsmeet sync setup WHERE` makes one",
					"this stash has no shared place")
			}
			unsent, err := exchange.Unsent(tx)
			if err != nil {
				return err
			}
			objects, _, err := tx.PendingPuts()
			if err != nil {
				return err
			}
			if unsent+objects > 0 && !force {
				return stash.Refuse(stash.CodeRefused, "`endsmeet sync` first, or give --force",
					"not all has been passed on: %s", waitWords(unsent))
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
