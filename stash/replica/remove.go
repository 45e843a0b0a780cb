package replica

import (
	"context"
	"slices"

	"endsmeet/stash"
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
	if err := CheckPhrase(phrase); err != nil {
		return out, err
	}
	err := r.withMachine(ctx, query, func(x *exchange, m Machine) error {
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
		out = Removed{m, newCode()}
		return x.rekey(ctx, m, phrase, out.Code)
	})
	out.Machine.Removed = err == nil
	return out, err
}

// newPhrase refuses the pass-phrase that the machine to be removed knows.
func (x *exchange) newPhrase(ctx context.Context, phrase string) error {
	mine := x.v
	_, err := x.unlock(ctx, &vault{ID: x.v.ID}, phrase)
	x.v = mine
	switch {
	case err == nil:
		return stash.Refuse(stash.CodeInput, "choose another",
			"that is the pass-phrase that the removed machine knows")
	case stash.CodeOf(err) == CodeSecret:
		return nil
	}
	return err
}

// rekey draws a new key, wraps it for those who remain, seals their records
// with it and vouches for what the removed machine wrote.
func (x *exchange) rekey(ctx context.Context, m Machine, phrase, code string) error {
	err := x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		if err := x.enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		next, err := newEpoch(v.current().Name.number + 1)
		if err != nil {
			return err
		}
		before := v.current()
		v.Epochs = append(v.Epochs, next)
		for _, lane := range m.Lanes {
			v.Removed = append(v.Removed, removal{lane, m.Name, next.Name})
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
		x.fault(PointRekeying)
		return nil
	})
	if err != nil {
		return err
	}
	x.fault(PointRekeyed)
	return x.push(ctx)
}

// giveNotice tells the machine that is shut out that it is.
func (x *exchange) giveNotice(tx *sqlite.Tx, v *vault, before epoch, removed []stash.Lane) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	told, err := v.sealNotice(before, removed, own)
	if err != nil {
		return err
	}
	return v.put(tx, told)
}

// sealRecords seals the records of the machines that remain with the new key.
func (x *exchange) sealRecords(tx *sqlite.Tx, v *vault) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, d := range slices.Clone(v.Devices) {
		if _, gone := v.removed(d.Lane); gone {
			continue
		}
		if err := v.register(tx, d, own); err != nil {
			return err
		}
	}
	return nil
}

// resealHeads puts a head under the new key, so that others see that there is
// one, and has the events of removed lanes sealed and signed anew.
func (x *exchange) resealHeads(tx *sqlite.Tx, v *vault, removed []stash.Lane) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	own, err := x.o.Store.Signer(false)
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
			d := due{lane: l, tip: sqlite.End{Seq: l.Last, Chain: l.Chain}, follows: true}
			if err := x.replaceHead(tx, v, d, own); err != nil {
				return err
			}
		}
	}
	return nil
}
