package replica

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Removed is what a removal did.
type Removed struct {
	Machine Machine
	// Code is the new code to be printed; the one before opens nothing new.
	Code string
}

// Remove shuts a machine out: from now on everything is sealed with a new key,
// which the other machines get, and which phrase, a new pass-phrase, opens.
// What the machine could read before stays readable to it.
func (r *Replica) Remove(ctx context.Context, query, phrase string) (Removed, error) {
	var out Removed
	if err := format.CheckPhrase(phrase); err != nil {
		return out, err
	}
	err := r.withMachine(ctx, query, func(x *session, m Machine) error {
		if m.Own {
			return stash.Refuse(stash.CodeRefused,
				"do it on another machine; `endsmeet sync leave` ends taking part here",
				"a machine cannot remove itself")
		}
		if m.Removed {
			return stash.Refuse(stash.CodeRefused, "", "%s was removed already", m.Name)
		}
		if err := x.newPhrase(ctx, phrase); err != nil {
			return err
		}
		if err := x.sync(ctx); err != nil { // what it wrote until now counts
			return err
		}
		out = Removed{m, format.NewCode()}
		return x.rekey(ctx, m, phrase, out.Code)
	})
	out.Machine.Removed = err == nil
	return out, err
}

// newPhrase refuses the pass-phrase that the machine to be removed knows.
func (x *session) newPhrase(ctx context.Context, phrase string) error {
	mine := x.Member
	_, err := x.unlock(ctx, &exchange.Membership{Vault: format.Vault{ID: x.Member.ID}}, phrase)
	x.Member = mine
	switch {
	case err == nil:
		return stash.Refuse(stash.CodeInput, "choose another",
			"that is the pass-phrase that the removed machine knows")
	case stash.CodeOf(err) == exchange.CodeSecret:
		return nil
	}
	return err
}

// rekey draws a new key, wraps it for those who remain, seals their records
// with it and vouches for what the removed machine wrote.
func (x *session) rekey(ctx context.Context, m Machine, phrase, code string) error {
	err := x.Change(ctx, func(v *exchange.Membership, tx *sqlite.Tx) error {
		if err := x.Enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		next, err := format.NewEpoch(v.Current().Name.Number + 1)
		if err != nil {
			return err
		}
		before := v.Current()
		v.Epochs = append(v.Epochs, next)
		for _, lane := range m.Lanes {
			v.Removed = append(
				v.Removed,
				format.Removal{Lane: lane, Name: m.Name, Epoch: next.Name},
			)
			v.Vouched = append(v.Vouched, lane)
		}
		if err := x.wrapAll(tx, v, phrase, code); err != nil {
			return err
		}
		if err := x.giveNotice(tx, v, before, m.Lanes); err != nil {
			return err
		}
		if err := x.sealRecords(tx, v); err != nil {
			return err
		}
		if err := x.resealHeads(tx, v, m.Lanes); err != nil {
			return err
		}
		x.Fault(exchange.PointRekeying)
		return nil
	})
	if err != nil {
		return err
	}
	x.Fault(exchange.PointRekeyed)
	return x.Push(ctx)
}

// giveNotice tells the machine that is shut out that it is.
func (x *session) giveNotice(tx *sqlite.Tx, v *exchange.Membership, before format.Epoch,
	removed []stash.Lane) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	told, err := v.SealNotice(before, removed, own)
	if err != nil {
		return err
	}
	return v.Put(tx, told)
}

// sealRecords seals the records of the machines that remain with the new key.
func (x *session) sealRecords(tx *sqlite.Tx, v *exchange.Membership) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, d := range slices.Clone(v.Devices) {
		if _, gone := v.RemovedLane(d.Lane); gone {
			continue
		}
		if err := v.Register(tx, d, own); err != nil {
			return err
		}
	}
	return nil
}

// resealHeads puts a head under the new key, so that others see that there is
// one, and has the events of removed lanes sealed and signed anew.
func (x *session) resealHeads(tx *sqlite.Tx, v *exchange.Membership, removed []stash.Lane) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, l := range lanes {
		if slices.Contains(removed, l.Name) && l.Last > 0 {
			tip := sqlite.End{Seq: l.Last, Chain: l.Chain}
			if err := tx.Publish(sqlite.Published{Lane: l.Name, Tip: &tip}); err != nil {
				return err
			}
		}
		if l.Name == own.Lane && l.Last > 0 {
			d := exchange.Due{Lane: l, Tip: sqlite.End{Seq: l.Last, Chain: l.Chain}, Follows: true}
			if err := x.ReplaceHead(tx, v, d, own); err != nil {
				return err
			}
		}
	}
	return nil
}
