package replica

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Setup makes a vault in an empty place for a pass-phrase and gives the code
// to be printed and put away, which opens it too. name is what this machine is to
// be called; an empty one is found. Nothing is exchanged yet.
func (r *Replica) Setup(ctx context.Context, address, phrase, name string) (code string,
	err error) {
	if err := format.CheckPhrase(phrase); err != nil {
		return "", err
	}
	err = r.part.Locked(ctx, func() error {
		x, err := r.fresh(ctx, address)
		if err != nil {
			return err
		}
		if err := x.unused(ctx); err != nil {
			return exchange.Refusal(err)
		}
		if code, err = x.make(ctx, phrase, name); err != nil {
			return err
		}
		return exchange.Refusal(x.Finish(ctx))
	})
	return code, err
}

// fresh opens a place for a stash that has none yet.
func (r *Replica) fresh(ctx context.Context, address string) (*session, error) {
	x := &session{
		&exchange.Session{Part: r.part, Recognised: true},
	} // Setup and Join look at what is there themselves
	err := r.part.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := exchange.LoadMembership(tx)
		if err == nil && found {
			err = stash.Refuse(stash.CodeRefused, "`endsmeet sync leave` ends that",
				"this stash exchanges with %s already", stash.Clean(v.Place))
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return x, x.Open(ctx, address)
}

// unused refuses a place in which a vault lies.
func (x *session) unused(ctx context.Context) error {
	_, err := x.Get(ctx, format.FileName)
	if err == nil {
		return stash.Refuse(stash.CodeRefused,
			"`endsmeet sync join WHERE` takes part in it; or give an empty place",
			"there is a shared place in %s already", stash.Clean(x.Place.Address))
	}
	if !errors.Is(err, remote.NotFound) {
		return err
	}
	for _, prefix := range []string{format.KeyPrefix, format.HeadPrefix, format.SegmentPrefix} {
		found, err := x.List(ctx, prefix, "")
		if err != nil {
			return err
		}
		if len(found.Names) > 0 {
			return stash.Refuse(
				stash.CodeRefused,
				"if its setup was broken off, run `endsmeet sync` where it was begun; else give an empty place",
				"there are parts of a shared place in %s",
				stash.Clean(x.Place.Address),
			)
		}
	}
	return nil
}

// make draws the vault and puts all of it into the outbox, format.json last.
func (x *session) make(ctx context.Context, phrase, name string) (string, error) {
	first, err := format.NewEpoch(1)
	if err != nil {
		return "", err
	}
	id := make([]byte, 16)
	_, _ = rand.Read(id) // never fails (crypto/rand)
	v := &exchange.Membership{
		Vault:  format.Vault{ID: stash.EventID(id).String()},
		Place:  x.Place.Address,
		Folder: x.Place.Folder,
		Name:   cmp.Or(stash.Clean(strings.TrimSpace(name)), machineLabel()),
		Looked: x.Options.Now(),
	}
	v.Epochs = []format.Epoch{first}
	code := format.NewCode()
	err = x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		if err := x.Enrol(tx, v); err != nil {
			return err
		}
		if err := x.wrapAll(tx, v, phrase, code); err != nil {
			return err
		}
		if err := tx.Stow(string(format.FileName), format.FileOf(v.ID)); err != nil {
			return err
		}
		x.Member = v
		x.Fault(exchange.PointMaking)
		return v.Save(tx)
	})
	if err == nil {
		x.Fault(exchange.PointMade)
	}
	return code, err
}

// wrapAll wraps the ring for the pass-phrase, the code and every machine, and
// puts the wraps into the outbox.
func (x *session) wrapAll(tx *sqlite.Tx, v *exchange.Membership, phrase, code string) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	byPhrase, err := v.WrapSecret(format.WrapPhrase, phrase, x.Options.Work, own)
	if err != nil {
		return err
	}
	byCode, err := v.WrapSecret(format.WrapRecovery, code, format.CodeWork, own)
	if err != nil {
		return err
	}
	wraps := []format.Object{byPhrase, byCode}
	done := map[string]bool{}
	for _, d := range v.Devices {
		if _, gone := v.RemovedLane(d.Lane); gone || done[d.Recipient] || d.Recipient == "" {
			continue
		}
		done[d.Recipient] = true
		wrap, err := v.WrapMachine(d.Recipient, own)
		if err != nil {
			return err
		}
		wraps = append(wraps, wrap)
	}
	for _, w := range wraps {
		if err := v.Put(tx, w); err != nil {
			return err
		}
	}
	return nil
}
