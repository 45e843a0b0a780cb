package replica

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// clockSlack is how far ahead of ours the clock of another machine may run
// before it is mentioned.
const clockSlack = 10 * time.Minute

// pull takes in what other replicas have and this one does not.
func (x *exchange) pull(ctx context.Context) error {
	news, err := x.news(ctx)
	if err != nil {
		return err
	}
	if len(news) == 0 {
		return x.announceForks(ctx)
	}
	if err := x.learnDevices(ctx, news); err != nil {
		return err
	}
	for i := 0; i < len(news); {
		lane, end := news[i].lane, i
		for end < len(news) && news[end].lane == lane {
			end++
		}
		if err := x.pullLane(ctx, lane, news[i:end]); err != nil {
			return err
		}
		i = end
	}
	return x.announceForks(ctx)
}

// news gives the heads, by lane, whose events are not here. What a removed
// machine wrote since is no news.
func (x *exchange) news(ctx context.Context) ([]headName, error) {
	var news []headName
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		for _, h := range x.heads {
			held, err := tx.Holds(h.lane, h.last, h.chain)
			if err != nil {
				return err
			}
			if held {
				continue
			}
			if gone, ok := x.v.removed(h.lane); ok && h.epoch.less(gone.Epoch) {
				x.report.Shut = append(x.report.Shut, gone.label())
				continue
			}
			news = append(news, h)
		}
		return nil
	})
	slices.SortStableFunc(news, func(a, b headName) int { return cmp.Compare(a.lane, b.lane) })
	return news, err
}

// pullLane reads the segments of a lane that are not here, the widest first,
// as long as there is progress.
func (x *exchange) pullLane(ctx context.Context, lane stash.Lane, heads []headName) error {
	found, err := x.List(ctx, segPrefix+string(lane)+"/", "")
	if err != nil {
		return err
	}
	x.ignore(found)
	announced := int64(0)
	for _, h := range heads {
		announced = max(announced, h.last)
	}
	if err := x.pullSegments(ctx, lane, found.Names, announced); err != nil {
		return err
	}
	return x.nameGaps(ctx, lane, heads)
}

// pullSegments reads those of the segments that end at or before last: what
// lies beyond the last head is not announced yet, or never will be, because its
// writer was put back to a backup in the middle; all readers must agree on that.
func (x *exchange) pullSegments(ctx context.Context, lane stash.Lane, listed []remote.Name, last int64) error {
	p := lanePull{exchange: x, waiting: map[segName]sqlite.Incoming{}}
	for _, name := range slices.Compact(listed) {
		n, ok := parseSeg(name)
		if ok && n.last <= last {
			p.names = append(p.names, n)
		} else if !ok {
			x.report.Ignored++
		}
	}
	slices.SortFunc(p.names, widestFirst)
	return p.all(ctx)
}

// announceForks puts a head for every end of a lane under which two histories
// go on, unless there is one: an end of which no head tells would reach only
// those who happen to read the lane.
func (x *exchange) announceForks(ctx context.Context) error {
	if len(x.v.Forked) == 0 {
		return nil
	}
	return x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		for _, lane := range v.Forked {
			if err := x.announceEnds(tx, lane); err != nil {
				return err
			}
		}
		v.Forked = nil
		return nil
	})
}

func (x *exchange) announceEnds(tx *sqlite.Tx, lane stash.Lane) error {
	ends, err := tx.Ends(lane)
	if err != nil || len(ends) < 2 {
		return err
	}
	for _, end := range ends {
		told := slices.ContainsFunc(x.heads, func(h headName) bool {
			return h.lane == lane && h.last == end.Seq && h.chain == end.Chain.ID()
		})
		if told {
			continue
		}
		if err := x.announce(tx, lane, end); err != nil {
			return err
		}
	}
	return nil
}

// announce has a head put for an end of a lane, for which this replica vouches.
func (x *exchange) announce(tx *sqlite.Tx, lane stash.Lane, end sqlite.End) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(lanes, func(l sqlite.Lane) bool { return l.Name == lane })
	if i < 0 {
		return nil
	}
	signer, err := x.signerOf(x.v, lanes[i])
	if err != nil {
		return err
	}
	return x.replaceHead(tx, x.v, due{lane: lanes[i], tip: end}, signer)
}

func widestFirst(a, b segName) int {
	return cmp.Or(cmp.Compare(b.last-b.first, a.last-a.first), cmp.Compare(a.first, b.first), cmp.Compare(a.name(), b.name()))
}

// lanePull is the reading of one lane.
type lanePull struct {
	*exchange
	names []segName
	// waiting are those that were read and whose predecessor is not here.
	waiting map[segName]sqlite.Incoming
}

func (p *lanePull) all(ctx context.Context) error {
	for {
		n, found, err := p.next(ctx)
		if err != nil || !found {
			return err
		}
		if err := p.take(ctx, n); err != nil {
			return err
		}
	}
}

// next gives the widest segment that is not here and goes on from something
// that is, and strikes it off. Those already here are struck off too.
func (p *lanePull) next(ctx context.Context) (n segName, found bool, err error) {
	err = p.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		var rest []segName
		for i, candidate := range p.names {
			held, err := tx.Holds(candidate.lane, candidate.last, candidate.chain)
			if err != nil {
				return err
			}
			reachable, err := tx.HoldsAny(candidate.lane, candidate.first-1)
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

// take reads a segment and takes in its events. What cannot be taken in is
// noted and passed over.
func (p *lanePull) take(ctx context.Context, n segName) error {
	in, ready := p.waiting[n]
	if !ready {
		var err error
		if in, err = p.read(ctx, n); err != nil || in.Lane == "" {
			return err
		}
	}
	took, err := p.apply(ctx, n, in)
	var gap *sqlite.GapError
	if errors.As(err, &gap) {
		p.waiting[n] = in
		return nil
	}
	if err != nil {
		return err
	}
	p.report.Received += took.New
	if took.New > 0 { // those that waited may fit now
		for waiting := range p.waiting {
			if waiting != n {
				p.names = append(p.names, waiting)
			}
		}
		slices.SortFunc(p.names, widestFirst)
		p.names = slices.Compact(p.names)
		p.progress("receiving", int64(p.report.Received), int64(p.report.Received)+p.left())
	}
	return nil
}

// left is about how many events have yet to be read.
func (p *lanePull) left() int64 {
	var sum int64
	for _, n := range p.names {
		sum += n.last - n.first + 1
	}
	return sum
}

// read gets and opens a segment; no lane means that it is not to be had now.
func (p *lanePull) read(ctx context.Context, n segName) (sqlite.Incoming, error) {
	data, err := p.Get(ctx, n.name())
	if errors.Is(err, remote.NotFound) {
		return sqlite.Incoming{}, nil // merged or late; its head stays in sight
	}
	if err != nil {
		return sqlite.Incoming{}, err
	}
	p.fault(PointRead)
	in, err := p.v.unseal(n.name(), data)
	var b *BadObject
	if errors.As(err, &b) && b.Step == StepRegister {
		if err := p.learnSigners(ctx); err != nil {
			return sqlite.Incoming{}, err
		}
		in, err = p.v.unseal(n.name(), data)
	}
	if err != nil {
		return sqlite.Incoming{}, p.refuse(ctx, err)
	}
	return in, nil
}

// apply takes in a run of events in one transaction. If it is of a lane that
// this replica writes, a twin goes on under it: what this one wrote is sealed
// up to here, and it has a new lane from now on.
func (p *lanePull) apply(ctx context.Context, n segName, in sqlite.Incoming) (took sqlite.Accepted, err error) {
	var refused *stash.Error
	err = p.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		mine, err := ownEnd(tx, in.Lane)
		if err != nil {
			return err
		}
		if took, err = tx.Accept(in); err != nil {
			return err
		}
		if took.Twin {
			p.report.Twins = append(p.report.Twins, in.Lane)
			if err := tx.Publish(mine); err != nil {
				return err
			}
		}
		if next := in.First + int64(len(in.Lines)-took.New); took.New > 0 && mine.Tip.Seq != next-1 {
			if err := p.noteFork(tx, in.Lane); err != nil {
				return err
			}
		}
		p.fault(PointApplying)
		return tx.Quarantine(string(n.name()), "")
	})
	p.fault(PointApplied)
	if errors.As(err, &refused) && (refused.Code == stash.CodeInput || refused.Code == stash.CodeNewer) {
		return sqlite.Accepted{}, p.refuse(ctx, bad(n.name(), StepChain, "%s", refused.Problem))
	}
	if err == nil {
		p.lookAtClocks(in)
	}
	return took, err
}

// noteFork remembers that two histories go on under a lane, until heads tell of
// both.
func (x *exchange) noteFork(tx *sqlite.Tx, lane stash.Lane) error {
	v, found, err := loadVault(tx)
	if err != nil || !found || slices.Contains(v.Forked, lane) {
		return err
	}
	v.Forked = append(v.Forked, lane)
	x.v = v
	return v.save(tx)
}

// ownEnd is what has been sealed of a lane and where it ends now.
func ownEnd(tx *sqlite.Tx, lane stash.Lane) (sqlite.Published, error) {
	mine := sqlite.Published{Lane: lane, Tip: &sqlite.End{}}
	published, err := tx.Published()
	if err != nil {
		return mine, err
	}
	for _, p := range published {
		if p.Lane == lane {
			mine.Mark = p.Mark
		}
	}
	lanes, err := tx.Lanes()
	for _, l := range lanes {
		if l.Name == lane {
			*mine.Tip = sqlite.End{Seq: l.Last, Chain: l.Chain}
		}
	}
	return mine, err
}

// lookAtClocks mentions a machine whose clock runs ahead. Nothing is refused
// for it.
func (x *exchange) lookAtClocks(in sqlite.Incoming) {
	line, err := stash.DecodeLine(in.Lines[len(in.Lines)-1])
	if err != nil {
		return
	}
	ahead := line.Clock.Time().Sub(x.o.Now())
	if name := x.v.label(in.Lane); ahead > clockSlack && ahead > x.report.Ahead[name] {
		x.report.Ahead[name] = ahead
	}
}

// nameGaps says what the heads of a lane promise and is not here yet.
func (x *exchange) nameGaps(ctx context.Context, lane stash.Lane, heads []headName) error {
	return x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		for _, h := range heads {
			held, err := tx.Holds(lane, h.last, h.chain)
			if err != nil {
				return err
			}
			if held {
				continue
			}
			gap := Gap{Lane: lane, Name: x.v.label(lane), From: 1, To: h.last}
			lanes, err := tx.Lanes()
			if err != nil {
				return err
			}
			for _, l := range lanes {
				if l.Name == lane && l.Last < h.last {
					gap.From = l.Last + 1
				}
			}
			x.report.Gaps = append(x.report.Gaps, gap)
		}
		return nil
	})
}
