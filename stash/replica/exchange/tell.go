package exchange

import (
	"context"
	"errors"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// retry looks again at what was refused in an earlier run, and forgets of it
// what is gone, good, or here in another way.
func (x *Session) retry(ctx context.Context) error {
	var noted []sqlite.Bad
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		noted, err = tx.Quarantined()
		return err
	})
	if err != nil {
		return err
	}
	for _, q := range noted {
		stands, err := x.standsBad(ctx, remote.Name(q.Name))
		if err != nil {
			return err
		}
		if stands {
			continue
		}
		if err := x.Options.Store.Act(ctx,
			func(tx *sqlite.Tx) error { return tx.Quarantine(q.Name, "") }); err != nil {
			return err
		}
	}
	return nil
}

// standsBad says that an object that was refused is still there and still fails
// its check, and that what it should hold is not here.
func (x *Session) standsBad(ctx context.Context, name remote.Name) (bool, error) {
	held := false
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		if n, ok := format.ParseSegment(name); ok {
			held, err = tx.Holds(n.Lane, n.Last, n.Chain)
		}
		return err
	})
	if err != nil || held {
		return false, err
	}
	data, err := x.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return x.Member.Fails(name, data), nil
}

// tell puts a new head of this replica's lane where the one that stands says
// less than was seen since; or where something is not to be had, so that others
// look whether they can put it back.
func (x *Session) tell(ctx context.Context) error {
	badSegment := slices.ContainsFunc(x.Report.Bad,
		func(b format.BadObject) bool { _, ok := format.ParseSegment(b.Name); return ok })
	lacking := badSegment || len(x.Report.Gaps)+len(x.Report.Later) > 0
	told := true
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		seen, _, err := x.ownSeen(tx)
		told = err == nil && maps.Equal(seen, x.Member.Told.Seen)
		return err
	})
	if err != nil || told && !lacking {
		return err
	}
	err = x.Change(ctx, func(v *Membership, tx *sqlite.Tx) error {
		own, err := x.Options.Store.Signer(false)
		if err != nil {
			return err
		}
		if err := x.Enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		_, lane, err := x.ownSeen(tx)
		if err != nil {
			return err
		}
		d := Due{Lane: lane, Tip: sqlite.End{Seq: lane.Last, Chain: lane.Chain}, Follows: true}
		return x.ReplaceHead(tx, v, d, own)
	})
	if err != nil {
		return err
	}
	return x.Finish(ctx)
}

// ownSeen is this replica's open lane, and what was seen here of the others.
func (x *Session) ownSeen(tx *sqlite.Tx) (map[format.LaneTag]int64, sqlite.Lane, error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return nil, sqlite.Lane{}, err
	}
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return nil, sqlite.Lane{}, err
	}
	mine := sqlite.Lane{Name: own.Lane, Key: own.Public(), Own: true}
	for _, l := range lanes {
		if l.Name == own.Lane {
			mine = l
		}
	}
	seen, err := x.seenBy(tx, x.Member, own.Lane, lanes)
	return seen, mine, err
}

// seenBy is what a head of lane tells of the other lanes: of those that this
// replica writes, what it has sealed of them.
func (x *Session) seenBy(tx *sqlite.Tx, v *Membership, lane stash.Lane,
	lanes []sqlite.Lane) (map[format.LaneTag]int64, error) {
	published, err := tx.Published()
	if err != nil {
		return nil, err
	}
	marks := map[stash.Lane]int64{}
	for _, p := range published {
		marks[p.Lane] = p.Mark.Seq
	}
	for i, l := range lanes {
		if l.Own {
			lanes[i].Last = marks[l.Name]
		}
	}
	return v.SeenOf(lane, lanes), nil
}
