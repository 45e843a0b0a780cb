package exchange

import (
	"context"
	"errors"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// clockSlack is how far ahead of ours the clock of another machine may run
// before it is mentioned.
const clockSlack = 10 * time.Minute

// outcome is what became of a batch; it counts once the batch is committed.
type outcome struct {
	received int
	twins    []stash.Lane
	early    []parcel // whose predecessor is not here
}

// flush takes in the batch in one transaction. If one of the segments is
// refused by the ledger, each is taken in alone, so that the others are not
// lost with it.
func (p *puller) flush(ctx context.Context) error {
	batch := p.batch
	p.batch, p.size = nil, 0
	out, err := p.applyBatch(ctx, batch)
	if ledgerRefuses(err) && len(batch) == 1 {
		return p.refuse(ctx, format.Bad(batch[0].name.Name(), format.StepChain, "%v", err))
	}
	if ledgerRefuses(err) {
		for _, one := range batch {
			p.batch = []parcel{one}
			if err := p.flush(ctx); err != nil {
				return err
			}
		}
		return nil
	}
	if err != nil {
		return err
	}
	p.Report.Received += out.received
	p.Report.Twins = append(p.Report.Twins, out.twins...)
	for _, b := range batch {
		p.lookAtClocks(b.in)
	}
	p.wait(out)
	return nil
}

// ledgerRefuses says that what came in was refused, and not the disk.
func ledgerRefuses(err error) bool {
	var refused *stash.Error
	return errors.As(err, &refused) &&
		(refused.Code == stash.CodeInput || refused.Code == stash.CodeNewer)
}

// wait puts aside what came too early, and offers again what waited if
// something came in that it may go on from.
func (p *puller) wait(out outcome) {
	if out.received > 0 {
		for n := range p.waiting {
			p.names = append(p.names, n)
		}
	}
	for _, b := range out.early {
		p.waiting[b.name] = b.in
		if out.received > 0 {
			p.names = append(p.names, b.name)
		}
	}
	slices.SortFunc(p.names, widestFirst)
	p.names = slices.Compact(p.names)
}

// applyBatch takes in segments in one transaction.
func (p *puller) applyBatch(ctx context.Context, batch []parcel) (outcome, error) {
	var out outcome
	err := p.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		for _, b := range batch {
			err := p.accept(tx, b, &out)
			var gap *sqlite.GapError
			if errors.As(err, &gap) {
				out.early = append(out.early, b)
			} else if err != nil {
				return err
			}
		}
		p.Fault(PointApplying)
		return nil
	})
	p.Fault(PointApplied)
	return out, err
}

// accept takes in one segment. If it is of a lane that this replica writes, a
// twin goes on under it: what this one wrote is sealed up to here, and it has a
// new lane from now on.
func (p *puller) accept(tx *sqlite.Tx, b parcel, out *outcome) error {
	mine, err := ownEnd(tx, b.in.Lane)
	if err != nil {
		return err
	}
	took, err := tx.Accept(b.in)
	if err != nil {
		return err
	}
	out.received += took.New
	switch {
	case took.Twin:
		out.twins = append(out.twins, b.in.Lane)
		err = tx.Publish(mine)
	case took.New > 0:
		err = tx.NoteForeign(b.in.Lane)
	}
	if err != nil {
		return err
	}
	if next := b.in.First + int64(len(b.in.Lines)-took.New); took.New > 0 &&
		mine.Tip.Seq != next-1 {
		if err := p.noteFork(tx, b.in.Lane); err != nil {
			return err
		}
	}
	return tx.Quarantine(string(b.name.Name()), "")
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
	*mine.Tip, err = tx.LaneEnd(lane)
	return mine, err
}

// lookAtClocks mentions a machine whose clock runs ahead. Nothing is refused
// for it.
func (x *Session) lookAtClocks(in sqlite.Incoming) {
	line, err := stash.DecodeLine(in.Lines[len(in.Lines)-1])
	if err != nil {
		return
	}
	ahead := line.Clock.Time().Sub(x.Options.Now())
	if name := x.Member.Label(in.Lane); ahead > clockSlack && ahead > x.Report.Ahead[name] {
		x.Report.Ahead[name] = ahead
	}
}
