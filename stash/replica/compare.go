package replica

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// What is here and not in the shared place, and the other way round.

// compare finds what is here and not there, and the other way round.
func (i *inspection) compare(ctx context.Context) error {
	return i.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		if err := i.findGaps(tx); err != nil {
			return err
		}
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		published, err := tx.Published()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			if err := i.findMissing(tx, l, published); err != nil {
				return err
			}
		}
		return i.findUnannounced(tx)
	})
}

// findUnannounced finds the segments that are not here and that no head will
// bring: their writer was broken off, or put back to a backup, or the place has
// lost the head of one of two histories.
func (i *inspection) findUnannounced(tx *sqlite.Tx) error {
	coming := map[stash.Lane]int64{} // up to where heads promise what is not here
	for _, h := range i.heads {
		held, err := exchange.HoldsHead(tx, h.HeadName)
		if err != nil {
			return err
		}
		if !held {
			coming[h.Lane] = max(coming[h.Lane], h.Last)
		}
	}
	for _, lane := range slices.Sorted(maps.Keys(i.segs)) {
		for _, n := range i.segs[lane] {
			held, err := tx.Holds(n.Lane, n.Last, n.Chain)
			if err != nil {
				return err
			}
			if n.Last > coming[lane] && !held {
				i.out.Unannounced = append(i.out.Unannounced,
					exchange.Gap{Lane: lane, Name: i.Member.Label(lane), From: n.First, To: n.Last})
			}
		}
	}
	return nil
}

// findGaps names the events that heads promise and that are not here, and
// the machines that have seen them.
func (i *inspection) findGaps(tx *sqlite.Tx) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	for _, h := range i.heads {
		held, err := exchange.HoldsHead(tx, h.HeadName)
		if _, gone := i.Member.RemovedLane(h.Lane); err != nil || held || gone {
			if err != nil {
				return err
			}
			continue
		}
		gap := exchange.Gap{Lane: h.Lane, Name: i.Member.Label(h.Lane), From: 1, To: h.Last}
		for _, l := range lanes {
			if l.Name == h.Lane && l.Last < h.Last {
				gap.From = l.Last + 1
			}
		}
		for _, other := range i.heads {
			if other.Saw(h.Lane) >= h.Last {
				gap.Holders = append(gap.Holders, i.Member.Label(other.By))
			}
		}
		i.out.Gaps = append(i.out.Gaps, gap)
	}
	return nil
}

// findMissing finds the events of a lane that should lie in the shared place
// and do not. Of a lane that this replica writes, what it has not sealed yet
// is not missing.
func (i *inspection) findMissing(tx *sqlite.Tx, l sqlite.Lane, published []sqlite.Published) error {
	ends, err := tx.Ends(l.Name)
	if err != nil {
		return err
	}
	p := slices.IndexFunc(published, func(p sqlite.Published) bool { return p.Lane == l.Name })
	if l.Own {
		if p < 0 || published[p].Mark.Seq == 0 {
			return nil
		}
		ends = []sqlite.End{published[p].Mark}
	} else if _, known := i.Member.Device(l.Name); !known {
		return nil // it never was in the shared place, or is about to come
	}
	for _, end := range ends {
		missing, err := i.uncovered(tx, l, end, len(ends) > 1)
		if err != nil {
			return err
		}
		headless, err := i.headless(tx, l.Name, end)
		if err != nil {
			return err
		}
		if headless && len(missing) == 0 {
			missing = []lack{{lane: l, end: end, from: end.Seq + 1, to: end.Seq}}
		}
		for _, m := range missing {
			m.headless = headless
			i.lack = append(i.lack, m)
			i.out.Missing = append(i.out.Missing, exchange.Gap{Lane: l.Name, Name: i.Member.Label(l.Name),
				From: m.from, To: m.to})
		}
	}
	return nil
}

// headless says that no head tells of an end of a lane: none of it, and none of
// what may go on from it. What is here beyond it belongs to another history.
func (i *inspection) headless(tx *sqlite.Tx, lane stash.Lane, end sqlite.End) (bool, error) {
	for _, h := range i.heads {
		if h.Lane != lane || h.Last < end.Seq {
			continue
		}
		if h.Last == end.Seq && h.Chain == end.Chain.ID() {
			return false, nil
		}
		held, err := tx.Holds(lane, h.Last, h.Chain)
		if err != nil || h.Last > end.Seq && !held {
			return false, err
		}
	}
	return true, nil
}

// uncovered gives the runs of the history that ends at end which no segment
// covers.
func (i *inspection) uncovered(tx *sqlite.Tx, l sqlite.Lane, end sqlite.End, forked bool) ([]lack,
	error) {
	var path []sqlite.RawEvent
	if forked {
		var err error
		if path, err = tx.Branch(l.Name, 0, end); err != nil {
			return nil, err
		}
	}
	var runs []format.Run
	for _, n := range i.segs[l.Name] {
		held, err := tx.Holds(n.Lane, n.Last, n.Chain)
		if err == nil && held && forked {
			n.Run, err = onPath(tx, n, path)
		}
		if err != nil {
			return nil, err
		}
		if held && n.First <= n.Last {
			runs = append(runs, n.Run)
		}
	}
	var out []lack
	for _, hole := range holes(runs, end.Seq) {
		out = append(out, lack{lane: l, end: end, from: hole[0], to: hole[1]})
	}
	return out, nil
}

// onPath is as much of a segment as belongs to one history of its lane: one
// that was merged from another history still covers what came before the two
// parted.
func onPath(tx *sqlite.Tx, n format.SegmentName, path []sqlite.RawEvent) (format.Run, error) {
	if n.Last <= int64(len(path)) && path[n.Last-1].Chain.ID() == n.Chain {
		return n.Run, nil
	}
	ends, err := tx.RawEvents(n.Lane, n.Last-1, n.Last)
	if err != nil {
		return n.Run, err
	}
	k := slices.IndexFunc(ends, func(e sqlite.RawEvent) bool { return e.Chain.ID() == n.Chain })
	if k < 0 {
		return format.Run{First: 1}, nil
	}
	branch, err := tx.Branch(n.Lane, n.First-1, ends[k].End)
	if err != nil {
		return n.Run, err
	}
	on := n.Run
	on.Last = n.First - 1
	for _, e := range branch {
		if e.Seq <= int64(len(path)) && path[e.Seq-1].Chain == e.Chain {
			on.Last = e.Seq
		}
	}
	return on, nil
}

// holes gives the ranges of 1 to last that no run covers.
func holes(runs []format.Run, last int64) [][2]int64 {
	slices.SortFunc(runs, func(a, b format.Run) int { return cmp.Compare(a.First, b.First) })
	var out [][2]int64
	next := int64(1)
	for _, r := range runs {
		if r.First > next {
			out = append(out, [2]int64{next, min(r.First-1, last)})
		}
		next = max(next, r.Last+1)
		if next > last {
			return out
		}
	}
	return append(out, [2]int64{next, last})
}
