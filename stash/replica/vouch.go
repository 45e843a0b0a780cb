package replica

import (
	"context"
	"slices"

	"endsmeet/stash/sqlite"
)

// vouch has the events of removed lanes put that are here and that nobody who
// counts has vouched for yet.
func (x *exchange) vouch(ctx context.Context) error {
	for _, gone := range x.v.Removed {
		if slices.Contains(x.v.Vouched, gone.Lane) {
			continue
		}
		if err := x.vouchFor(ctx, gone); err != nil {
			return err
		}
	}
	return nil
}

func (x *exchange) vouchFor(ctx context.Context, gone removal) error {
	return x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		ends, err := tx.Ends(gone.Lane)
		if err != nil {
			return err
		}
		mark, err := x.vouched(tx, gone)
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

// vouched is the end up to which others have vouched for a removed lane.
func (x *exchange) vouched(tx *sqlite.Tx, gone removal) (sqlite.End, error) {
	var best sqlite.End
	for h := range x.opened {
		if h.lane != gone.Lane || h.epoch.less(gone.Epoch) || h.last <= best.Seq {
			continue
		}
		events, err := tx.RawEvents(h.lane, h.last-1, h.last)
		if err != nil {
			return best, err
		}
		for _, e := range events {
			if e.Chain.ID() == h.chain {
				best = e.End
			}
		}
	}
	return best, nil
}
