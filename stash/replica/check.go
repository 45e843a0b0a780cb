package replica

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Checked is what a check of the shared place found.
type Checked struct {
	Traffic `json:"traffic"`
	// Objects counts what lies there, Read how many were read and verified.
	Objects int `json:"objects"`
	Read    int `json:"read"`
	// Bad are objects that fail a check.
	Bad []BadObject `json:"-"`
	// Gaps are events that others have and that are not here.
	Gaps []Gap `json:"gaps"`
	// Missing are events that are here and no more there.
	Missing []Gap `json:"missing"`
	// Lost are other parts of the vault that are not there.
	Lost     []remote.Name `json:"lost"`
	Ignored  int           `json:"ignored"`
	Examples []string      `json:"-"`
	// Unannounced are segments of which no head tells: their writer was broken
	// off, or put back to a backup. Repair takes them in.
	Unannounced []Gap `json:"unannounced"`
	// Superseded counts objects of removed machines that nobody reads.
	Superseded int `json:"superseded"`
	// Repaired counts objects that were put back, Cleared damaged ones that
	// were deleted. Only Repair does so.
	Repaired int `json:"repaired"`
	Cleared  int `json:"cleared"`
}

// OK says that nothing is missing or damaged.
func (c Checked) OK() bool {
	return len(c.Bad) == 0 && len(c.Gaps) == 0 && len(c.Missing) == 0 && len(c.Lost) == 0
}

// inspection is a check under way.
type inspection struct {
	*exchange
	out   Checked
	read  bool
	segs  map[stash.Lane][]segName
	keys  map[remote.Name]bool
	devs  map[stash.Lane]bool
	lack  []lack
	heads []Head
	// formatGood says that format.json is there as it should be.
	formatGood bool
}

// lack is a run of events that is here and not in the shared place.
type lack struct {
	lane     sqlite.Lane
	end      sqlite.End // of the history that they belong to
	from, to int64
	// headless says that no head tells of the end.
	headless bool
}

// Check compares the shared place with what is known here; with read it also
// reads every object and verifies it. It changes nothing there.
func (r *Replica) Check(ctx context.Context, read bool) (Checked, error) {
	var out Checked
	err := r.locked(ctx, func() error {
		i, err := r.inspect(ctx, read)
		if i != nil {
			out = i.out
			out.Traffic = i.traffic
		}
		return placeError(err)
	})
	return out, err
}

func (r *Replica) inspect(ctx context.Context, read bool) (*inspection, error) {
	x, err := r.begin(ctx)
	if err != nil {
		return nil, err
	}
	i := &inspection{exchange: x, read: read, segs: map[stash.Lane][]segName{}, keys: map[remote.Name]bool{}, devs: map[stash.Lane]bool{}}
	for _, step := range []func(context.Context) error{x.finish, x.whoIsThere, i.list, i.lookAtFormat, i.lookForLost, i.compare} {
		if err := step(ctx); err != nil {
			return i, err
		}
	}
	return i, nil
}

// list lists all that is there and, if asked, reads it.
func (i *inspection) list(ctx context.Context) error {
	found, err := i.List(ctx, "", "")
	if err != nil {
		return err
	}
	i.out.Ignored, i.out.Examples = found.Ignored, found.Examples
	names := slices.Compact(found.Names)
	for n, name := range names {
		if err := i.lookAt(ctx, name); err != nil {
			return err
		}
		i.progress("checking", int64(n+1), int64(len(names)))
	}
	return nil
}

// lookAt sorts one object into its kind, having verified it if asked to.
func (i *inspection) lookAt(ctx context.Context, name remote.Name) error {
	var verify func([]byte) error
	good := func() {}
	reading := i.read
	if n, ok := parseSeg(name); ok {
		verify = func(data []byte) error { _, err := i.v.unseal(name, data); return err }
		good = func() { i.segs[n.lane] = append(i.segs[n.lane], n) }
	} else if n, ok := parseHead(name); ok {
		reading = true
		verify = func(data []byte) error { return i.takeHead(n, data) }
	} else if n, ok := parseKey(name); ok {
		verify = func(data []byte) error { return wholeObject(name, n.object, data) }
		good = func() { i.keys[name] = true }
	} else if n, ok := parseDevice(name); ok {
		verify = func(data []byte) error { return i.checkDevice(n, data) }
		good = func() { i.devs[n.lane] = true }
	} else if name == formatName {
		i.out.Objects++
		return nil
	} else {
		i.out.Ignored++
		return nil
	}
	i.out.Objects++
	if !reading {
		good()
		return nil
	}
	return i.verify(ctx, name, verify, good)
}

// verify reads an object and notes whether it is what it should be.
func (i *inspection) verify(ctx context.Context, name remote.Name, verify func([]byte) error, good func()) error {
	data, err := i.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	i.out.Read++
	err = verify(data)
	var b *BadObject
	switch {
	case errors.As(err, &b) && b.Step == StepRemoved:
		i.out.Superseded++
	case errors.As(err, &b):
		i.out.Bad = append(i.out.Bad, *b)
	case err != nil:
		return err
	default:
		good()
	}
	return nil
}

func wholeObject(name remote.Name, object stash.EventID, data []byte) error {
	if objectID(data) != object {
		return bad(name, StepHash, "its content is not what its name says: it was altered or damaged")
	}
	return nil
}

func (i *inspection) takeHead(n headName, data []byte) error {
	h, err := i.v.openHead(n.name(), data)
	if err == nil {
		i.heads = append(i.heads, h)
	}
	return err
}

// checkDevice verifies a record; one that was sealed with an earlier key is
// of no use and no fault.
func (i *inspection) checkDevice(n deviceName, data []byte) error {
	_, err := i.v.openDevice(n, data)
	var b *BadObject
	if errors.As(err, &b) && (b.Step == StepAge && i.v.sealedEarlier(data)) {
		return bad(n.name(), StepRemoved, "it was sealed with an earlier key")
	}
	return err
}

func (i *inspection) lookAtFormat(ctx context.Context) error {
	data, err := i.Get(ctx, formatName)
	if errors.Is(err, remote.NotFound) {
		i.out.Lost = append(i.out.Lost, formatName)
		return nil
	}
	if err != nil {
		return err
	}
	if i.formatGood = bytes.Equal(data, formatOf(i.v.ID)); !i.formatGood {
		i.out.Bad = append(i.out.Bad, *bad(formatName, StepFormat, "it is not what was written for this vault"))
	}
	return nil
}

// lookForLost names wraps and records that should be there.
func (i *inspection) lookForLost(context.Context) error {
	for _, k := range i.v.Kept {
		if n, ok := parseKey(k.Name); ok && n.epoch == i.v.current().Name && !i.keys[k.Name] {
			i.out.Lost = append(i.out.Lost, k.Name)
		}
	}
	for _, d := range i.v.Devices {
		if _, gone := i.v.removed(d.Lane); !gone && !i.devs[d.Lane] {
			i.out.Lost = append(i.out.Lost, remote.Name(devicePrefix+string(d.Lane)))
		}
	}
	return nil
}

// compare finds what is here and not there, and the other way round.
func (i *inspection) compare(ctx context.Context) error {
	return i.o.Store.View(ctx, func(tx *sqlite.Tx) error {
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

// findUnannounced finds the segments that end beyond every head of their lane.
func (i *inspection) findUnannounced(tx *sqlite.Tx) error {
	last := map[stash.Lane]int64{}
	for _, h := range i.heads {
		last[h.lane] = max(last[h.lane], h.last)
	}
	for _, lane := range slices.Sorted(maps.Keys(i.segs)) {
		for _, n := range i.segs[lane] {
			held, err := tx.Holds(n.lane, n.last, n.chain)
			if err != nil {
				return err
			}
			if n.last > last[lane] && !held {
				i.out.Unannounced = append(i.out.Unannounced, Gap{Lane: lane, Name: i.v.label(lane), From: n.first, To: n.last})
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
		held, err := tx.Holds(h.lane, h.last, h.chain)
		if _, gone := i.v.removed(h.lane); err != nil || held || gone {
			if err != nil {
				return err
			}
			continue
		}
		gap := Gap{Lane: h.lane, Name: i.v.label(h.lane), From: 1, To: h.last}
		for _, l := range lanes {
			if l.Name == h.lane && l.Last < h.last {
				gap.From = l.Last + 1
			}
		}
		for _, other := range i.heads {
			if other.Seen(h.lane) >= h.last {
				gap.Holders = append(gap.Holders, i.v.label(other.lane))
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
	} else if _, known := i.v.device(l.Name); !known {
		return nil // it never was in the shared place, or is about to come
	}
	for _, end := range ends {
		missing, err := i.uncovered(tx, l, end, len(ends) > 1)
		if err != nil {
			return err
		}
		headless := !slices.ContainsFunc(i.heads, func(h Head) bool {
			return h.lane == l.Name && h.last >= end.Seq && (h.last > end.Seq || h.chain == end.Chain.ID())
		})
		if headless && len(missing) == 0 {
			missing = []lack{{lane: l, end: end, from: end.Seq + 1, to: end.Seq}}
		}
		for _, m := range missing {
			m.headless = headless
			i.lack = append(i.lack, m)
			i.out.Missing = append(i.out.Missing, Gap{Lane: l.Name, Name: i.v.label(l.Name), From: m.from, To: m.to})
		}
	}
	return nil
}

// uncovered gives the runs of the history that ends at end which no segment
// covers.
func (i *inspection) uncovered(tx *sqlite.Tx, l sqlite.Lane, end sqlite.End, forked bool) ([]lack, error) {
	var path []sqlite.RawEvent
	if forked {
		var err error
		if path, err = tx.Branch(l.Name, 0, end); err != nil {
			return nil, err
		}
	}
	var runs []run
	for _, n := range i.segs[l.Name] {
		held, err := tx.Holds(n.lane, n.last, n.chain)
		if err == nil && held && forked {
			n.run, err = onPath(tx, n, path)
		}
		if err != nil {
			return nil, err
		}
		if held && n.first <= n.last {
			runs = append(runs, n.run)
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
func onPath(tx *sqlite.Tx, n segName, path []sqlite.RawEvent) (run, error) {
	if n.last <= int64(len(path)) && path[n.last-1].Chain.ID() == n.chain {
		return n.run, nil
	}
	ends, err := tx.RawEvents(n.lane, n.last-1, n.last)
	if err != nil {
		return n.run, err
	}
	k := slices.IndexFunc(ends, func(e sqlite.RawEvent) bool { return e.Chain.ID() == n.chain })
	if k < 0 {
		return run{first: 1}, nil
	}
	branch, err := tx.Branch(n.lane, n.first-1, ends[k].End)
	if err != nil {
		return n.run, err
	}
	on := n.run
	on.last = n.first - 1
	for _, e := range branch {
		if e.Seq <= int64(len(path)) && path[e.Seq-1].Chain == e.Chain {
			on.last = e.Seq
		}
	}
	return on, nil
}

// holes gives the ranges of 1 to last that no run covers.
func holes(runs []run, last int64) [][2]int64 {
	slices.SortFunc(runs, func(a, b run) int { return cmp.Compare(a.first, b.first) })
	var out [][2]int64
	next := int64(1)
	for _, r := range runs {
		if r.first > next {
			out = append(out, [2]int64{next, min(r.first-1, last)})
		}
		next = max(next, r.last+1)
		if next > last {
			return out
		}
	}
	return append(out, [2]int64{next, last})
}
