package exchange

import (
	"cmp"
	"context"
	"errors"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// pull takes in what other replicas have and this one does not.
func (x *Session) pull(ctx context.Context) error {
	news, err := x.news(ctx)
	if err != nil {
		return err
	}
	if len(news) > 0 {
		if err := x.pullAnnounced(ctx, news); err != nil {
			return err
		}
	}
	if err := x.nameGaps(ctx); err != nil {
		return err
	}
	return x.AnnounceForks(ctx)
}

// pullAnnounced reads what heads tell of: their names say where to look, and only
// what is verified is taken in.
func (x *Session) pullAnnounced(ctx context.Context, announced map[stash.Lane]int64) error {
	p := puller{Session: x, waiting: map[format.SegmentName]sqlite.Incoming{}}
	for _, lane := range slices.Sorted(maps.Keys(announced)) {
		if err := p.list(ctx, lane, announced[lane]); err != nil {
			return err
		}
	}
	if err := p.all(ctx); err != nil {
		return err
	}
	return x.forgetMended(ctx)
}

// forgetMended forgets the damaged segments whose events came in another way.
func (x *Session) forgetMended(ctx context.Context) error {
	if x.Report.Received == 0 {
		return nil
	}
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		noted, err := tx.Quarantined()
		if err != nil {
			return err
		}
		for _, q := range noted {
			n, ok := format.ParseSegment(remote.Name(q.Name))
			if !ok {
				continue
			}
			held, err := tx.Holds(n.Lane, n.Last, n.Chain)
			if err == nil && held {
				err = tx.Quarantine(q.Name, "")
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// news gives the lanes of which there is more than is here, by the names of
// heads or by what verified heads have seen, and up to which number.
func (x *Session) news(ctx context.Context) (map[stash.Lane]int64, error) {
	news := map[stash.Lane]int64{}
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		for _, h := range x.Heads {
			_, known := x.Member.Device(h.Lane)
			_, shut := x.Member.Shut(h)
			if !known || shut {
				continue
			}
			held, err := HoldsHead(tx, h)
			if err != nil {
				return err
			}
			if !held {
				news[h.Lane] = max(news[h.Lane], h.Last)
			}
		}
		for lane, c := range x.claimed() {
			any, err := tx.HoldsAny(lane, c.last)
			if err != nil {
				return err
			}
			if !any {
				news[lane] = max(news[lane], c.last)
			}
		}
		return nil
	})
	return news, err
}

// puller reads the segments of the lanes that have news, and takes in many at
// a time: lanes speak of the same packages, which are then folded once and not
// with every segment.
type puller struct {
	*Session
	names []format.SegmentName
	batch []parcel
	size  int // of the lines in the batch
	// waiting are those that were read and whose predecessor is not here.
	waiting map[format.SegmentName]sqlite.Incoming
}

// parcel is a segment that was read and verified.
type parcel struct {
	name format.SegmentName
	in   sqlite.Incoming
}

// mostBytes is how many bytes of lines are taken in at once: a million events
// or so. Each time, every package that is spoken of is folded from all its
// events.
const mostBytes = 256 << 20

// list lists the segments of a lane that end at or before last: what lies
// beyond the last head is not announced yet, or never will be, because its
// writer was put back to a backup in the middle; all readers must agree on that.
func (p *puller) list(ctx context.Context, lane stash.Lane, last int64) error {
	found, err := p.List(ctx, format.SegmentPrefix+string(lane)+"/", "")
	if err != nil {
		return err
	}
	p.ignore(found)
	p.offer(found.Names, last)
	return nil
}

// offer adds the segments among names that end at or before last.
func (p *puller) offer(names []remote.Name, last int64) {
	for _, name := range slices.Compact(names) {
		n, ok := format.ParseSegment(name)
		if ok && n.Last <= last {
			p.names = append(p.names, n)
		} else if !ok {
			p.Report.Ignored++
		}
	}
	slices.SortFunc(p.names, widestFirst)
}

// widestFirst sorts by lane, the segments with most events first.
func widestFirst(a, b format.SegmentName) int {
	return cmp.Or(cmp.Compare(a.Lane, b.Lane), cmp.Compare(b.Last-b.First, a.Last-a.First),
		cmp.Compare(a.First, b.First), cmp.Compare(a.Name(), b.Name()))
}

// all reads as long as there is something to read, or what waited fits now.
func (p *puller) all(ctx context.Context) error {
	for {
		n, found, err := p.next(ctx)
		if err != nil {
			return err
		}
		if !found && len(p.batch) == 0 {
			return nil
		}
		if found {
			if err := p.add(ctx, n); err != nil {
				return err
			}
		}
		if !found || p.size >= mostBytes {
			if err := p.flush(ctx); err != nil {
				return err
			}
		}
	}
}

// next gives the widest segment that is not here and goes on from something
// that is, and strikes it off. Those already here are struck off too.
func (p *puller) next(ctx context.Context) (n format.SegmentName, found bool, err error) {
	err = p.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		var rest []format.SegmentName
		for i, candidate := range p.names {
			held, reachable, err := p.locate(tx, candidate)
			if err != nil {
				return err
			}
			if !held && reachable {
				n, found = candidate, true
				p.names = append(rest, p.names[i+1:]...)
				return nil
			}
			if !held {
				rest = append(rest, candidate)
			}
		}
		p.names = rest
		return nil
	})
	return n, found, err
}

// locate says whether the events of a segment are here or about to be, and
// whether what comes before them is.
func (p *puller) locate(tx *sqlite.Tx, n format.SegmentName) (held, reachable bool, err error) {
	for _, b := range p.batch {
		held = held || b.name.Run == n.Run || b.name.Lane == n.Lane && b.name.Last == n.Last &&
			b.name.Chain == n.Chain
		reachable = reachable || b.name.Lane == n.Lane && b.name.First <= n.First-1 &&
			n.First-1 <= b.name.Last
	}
	if !held {
		held, err = tx.Holds(n.Lane, n.Last, n.Chain)
	}
	if err == nil && !held && !reachable {
		reachable, err = tx.HoldsAny(n.Lane, n.First-1)
	}
	return held, reachable, err
}

// add reads a segment into the batch. What cannot be read is noted and passed
// over.
func (p *puller) add(ctx context.Context, n format.SegmentName) error {
	in, ready := p.waiting[n]
	if !ready {
		var err error
		if in, err = p.read(ctx, n); err != nil || in.Lane == "" {
			return err
		}
	}
	delete(p.waiting, n)
	p.batch = append(p.batch, parcel{n, in})
	for _, raw := range in.Lines {
		p.size += len(raw)
	}
	got := int64(p.Report.Received)
	for _, b := range p.batch {
		got += int64(len(b.in.Lines))
	}
	p.Progress("receiving", got, got+p.left())
	return nil
}

// left is about how many events have yet to be read.
func (p *puller) left() int64 {
	var sum int64
	for _, n := range p.names {
		sum += n.Last - n.First + 1
	}
	return sum
}

// read gets and opens a segment; no lane means that it is not to be had now.
func (p *puller) read(ctx context.Context, n format.SegmentName) (sqlite.Incoming, error) {
	data, err := p.Get(ctx, n.Name())
	if errors.Is(err, remote.NotFound) {
		return sqlite.Incoming{}, nil // merged or late; its head stays in sight
	}
	if err != nil {
		return sqlite.Incoming{}, err
	}
	p.Fault(PointRead)
	in, err := p.Member.Unseal(n.Name(), data)
	var b *format.BadObject
	if errors.As(err, &b) && b.Step == format.StepRegister {
		if err := p.learnSigners(ctx); err != nil {
			return sqlite.Incoming{}, err
		}
		in, err = p.Member.Unseal(n.Name(), data)
	}
	if err != nil {
		return sqlite.Incoming{}, p.refuse(ctx, err)
	}
	return in, nil
}

// PullNamed takes in segments whether or not heads tell of them, those that end at or
// before last.
func (x *Session) PullNamed(ctx context.Context, names []remote.Name, last int64) error {
	p := puller{Session: x, waiting: map[format.SegmentName]sqlite.Incoming{}}
	p.offer(names, last)
	return p.all(ctx)
}
