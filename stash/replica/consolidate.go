package replica

import (
	"cmp"
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// mergeRun is how many segments of a level are merged into one of the next.
const mergeRun = 16

// level is the logarithm of how many events a segment holds, to the base of
// fan.
func (r run) level(fan int) int {
	level := 0
	for n := (r.last - r.first + 1) / int64(fan); n > 0; n /= int64(fan) {
		level++
	}
	return level
}

// consolidate merges runs of small segments of this replica's lanes, so that
// neither listings nor a new machine's reading grow with every exchange. What
// a merged one covers stays for a while, for those who are about to read it.
func (x *exchange) consolidate(ctx context.Context) error {
	merged := false
	for {
		var row []segName
		err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
			row, err = x.mergeable(tx)
			return err
		})
		if err != nil {
			return err
		}
		if len(row) == 0 {
			break
		}
		err = x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
			err := x.merge(tx, row)
			x.fault(PointConsolidating)
			return err
		})
		if err != nil {
			return err
		}
		x.fault(PointConsolidated)
		x.report.Consolidated += len(row)
		merged = true
	}
	if merged {
		return x.finish(ctx)
	}
	return nil
}

// mergeable finds segments of this replica that follow each other and can be
// merged.
func (x *exchange) mergeable(tx *sqlite.Tx) ([]segName, error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return nil, err
	}
	for _, l := range lanes {
		if !l.Own {
			continue
		}
		names, err := tx.OwnObjects(segPrefix + string(l.Name) + "/")
		if err != nil {
			return nil, err
		}
		var segs []segName
		for _, name := range names {
			if n, ok := parseSeg(remote.Name(name)); ok {
				segs = append(segs, n)
			}
		}
		slices.SortFunc(segs, func(a, b segName) int { return cmp.Compare(a.first, b.first) })
		if row := rowOf(segs, x.o.fan); row != nil {
			return row, nil
		}
	}
	return nil, nil
}

// rowOf finds a row of fan or more segments, each of which goes on where
// the one before ends, none of them above a level, the lowest level first.
func rowOf(segs []segName, fan int) []segName {
	for level := range 4 {
		start := 0
		for i := range segs {
			broken := i > 0 && segs[i].first != segs[i-1].last+1
			if broken || segs[i].level(fan) > level {
				if i-start >= fan {
					return segs[start:i]
				}
				start = i
				if segs[i].level(fan) > level {
					start = i + 1
				}
				continue
			}
			if segs[i].last-segs[start].first+1 > maxEvents {
				if i-start >= fan {
					return segs[start:i]
				}
				start = i
			}
		}
		if len(segs)-start >= fan {
			return segs[start:]
		}
	}
	return nil
}

// merge seals the events of a row of segments in one and dooms the row.
func (x *exchange) merge(tx *sqlite.Tx, row []segName) error {
	lane, first, last := row[0].lane, row[0].first, row[len(row)-1]
	events, err := tx.RawEvents(lane, max(first-2, 0), last.last)
	if err != nil {
		return err
	}
	var previous stash.Chain
	if first > 1 {
		previous, events = events[0].Chain, events[1:]
	}
	for _, n := range row {
		if err := tx.NoteOwnObject(string(n.name()), false); err != nil {
			return err
		}
	}
	if int64(len(events)) != last.last-first+1 || portion(events) != len(events) ||
		events[len(events)-1].Chain.ID() != last.chain {
		return nil // two histories, or too long for one: they stay as they are
	}
	signer, err := x.signerOf(x.v, sqlite.Lane{Name: lane})
	if err != nil {
		return err
	}
	n, data, err := x.v.seal(lane, previous, events, signer)
	if err != nil {
		return err
	}
	if err := tx.Stow(string(n.name()), data); err != nil {
		return err
	}
	due := x.o.Now().Add(x.o.StoreGrace)
	if x.place.Folder {
		due = x.o.Now().Add(x.o.FolderGrace)
	}
	for _, n := range row {
		if err := tx.Doom(string(n.name()), due); err != nil {
			return err
		}
	}
	return tx.NoteOwnObject(string(n.name()), true)
}
