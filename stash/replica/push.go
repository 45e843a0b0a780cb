package replica

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// due is a lane of which something has yet to be sealed.
type due struct {
	lane sqlite.Lane
	mark sqlite.End
	tip  sqlite.End
	// follows says that this replica writes the lane.
	follows bool
}

// push seals what is new, an object at a time, and has it put. What is sealed
// lies in the outbox from the moment at which it counts as sealed.
func (x *exchange) push(ctx context.Context) error {
	var waiting []due
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		waiting, err = x.unsealed(tx)
		return err
	})
	if err != nil {
		return err
	}
	for more := len(waiting) > 0; more; {
		err := x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
			waiting, err := x.unsealed(tx)
			if more = err == nil && len(waiting) > 0; !more {
				return err
			}
			err = x.sealNext(tx, waiting[0])
			x.fault(PointSealing)
			return err
		})
		if err != nil {
			return err
		}
		x.fault(PointSealed)
	}
	return x.finish(ctx)
}

// unsealed lists the lanes of which something has yet to be sealed: those that
// this replica writes, and what is left of those that it wrote or vouches for.
func (x *exchange) unsealed(tx *sqlite.Tx) ([]due, error) {
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
	var out []due
	for _, l := range lanes {
		i := slices.IndexFunc(published, func(p sqlite.Published) bool { return p.Lane == l.Name })
		d := due{lane: l, tip: sqlite.End{Seq: l.Last, Chain: l.Chain}, follows: l.Own}
		if i >= 0 {
			d.mark = published[i].Mark
		}
		if i >= 0 && published[i].Tip != nil && !l.Own {
			d.tip = *published[i].Tip
		}
		if (l.Own || i >= 0) && d.mark.Seq < d.tip.Seq && (!l.Private || settings.PeopleSync) {
			out = append(out, d)
		}
	}
	return out, nil
}

// sealNext seals the next events of a lane, and its head when that was all.
func (x *exchange) sealNext(tx *sqlite.Tx, d due) error {
	v, found, err := loadVault(tx)
	if err != nil || !found {
		return err
	}
	signer, err := x.signerOf(v, d.lane)
	if err != nil {
		return err
	}
	if err := x.registered(tx, v, d.lane, signer); err != nil {
		return err
	}
	events, err := nextEvents(tx, d, int64(x.o.SegmentEvents))
	if err != nil {
		return err
	}
	n, data, err := v.seal(d.lane.Name, d.mark.Chain, events, signer)
	if err != nil {
		return err
	}
	if err := tx.Stow(string(n.name()), data); err != nil {
		return err
	}
	d.mark = events[len(events)-1].End
	if err := tx.Publish(publishedUpTo(d)); err != nil {
		return err
	}
	x.report.Sent += len(events)
	x.v = v
	if d.follows {
		if err := tx.NoteOwnObject(string(n.name()), true); err != nil {
			return err
		}
	}
	if d.mark != d.tip {
		return v.save(tx)
	}
	if err := x.replaceHead(tx, v, d, signer); err != nil {
		return err
	}
	return v.save(tx)
}

func publishedUpTo(d due) sqlite.Published {
	p := sqlite.Published{Lane: d.lane.Name, Mark: d.mark}
	if !d.follows {
		p.Tip = &d.tip
	}
	return p
}

// nextEvents reads the events that go into the next segment of a lane, at most
// most.
func nextEvents(tx *sqlite.Tx, d due, most int64) ([]sqlite.RawEvent, error) {
	upto := min(d.tip.Seq, d.mark.Seq+most)
	events, err := tx.RawEvents(d.lane.Name, d.mark.Seq, upto)
	if err != nil {
		return nil, err
	}
	alone := int64(len(events)) == upto-d.mark.Seq && stash.NextChain(d.mark.Chain, d.lane.Name,
		events[0].Raw) == events[0].Chain
	if !alone { // two histories: follow ours
		if events, err = tx.Branch(d.lane.Name, d.mark.Seq, d.tip); err != nil {
			return nil, err
		}
	}
	if len(events) == 0 || stash.NextChain(d.mark.Chain, d.lane.Name,
		events[0].Raw) != events[0].Chain {
		return nil, stash.Refuse(stash.CodeStorage, "run `endsmeet check`",
			"events after %d of lane %s do not go on from what was sent", d.mark.Seq, d.lane.Name)
	}
	return events[:min(portion(events), int(most))], nil
}

// signerOf is who signs for a lane: itself where its key lies here and counts,
// else this replica, which vouches for it.
func (x *exchange) signerOf(v *vault, lane sqlite.Lane) (sqlite.Signer, error) {
	signers, err := x.o.Store.Signers()
	if err != nil {
		return sqlite.Signer{}, err
	}
	_, gone := v.removed(lane.Name)
	for _, s := range signers {
		if s.Lane == lane.Name && !gone {
			return s, nil
		}
	}
	return x.o.Store.Signer(false)
}

// registered makes sure that the lane and its signer have a record.
func (x *exchange) registered(tx *sqlite.Tx, v *vault, lane sqlite.Lane,
	signer sqlite.Signer) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	identity, err := x.identity()
	if err != nil {
		return err
	}
	me := Device{Name: v.Name, Stamp: x.o.Now().UnixMilli(),
		Recipient: identity.Recipient().String()}
	records := []Device{{Lane: own.Lane, Key: own.Public()},
		{Lane: signer.Lane, Key: signer.Public()}, {Lane: lane.Name, Key: lane.Key}}
	for _, d := range records {
		_, known := v.device(d.Lane)
		_, gone := v.removed(d.Lane)
		if known || gone {
			continue
		}
		d.Name, d.Stamp, d.Recipient, d.Private = me.Name, me.Stamp, me.Recipient,
			d.Lane == lane.Name && lane.Private
		by := own
		if d.Lane == signer.Lane {
			by = signer
		}
		if err := v.register(tx, d, by); err != nil {
			return err
		}
	}
	return nil
}

// replaceHead has the head of a lane put that ends at its tip, and then those
// deleted that this database put for the lane before, if it still writes it.
func (x *exchange) replaceHead(tx *sqlite.Tx, v *vault, d due, signer sqlite.Signer) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	seen, err := x.seenBy(tx, v, d.lane.Name, lanes)
	if err != nil {
		return err
	}
	n, data, err := v.sealHead(d.lane.Name, d.tip, seen, x.o.Now(), signer)
	if err != nil {
		return err
	}
	if d.follows && !d.lane.Private {
		v.Told = claims{By: signer.Lane, Seen: seen}
	}
	if err := tx.Stow(string(n.name()), data); err != nil || !d.follows {
		return err
	}
	before, err := tx.OwnObjects(headPrefix + string(d.lane.Name) + "-")
	if err != nil {
		return err
	}
	for _, old := range before {
		if err := tx.Doom(old, x.o.Now()); err != nil {
			return err
		}
		if err := tx.NoteOwnObject(old, false); err != nil {
			return err
		}
	}
	return tx.NoteOwnObject(string(n.name()), true)
}
