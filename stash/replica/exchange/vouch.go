package exchange

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// vouch has the events of removed lanes put that are here and that nobody who
// counts has vouched for yet.
func (x *Session) vouch(ctx context.Context) error {
	for _, gone := range x.Member.Removed {
		if slices.Contains(x.Member.Vouched, gone.Lane) {
			continue
		}
		if err := x.vouchFor(ctx, gone); err != nil {
			return err
		}
	}
	return nil
}

func (x *Session) vouchFor(ctx context.Context, gone format.Removal) error {
	return x.Change(ctx, func(v *Membership, tx *sqlite.Tx) error {
		ends, err := tx.Ends(gone.Lane)
		if err != nil {
			return err
		}
		mark, err := x.HeldHead(tx, gone.Lane)
		if err != nil {
			return err
		}
		for _, end := range ends {
			if end.Seq > mark.Seq { // of two histories the longer ones; the rest by repair
				if err := tx.Publish(sqlite.Published{Lane: gone.Lane, Mark: mark,
					Tip: &end}); err != nil {
					return err
				}
			}
		}
		v.Vouched = append(v.Vouched, gone.Lane)
		return nil
	})
}

// HeldHead is the furthest end of a lane that a head tells of and that is here.
func (x *Session) HeldHead(tx *sqlite.Tx, lane stash.Lane) (sqlite.End, error) {
	var best sqlite.End
	gone, removed := x.Member.RemovedLane(lane)
	for h := range x.Opened {
		if h.Lane != lane || h.Last <= best.Seq || removed && h.Epoch.Less(gone.Epoch) {
			continue
		}
		events, err := tx.RawEvents(lane, h.Last-1, h.Last)
		if err != nil {
			return best, err
		}
		for _, e := range events {
			if e.Chain.ID() == h.Chain {
				best = e.End
			}
		}
	}
	return best, nil
}
