package exchange

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Due is a lane of which something has yet to be sealed.
type Due struct {
	Lane sqlite.Lane
	mark sqlite.End
	Tip  sqlite.End
	// Follows says that this replica writes the lane.
	Follows bool
}

// Push seals what is new, an object at a time, and has it put. What is sealed
// lies in the outbox from the moment at which it counts as sealed.
func (x *Session) Push(ctx context.Context) error {
	var ready []Due
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		ready, err = unsealed(tx)
		return err
	})
	if err != nil {
		return err
	}
	for more := len(ready) > 0; more; {
		err := x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
			ready, err := unsealed(tx)
			if more = err == nil && len(ready) > 0; !more {
				return err
			}
			err = x.sealNext(tx, ready[0])
			x.Fault(PointSealing)
			return err
		})
		if err != nil {
			return err
		}
		x.Fault(PointSealed)
	}
	return x.Finish(ctx)
}

// unsealed lists the lanes of which something has yet to be sealed: those that
// this replica writes, and what is left of those that it wrote or vouches for.
func unsealed(tx *sqlite.Tx) ([]Due, error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return nil, err
	}
	published, err := tx.Published()
	if err != nil {
		return nil, err
	}
	settings, err := tx.Settings()
	if err != nil {
		return nil, err
	}
	var out []Due
	for _, l := range lanes {
		d, ours := dueOf(l, published)
		if ours && d.mark.Seq < d.Tip.Seq && (!l.Private || settings.PeopleSync) {
			out = append(out, d)
		}
	}
	return out, nil
}

// dueOf is how far a lane is sealed and is to be; ours says that this replica is the one
// to seal it: it writes it, wrote it, or vouches for it.
func dueOf(l sqlite.Lane, published []sqlite.Published) (d Due, ours bool) {
	d = Due{Lane: l, Tip: sqlite.End{Seq: l.Last, Chain: l.Chain}, Follows: l.Own}
	i := slices.IndexFunc(published, func(p sqlite.Published) bool { return p.Lane == l.Name })
	if i < 0 {
		return d, l.Own
	}
	d.mark = published[i].Mark
	if tip := published[i].Tip; tip != nil && !l.Own {
		d.Tip = *tip
	}
	return d, true
}

// sealNext seals the next events of a lane, and its head when that was all.
func (x *Session) sealNext(tx *sqlite.Tx, d Due) error {
	v, found, err := LoadMembership(tx)
	if err != nil || !found {
		return err
	}
	signer, err := x.SignerOf(v, d.Lane)
	if err != nil {
		return err
	}
	if err := x.registered(tx, v, d.Lane, signer); err != nil {
		return err
	}
	events, err := nextEvents(tx, d, int64(x.Options.SegmentEvents))
	if err != nil {
		return err
	}
	n, data, err := v.Seal(d.Lane.Name, d.mark.Chain, events, signer)
	if err != nil {
		return err
	}
	if err := tx.Stow(string(n.Name()), data); err != nil {
		return err
	}
	d.mark = events[len(events)-1].End
	if err := tx.Publish(publishedUpTo(d)); err != nil {
		return err
	}
	x.Report.Sent += len(events)
	x.Member = v
	if d.Follows {
		if err := tx.NoteOwnObject(string(n.Name()), true); err != nil {
			return err
		}
	}
	if d.mark != d.Tip {
		return v.Save(tx)
	}
	if err := x.ReplaceHead(tx, v, d, signer); err != nil {
		return err
	}
	return v.Save(tx)
}

func publishedUpTo(d Due) sqlite.Published {
	p := sqlite.Published{Lane: d.Lane.Name, Mark: d.mark}
	if !d.Follows {
		p.Tip = &d.Tip
	}
	return p
}

// nextEvents reads the events that go into the next segment of a lane, at most
// most.
func nextEvents(tx *sqlite.Tx, d Due, most int64) ([]sqlite.RawEvent, error) {
	upto := min(d.Tip.Seq, d.mark.Seq+most)
	events, err := tx.RawEvents(d.Lane.Name, d.mark.Seq, upto)
	if err != nil {
		return nil, err
	}
	alone := int64(len(events)) == upto-d.mark.Seq && stash.NextChain(d.mark.Chain, d.Lane.Name,
		events[0].Raw) == events[0].Chain
	if !alone { // two histories: follow ours
		if events, err = tx.Branch(d.Lane.Name, d.mark.Seq, d.Tip); err != nil {
			return nil, err
		}
	}
	if len(events) == 0 || stash.NextChain(d.mark.Chain, d.Lane.Name,
		events[0].Raw) != events[0].Chain {
		return nil, stash.Refuse(stash.CodeStorage, "run `endsmeet check`",
			"entries after %d of machine %s do not go on from what was sent", d.mark.Seq, d.Lane.Name)
	}
	return events[:min(format.Portion(events), int(most))], nil
}

// SignerOf is who signs for a lane: itself where its key lies here and counts,
// else this replica, which vouches for it.
func (x *Session) SignerOf(v *Membership, lane sqlite.Lane) (sqlite.Signer, error) {
	signers, err := x.Options.Store.Signers()
	if err != nil {
		return sqlite.Signer{}, err
	}
	_, gone := v.RemovedLane(lane.Name)
	for _, s := range signers {
		if s.Lane == lane.Name && !gone {
			return s, nil
		}
	}
	return x.Options.Store.Signer(false)
}

// registered makes sure that the lane and its signer have a record.
func (x *Session) registered(tx *sqlite.Tx, v *Membership, lane sqlite.Lane,
	signer sqlite.Signer) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	identity, err := x.Identity()
	if err != nil {
		return err
	}
	me := format.Device{Name: v.Name, Stamp: x.Options.Now().UnixMilli(),
		Recipient: identity.Recipient().String()}
	records := []format.Device{{Lane: own.Lane, Key: own.Public()},
		{Lane: signer.Lane, Key: signer.Public()}, {Lane: lane.Name, Key: lane.Key}}
	for _, d := range records {
		_, known := v.Device(d.Lane)
		_, gone := v.RemovedLane(d.Lane)
		if known || gone {
			continue
		}
		d.Name, d.Stamp, d.Recipient, d.Private = me.Name, me.Stamp, me.Recipient,
			d.Lane == lane.Name && lane.Private
		by := own
		if d.Lane == signer.Lane {
			by = signer
		}
		if err := v.Register(tx, d, by); err != nil {
			return err
		}
	}
	return nil
}

// ReplaceHead has the head of a lane put that ends at its tip, and then those
// deleted that this database put for the lane before, if it still writes it.
func (x *Session) ReplaceHead(tx *sqlite.Tx, v *Membership, d Due, signer sqlite.Signer) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	seen, err := x.seenBy(tx, v, d.Lane.Name, lanes)
	if err != nil {
		return err
	}
	n, data, err := v.SealHead(d.Lane.Name, d.Tip, seen, x.Options.Now(), signer)
	if err != nil {
		return err
	}
	if d.Follows && !d.Lane.Private {
		v.Told = format.Claims{By: signer.Lane, Seen: seen}
	}
	if err := tx.Stow(string(n.Name()), data); err != nil || !d.Follows {
		return err
	}
	before, err := tx.OwnObjects(format.HeadPrefix + string(d.Lane.Name) + "-")
	if err != nil {
		return err
	}
	for _, old := range before {
		if err := tx.Doom(old, x.Options.Now()); err != nil {
			return err
		}
		if err := tx.NoteOwnObject(old, false); err != nil {
			return err
		}
	}
	return tx.NoteOwnObject(string(n.Name()), true)
}

// Enrol registers the lane of this replica.
func (x *Session) Enrol(tx *sqlite.Tx, v *Membership) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	return x.registered(tx, v, sqlite.Lane{Name: own.Lane, Key: own.Public()}, own)
}

// Unsent counts the events that have yet to reach the shared place.
func Unsent(tx *sqlite.Tx) (int64, error) {
	due, err := unsealed(tx)
	if err != nil {
		return 0, err
	}
	var sum int64
	for _, d := range due {
		sum += d.Tip.Seq - d.mark.Seq
	}
	return sum, nil
}
