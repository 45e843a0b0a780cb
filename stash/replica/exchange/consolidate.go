package exchange

import (
	"cmp"
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// mergeRun is how many segments of a level are merged into one of the next.
const mergeRun = 16

// level is the logarithm of how many events a segment holds, to the base of
// fan.
func level(r format.Run, fan int) int {
	out := 0
	for n := (r.Last - r.First + 1) / int64(fan); n > 0; n /= int64(fan) {
		out++
	}
	return out
}

// consolidate merges runs of small segments of this replica's lanes, so that
// neither listings nor a new machine's reading grow with every exchange. What
// a merged one covers stays for a while, for those who are about to read it.
func (x *Session) consolidate(ctx context.Context) error {
	merged := false
	for {
		var row []format.SegmentName
		err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
			row, err = x.mergeable(tx)
			return err
		})
		if err != nil {
			return err
		}
		if len(row) == 0 {
			break
		}
		err = x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
			err := x.merge(tx, row)
			x.Fault(PointConsolidating)
			return err
		})
		if err != nil {
			return err
		}
		x.Fault(PointConsolidated)
		x.Report.Consolidated += len(row)
		merged = true
	}
	if merged {
		return x.Finish(ctx)
	}
	return nil
}

// mergeable finds segments of this replica that follow each other and can be
// merged.
func (x *Session) mergeable(tx *sqlite.Tx) ([]format.SegmentName, error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return nil, err
	}
	for _, l := range lanes {
		if !l.Own {
			continue
		}
		names, err := tx.OwnObjects(format.SegmentPrefix + string(l.Name) + "/")
		if err != nil {
			return nil, err
		}
		var segs []format.SegmentName
		for _, name := range names {
			if n, ok := format.ParseSegment(remote.Name(name)); ok {
				segs = append(segs, n)
			}
		}
		slices.SortFunc(segs, func(a, b format.SegmentName) int { return cmp.Compare(a.First, b.First) })
		if row := rowOf(segs, x.Options.Fan); row != nil {
			return row, nil
		}
	}
	return nil, nil
}

// rowOf finds a row of fan or more segments, each of which goes on where
// the one before ends, none of them above a level, the lowest level first.
func rowOf(segs []format.SegmentName, fan int) []format.SegmentName {
	for most := range 4 {
		start := 0
		for i := range segs {
			broken := i > 0 && segs[i].First != segs[i-1].Last+1
			if broken || level(segs[i].Run, fan) > most {
				if i-start >= fan {
					return segs[start:i]
				}
				start = i
				if level(segs[i].Run, fan) > most {
					start = i + 1
				}
				continue
			}
			if segs[i].Last-segs[start].First+1 > format.MaxEvents {
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
func (x *Session) merge(tx *sqlite.Tx, row []format.SegmentName) error {
	lane, first, last := row[0].Lane, row[0].First, row[len(row)-1]
	events, err := tx.RawEvents(lane, max(first-2, 0), last.Last)
	if err != nil {
		return err
	}
	var previous stash.Chain
	if first > 1 {
		previous, events = events[0].Chain, events[1:]
	}
	for _, n := range row {
		if err := tx.NoteOwnObject(string(n.Name()), false); err != nil {
			return err
		}
	}
	if int64(len(events)) != last.Last-first+1 || format.Portion(events) != len(events) ||
		events[len(events)-1].Chain.ID() != last.Chain {
		return nil // two histories, or too long for one: they stay as they are
	}
	signer, err := x.SignerOf(x.Member, sqlite.Lane{Name: lane})
	if err != nil {
		return err
	}
	n, data, err := x.Member.Seal(lane, previous, events, signer)
	if err != nil {
		return err
	}
	if err := tx.Stow(string(n.Name()), data); err != nil {
		return err
	}
	due := x.Options.Now().Add(x.Options.StoreGrace)
	if x.Place.Folder {
		due = x.Options.Now().Add(x.Options.FolderGrace)
	}
	for _, n := range row {
		if err := tx.Doom(string(n.Name()), due); err != nil {
			return err
		}
	}
	return tx.NoteOwnObject(string(n.Name()), true)
}
