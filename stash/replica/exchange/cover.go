package exchange

import (
	"context"
	"errors"

	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// deletable says whether an object may be deleted from the place. A segment may
// if one that this replica merged it into lies there whole, or if it is damaged
// itself: a place that has lost the one loses nothing with the other.
func (x *Session) deletable(ctx context.Context, name remote.Name) (bool, error) {
	n, ok := format.ParseSegment(name)
	if !ok {
		return true, nil
	}
	covers, err := x.coversOf(ctx, n)
	if err != nil {
		return false, err
	}
	for _, c := range covers {
		whole, err := x.isWhole(ctx, c)
		if whole || err != nil {
			return whole, err
		}
	}
	return x.isDamaged(ctx, n)
}

// coversOf gives the segments that this replica put and that hold all that n
// holds.
func (x *Session) coversOf(
	ctx context.Context,
	n format.SegmentName,
) ([]format.SegmentName, error) {
	var out []format.SegmentName
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		names, err := tx.OwnObjects(format.SegmentPrefix + string(n.Lane) + "/")
		for _, name := range names {
			if c, ok := format.ParseSegment(remote.Name(name)); ok && c != n &&
				c.First <= n.First &&
				n.Last <= c.Last {
				out = append(out, c)
			}
		}
		return err
	})
	return out, err
}

// isWhole reads a segment of this replica, once a run, and says whether it is
// as it was put.
func (x *Session) isWhole(ctx context.Context, n format.SegmentName) (bool, error) {
	if whole, known := x.whole[n]; known {
		return whole, nil
	}
	data, err := x.Get(ctx, n.Name())
	if err != nil && !errors.Is(err, remote.NotFound) {
		return false, err
	}
	if x.whole == nil {
		x.whole = map[format.SegmentName]bool{}
	}
	x.whole[n] = err == nil && format.WholeObject(n.Name(), n.Object, data) == nil
	return x.whole[n], nil
}

// isDamaged says that a segment is not there, or holds nothing that anybody
// would take in.
func (x *Session) isDamaged(ctx context.Context, n format.SegmentName) (bool, error) {
	data, err := x.Get(ctx, n.Name())
	if errors.Is(err, remote.NotFound) {
		return true, nil
	}
	if err != nil {
		return false, err
	}
	_, err = x.Member.Unseal(n.Name(), data)
	return err != nil, nil
}

// spare strikes off the deletion of a segment that turned out to be needed. It
// counts as standing again, and what it was merged into does not, so that it is
// merged anew.
func (x *Session) spare(ctx context.Context, p sqlite.Pending) error {
	n, _ := format.ParseSegment(remote.Name(p.Name))
	lost, err := x.coversOf(ctx, n)
	if err != nil {
		return err
	}
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		for _, c := range lost {
			if err := tx.NoteOwnObject(string(c.Name()), false); err != nil {
				return err
			}
		}
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			if l.Name == n.Lane && l.Own {
				if err := tx.NoteOwnObject(p.Name, true); err != nil {
					return err
				}
			}
		}
		return tx.DonePending(p.N)
	})
}
