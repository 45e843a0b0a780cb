package replica

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Setup makes a vault in an empty place for a pass-phrase and gives the code
// to be printed and put away, which opens it too. name is what this machine is to
// be called; an empty one is found. Nothing is exchanged yet.
func (r *Replica) Setup(ctx context.Context, address, phrase, name string) (code string,
	err error) {
	if err := CheckPhrase(phrase); err != nil {
		return "", err
	}
	err = r.locked(ctx, func() error {
		x, err := r.fresh(ctx, address)
		if err != nil {
			return err
		}
		if err := x.unused(ctx); err != nil {
			return placeError(err)
		}
		if code, err = x.make(ctx, phrase, name); err != nil {
			return err
		}
		return placeError(x.finish(ctx))
	})
	return code, err
}

// fresh opens a place for a stash that has none yet.
func (r *Replica) fresh(ctx context.Context, address string) (*exchange, error) {
	x := &exchange{Replica: r, recognised: true} // Setup and Join look at what is there themselves
	err := r.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := loadVault(tx)
		if err == nil && found {
			err = stash.Refuse(stash.CodeRefused, "`endsmeet sync leave` ends that",
				"this stash exchanges with %s already", stash.Clean(v.Place))
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return x, x.open(ctx, address)
}

// unused refuses a place in which a vault lies.
func (x *exchange) unused(ctx context.Context) error {
	_, err := x.Get(ctx, formatName)
	if err == nil {
		return stash.Refuse(stash.CodeRefused,
			"`endsmeet sync join WHERE` takes part in it; or give an empty place",
			"there is a shared place in %s already", stash.Clean(x.place.Address))
	}
	if !errors.Is(err, remote.NotFound) {
		return err
	}
	for _, prefix := range []string{keyPrefix, headPrefix, segPrefix} {
		found, err := x.List(ctx, prefix, "")
		if err != nil {
			return err
		}
		if len(found.Names) > 0 {
			return stash.Refuse(stash.CodeRefused,
				"if its setup was broken off, run `endsmeet sync` where it was begun; else give an empty place",
				"there are parts of a shared place in %s", stash.Clean(x.place.Address))
		}
	}
	return nil
}

// make draws the vault and puts all of it into the outbox, format.json last.
func (x *exchange) make(ctx context.Context, phrase, name string) (string, error) {
	first, err := newEpoch(1)
	if err != nil {
		return "", err
	}
	id := make([]byte, 16)
	_, _ = rand.Read(id) // never fails (crypto/rand)
	v := &vault{ID: stash.EventID(id).String(), Place: x.place.Address, Folder: x.place.Folder,
		Name: cmp.Or(stash.Clean(strings.TrimSpace(name)), machineLabel()), Looked: x.o.Now()}
	v.Epochs = []epoch{first}
	code := newCode()
	err = x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		if err := x.enrol(tx, v); err != nil {
			return err
		}
		if err := x.wrapAll(tx, v, phrase, code); err != nil {
			return err
		}
		if err := tx.Stow(string(formatName), formatOf(v.ID)); err != nil {
			return err
		}
		x.v = v
		x.fault(PointMaking)
		return v.save(tx)
	})
	if err == nil {
		x.fault(PointMade)
	}
	return code, err
}

// enrol registers the lane of this replica.
func (x *exchange) enrol(tx *sqlite.Tx, v *vault) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	return x.registered(tx, v, sqlite.Lane{Name: own.Lane, Key: own.Public()}, own)
}

// wrapAll wraps the ring for the pass-phrase, the code and every machine, and
// puts the wraps into the outbox.
func (x *exchange) wrapAll(tx *sqlite.Tx, v *vault, phrase, code string) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	byPhrase, err := v.wrapSecret(wrapPhrase, phrase, x.o.Work, own)
	if err != nil {
		return err
	}
	byCode, err := v.wrapSecret(wrapRecovery, code, codeWork, own)
	if err != nil {
		return err
	}
	wraps := []keptObject{byPhrase, byCode}
	done := map[string]bool{}
	for _, d := range v.Devices {
		if _, gone := v.removed(d.Lane); gone || done[d.Recipient] || d.Recipient == "" {
			continue
		}
		done[d.Recipient] = true
		wrap, err := v.wrapMachine(d.Recipient, own)
		if err != nil {
			return err
		}
		wraps = append(wraps, wrap)
	}
	for _, w := range wraps {
		if err := v.put(tx, w); err != nil {
			return err
		}
	}
	return nil
}

// put has an object under keys/ put, and keeps it to be put back.
func (v *vault) put(tx *sqlite.Tx, w keptObject) error {
	v.keep(w.Name, w.Data)
	return tx.Stow(string(w.Name), w.Data)
}
