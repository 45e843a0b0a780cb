package replica

import (
	"context"
	"errors"
	"slices"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Join takes part in the vault in a place. typed is the pass-phrase, the
// printed code, or a code shown on another machine; name is what this machine
// is to be called. An empty one is found.
func (r *Replica) Join(ctx context.Context, address, typed, name string) error {
	return r.part.Locked(ctx, func() error {
		x, err := r.fresh(ctx, address)
		if err != nil {
			return err
		}
		return exchange.Refusal(x.join(ctx, typed, name))
	})
}

func (x *session) join(ctx context.Context, typed, name string) error {
	data, err := x.Get(ctx, format.FileName)
	if errors.Is(err, remote.NotFound) {
		return stash.Refuse(
			stash.CodeRefused,
			"check the address; `endsmeet sync setup WHERE` makes one; a folder that a service keeps the same may not be complete yet",
			"there is no shared place in %s",
			stash.Clean(x.Place.Address),
		)
	}
	if err != nil {
		return err
	}
	f, err := format.ReadFile(data)
	if err != nil {
		return repairable(err)
	}
	v := &exchange.Membership{
		Vault:  format.Vault{ID: f.Vault},
		Place:  x.Place.Address,
		Folder: x.Place.Folder,
		Name:   name,
		Looked: x.Options.Now(),
	}
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
	return x.Finish(ctx)
}

// anew has this replica write under a new lane, with a new secret, if it was
// removed from the vault and is let in again: nobody takes in what stands under
// the old one.
func (x *session) anew(ctx context.Context, v *exchange.Membership) error {
	own, err := x.Options.Store.Signers()
	if err != nil {
		return err
	}
	for _, s := range own {
		if _, gone := v.RemovedLane(s.Lane); gone && !s.Former {
			return x.Options.Store.Act(ctx, (*sqlite.Tx).Renew)
		}
	}
	return nil
}

// repairable turns damage into a refusal that says who can mend it.
func repairable(err error) error {
	var b *format.BadObject
	if !errors.As(err, &b) {
		return err
	}
	refusal := stash.Refuse(exchange.CodePlace,
		"have another machine run `endsmeet sync repair`, and join then",
		"the shared place is damaged: %s", b.Error())
	refusal.Cause = err
	return refusal
}

// unlock opens the newest ring that the secret fits and fills it into v. It
// gives the name of the invitation that was used, if one was.
func (x *session) unlock(ctx context.Context, v *exchange.Membership,
	typed string) (invite remote.Name, err error) {
	secret, _, err := format.SecretOf(typed)
	if err != nil {
		return "", err
	}
	identity, err := age.NewScryptIdentity(secret)
	if err != nil {
		return "", stash.Refuse(exchange.CodeSecret, "type the pass-phrase, or a code",
			"the pass-phrase is empty")
	}
	identity.SetMaxWorkFactor(format.MostWork)
	found, err := x.List(ctx, format.KeyPrefix, "")
	if err != nil {
		return "", err
	}
	names := secretWraps(found.Names)
	if len(names) == 0 {
		return "", stash.Refuse(stash.CodeRefused,
			"wait until the folder is complete, or have another machine run `endsmeet sync repair`",
			"the keys of the shared place are not there")
	}
	return x.unlockAny(ctx, v, names, identity, found.Names)
}

// unlockAny opens the first of the wraps that the secret opens. One that is damaged is told of
// where none opens.
func (x *session) unlockAny(ctx context.Context, v *exchange.Membership, wraps []format.KeyName,
	identity age.Identity, all []remote.Name) (invite remote.Name, err error) {
	var damaged error
	for _, n := range wraps {
		ok, err := x.open1(ctx, v, n, identity)
		var b *format.BadObject
		switch {
		case errors.As(err, &b):
			damaged = err
		case err != nil:
			return "", err
		case ok:
			if n.Kind == format.WrapInvite {
				invite = n.Name()
			}
			return invite, x.stillValid(ctx, v, all)
		}
	}
	if damaged != nil {
		return "", damaged
	}
	return "", stash.Refuse(exchange.CodeSecret,
		"capitals and spaces count; the printed code and a code from `endsmeet sync devices add` will do too",
		"that pass-phrase or code opens nothing here")
}

// stillValid refuses a secret that opened a key which was changed since, as a
// machine of the vault has left a notice of.
func (x *session) stillValid(ctx context.Context, v *exchange.Membership,
	listed []remote.Name) error {
	x.Member = v
	if err := x.ReadNotices(ctx, listed); err != nil || x.Report.Locked == "" {
		return err
	}
	return stash.Refuse(exchange.CodeSecret,
		"the key was changed when a machine was removed: give the pass-phrase or the code of then",
		"that was valid once and is no more")
}

// secretWraps are the names of wraps for pass-phrases and codes, of the
// newest epoch first.
func secretWraps(names []remote.Name) []format.KeyName {
	var out []format.KeyName
	for _, name := range slices.Compact(names) {
		if n, ok := format.ParseKey(name); ok && n.Kind != format.WrapDevice &&
			n.Kind != format.WrapNotice {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b format.KeyName) int {
		switch {
		case b.Epoch.Less(a.Epoch):
			return -1
		case a.Epoch.Less(b.Epoch):
			return 1
		}
		return 0
	})
	return out
}

// open1 tries a secret on one wrap; true if it fits, and v then has the ring.
func (x *session) open1(ctx context.Context, v *exchange.Membership, n format.KeyName,
	identity age.Identity) (bool, error) {
	opened, err := x.OpenRing(ctx, n, identity)
	if err != nil || opened == nil {
		return false, err
	}
	if opened.Wrap.Vault != v.ID {
		return false, format.Bad(n.Name(), format.StepFormat, "it belongs to another shared place")
	}
	v.Ring = opened.Ring
	return true, nil
}

// register registers this replica in the vault that v has the keys of, learns
// who else is there, and keeps the wraps so that they can be put back.
func (x *session) register(ctx context.Context, v *exchange.Membership, invite remote.Name) error {
	x.Member = v
	if err := x.ListHeads(ctx); err != nil {
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
	err := x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		if err := x.Enrol(tx, v); err != nil {
			return err
		}
		if err := x.wrapSelf(tx, v); err != nil {
			return err
		}
		if err := x.markKnown(tx); err != nil {
			return err
		}
		if invite != "" {
			if err := tx.Doom(string(invite), x.Options.Now()); err != nil {
				return err
			}
		}
		x.Fault(exchange.PointMaking)
		return v.Save(tx)
	})
	if err != nil {
		return err
	}
	x.Fault(exchange.PointMade)
	return x.WhoIsThere(ctx)
}

// openHeads opens the heads before this replica takes part. It may not know yet
// who signed them; only who has the key can have sealed them.
func (x *session) openHeads(ctx context.Context) error {
	x.Opened = map[format.HeadName]format.Head{}
	for _, n := range x.Heads {
		data, err := x.Get(ctx, n.Name())
		if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
		if err != nil {
			continue
		}
		h, err := x.Member.OpenHead(n.Name(), data)
		if err == nil || format.StepOf(err) == format.StepRegister {
			x.Opened[n] = h
		}
	}
	return nil
}

// wrapSelf wraps the ring for this machine.
func (x *session) wrapSelf(tx *sqlite.Tx, v *exchange.Membership) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	identity, err := x.Identity()
	if err != nil {
		return err
	}
	wrap, err := v.WrapMachine(identity.Recipient().String(), own)
	if err != nil {
		return err
	}
	return v.Put(tx, wrap)
}

// keepWraps keeps the wraps of the current key.
func (x *session) keepWraps(ctx context.Context, but remote.Name) error {
	found, err := x.List(ctx, format.KeyPrefix+x.Member.Current().Name.String()+"/", "")
	if err != nil {
		return err
	}
	for _, name := range slices.Compact(found.Names) {
		n, ok := format.ParseKey(name)
		if !ok || name == but {
			continue
		}
		data, err := x.Get(ctx, name)
		if err == nil && format.HashOf(data) == n.Object {
			x.Member.Keep(name, data)
		} else if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
	}
	return nil
}

// markKnown notes how much of every lane lies in the place already, from an
// earlier time, and has the rest of what is here passed on.
func (x *session) markKnown(tx *sqlite.Tx) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	for _, l := range lanes {
		mark, err := x.HeldHead(tx, l.Name)
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
