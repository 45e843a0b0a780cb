package replica

import (
	"context"
	"errors"
	"slices"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Join takes part in the vault in a place. typed is the pass-phrase, the
// printed code, or a code shown on another machine; name is what this machine
// is to be called. An empty one is found.
func (r *Replica) Join(ctx context.Context, address, typed, name string) error {
	return r.locked(ctx, func() error {
		x, err := r.fresh(ctx, address)
		if err != nil {
			return err
		}
		return placeError(x.join(ctx, typed, name))
	})
}

func (x *exchange) join(ctx context.Context, typed, name string) error {
	data, err := x.Get(ctx, formatName)
	if errors.Is(err, remote.NotFound) {
		return stash.Refuse(stash.CodeRefused,
			"check the address; `endsmeet sync setup WHERE` makes one; a folder that a service keeps the same may not be complete yet",
			"there is no shared place in %s", stash.Clean(x.place.Address))
	}
	if err != nil {
		return err
	}
	f, err := readFormat(data)
	if err != nil {
		return repairable(err)
	}
	v := &vault{ID: f.Vault, Place: x.place.Address, Folder: x.place.Folder, Name: name,
		Looked: x.o.Now()}
	invite, err := x.unlock(ctx, v, typed)
	if err != nil {
		return repairable(err)
	}
	if err := x.anew(ctx, v); err != nil {
		return err
	}
	if err := x.register(ctx, v, invite); err != nil {
		return err
	}
	return x.finish(ctx)
}

// anew has this replica write under a new lane, with a new secret, if it was
// removed from the vault and is let in again: nobody takes in what stands under
// the old one.
func (x *exchange) anew(ctx context.Context, v *vault) error {
	own, err := x.o.Store.Signers()
	if err != nil {
		return err
	}
	for _, s := range own {
		if _, gone := v.removed(s.Lane); gone && !s.Former {
			return x.o.Store.Act(ctx, (*sqlite.Tx).Renew)
		}
	}
	return nil
}

// repairable turns damage into a refusal that says who can mend it.
func repairable(err error) error {
	var b *BadObject
	if !errors.As(err, &b) {
		return err
	}
	refusal := stash.Refuse(CodePlace,
		"have another machine run `endsmeet sync repair`, and join then",
		"the shared place is damaged: %s", b.Error())
	refusal.Cause = err
	return refusal
}

// unlock opens the newest ring that the secret fits and fills it into v. It
// gives the name of the invitation that was used, if one was.
func (x *exchange) unlock(ctx context.Context, v *vault, typed string) (invite remote.Name,
	err error) {
	secret, _, err := secretOf(typed)
	if err != nil {
		return "", err
	}
	identity, err := age.NewScryptIdentity(secret)
	if err != nil {
		return "", stash.Refuse(CodeSecret, "type the pass-phrase, or a code",
			"the pass-phrase is empty")
	}
	identity.SetMaxWorkFactor(mostWork)
	found, err := x.List(ctx, keyPrefix, "")
	if err != nil {
		return "", err
	}
	names := secretWraps(found.Names)
	if len(names) == 0 {
		return "", stash.Refuse(stash.CodeRefused,
			"wait until the folder is complete, or have another machine run `endsmeet sync repair`",
			"the keys of the shared place are not there")
	}
	damaged := error(nil)
	for _, n := range names {
		ok, err := x.open1(ctx, v, n, identity)
		var b *BadObject
		switch {
		case errors.As(err, &b):
			damaged = err
		case err != nil:
			return "", err
		case ok:
			if n.kind == wrapInvite {
				invite = n.name()
			}
			return invite, x.stillValid(ctx, v, found.Names)
		}
	}
	if damaged != nil {
		return "", damaged
	}
	return "", stash.Refuse(CodeSecret,
		"mind capitals and spaces; the printed code and a code from `endsmeet sync devices add` will do too", "that pass-phrase or code opens nothing here")
}

// stillValid refuses a secret that opened a key which was changed since, as a
// machine of the vault has left a notice of.
func (x *exchange) stillValid(ctx context.Context, v *vault, listed []remote.Name) error {
	x.v = v
	if err := x.readNotices(ctx, listed); err != nil || x.report.Locked == "" {
		return err
	}
	return stash.Refuse(CodeSecret,
		"the key was changed when a machine was removed: give the pass-phrase or the code of then",
		"that was valid once and is no more")
}

// secretWraps are the names of wraps for pass-phrases and codes, of the
// newest epoch first.
func secretWraps(names []remote.Name) []keyName {
	var out []keyName
	for _, name := range slices.Compact(names) {
		if n, ok := parseKey(name); ok && n.kind != wrapDevice && n.kind != wrapNotice {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b keyName) int {
		switch {
		case b.epoch.less(a.epoch):
			return -1
		case a.epoch.less(b.epoch):
			return 1
		}
		return 0
	})
	return out
}

// open1 tries a secret on one wrap; true if it fits, and v then has the ring.
func (x *exchange) open1(ctx context.Context, v *vault, n keyName, identity age.Identity) (bool,
	error) {
	data, err := x.Get(ctx, n.name())
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	w, ring, err := unwrap(n, data, identity)
	if errors.Is(err, errNotOurs) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if w.Vault != v.ID {
		return false, bad(n.name(), StepFormat, "it belongs to another shared place")
	}
	v.Ring = ring
	return true, nil
}

// register registers this replica in the vault that v has the keys of, learns
// who else is there, and keeps the wraps so that they can be put back.
func (x *exchange) register(ctx context.Context, v *vault, invite remote.Name) error {
	x.v = v
	if err := x.listHeads(ctx); err != nil {
		return err
	}
	if err := x.openHeads(ctx); err != nil {
		return err
	}
	if err := x.keepWraps(ctx, invite); err != nil {
		return err
	}
	if err := x.nameSelf(ctx, v); err != nil {
		return err
	}
	err := x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		if err := x.enrol(tx, v); err != nil {
			return err
		}
		if err := x.wrapSelf(tx, v); err != nil {
			return err
		}
		if err := x.markKnown(tx); err != nil {
			return err
		}
		if invite != "" {
			if err := tx.Doom(string(invite), x.o.Now()); err != nil {
				return err
			}
		}
		x.fault(PointMaking)
		return v.save(tx)
	})
	if err != nil {
		return err
	}
	x.fault(PointMade)
	return x.whoIsThere(ctx)
}

// openHeads opens the heads before this replica takes part. It may not know yet
// who signed them; only who has the key can have sealed them.
func (x *exchange) openHeads(ctx context.Context) error {
	x.opened = map[headName]Head{}
	for _, n := range x.heads {
		data, err := x.Get(ctx, n.name())
		if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
		if err != nil {
			continue
		}
		h, err := x.v.openHead(n.name(), data)
		if err == nil || stepOf(err) == StepRegister {
			x.opened[n] = h
		}
	}
	return nil
}

// wrapSelf wraps the ring for this machine.
func (x *exchange) wrapSelf(tx *sqlite.Tx, v *vault) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	identity, err := x.identity()
	if err != nil {
		return err
	}
	wrap, err := v.wrapMachine(identity.Recipient().String(), own)
	if err != nil {
		return err
	}
	return v.put(tx, wrap)
}

// keepWraps keeps the wraps of the current key.
func (x *exchange) keepWraps(ctx context.Context, but remote.Name) error {
	found, err := x.List(ctx, keyPrefix+x.v.current().Name.String()+"/", "")
	if err != nil {
		return err
	}
	for _, name := range slices.Compact(found.Names) {
		n, ok := parseKey(name)
		if !ok || name == but {
			continue
		}
		data, err := x.Get(ctx, name)
		if err == nil && objectID(data) == n.object {
			x.v.keep(name, data)
		} else if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
	}
	return nil
}

// markKnown notes how much of every lane lies in the place already, from an
// earlier time, and has the rest of what is here passed on.
func (x *exchange) markKnown(tx *sqlite.Tx) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	for _, l := range lanes {
		mark, err := x.heldHead(tx, l.Name)
		if err != nil {
			return err
		}
		p := sqlite.Published{Lane: l.Name, Mark: mark}
		if !l.Own {
			p.Tip = &sqlite.End{Seq: l.Last, Chain: l.Chain}
		}
		if err := tx.Publish(p); err != nil {
			return err
		}
	}
	return nil
}

// heldHead is the furthest end of a lane that a head tells of and that is here.
func (x *exchange) heldHead(tx *sqlite.Tx, lane stash.Lane) (sqlite.End, error) {
	var best sqlite.End
	gone, removed := x.v.removed(lane)
	for h := range x.opened {
		if h.lane != lane || h.last <= best.Seq || removed && h.epoch.less(gone.Epoch) {
			continue
		}
		events, err := tx.RawEvents(lane, h.last-1, h.last)
		if err != nil {
			return best, err
		}
		for _, e := range events {
			if e.Chain.ID() == h.chain {
				best = e.End
			}
		}
	}
	return best, nil
}
