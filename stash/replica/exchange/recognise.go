package exchange

import (
	"context"
	"errors"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Recognise makes sure, once a run and before anything is written, that the
// place is the shared one: its format file says so, or, where that is lost,
// something there that only a machine of the vault can have sealed. The mount
// point of a stick that is not plugged in is none.
func (x *Session) Recognise(ctx context.Context) error {
	if x.Recognised {
		return nil
	}
	err := x.SameVault(ctx)
	if errors.Is(err, remote.NotFound) || format.StepOf(err) != "" || errors.Is(err, ErrOther) {
		ours, failed := x.byContent(ctx)
		switch {
		case failed != nil:
			return failed
		case ours:
			x.FormatLost, err = true, nil
		case !errors.Is(err, ErrOther):
			err = stash.Refuse(
				CodePlace,
				"plug in or mount what holds it, and run `endsmeet sync` again; nothing was written. If it was emptied, `endsmeet sync repair --refill` fills it from here",
				"%s does not hold the shared place: there is no format.json of it",
				stash.Clean(x.Member.Place),
			)
		}
	}
	x.Recognised = err == nil
	return err
}

// ErrOther is the cause of refusing a place of another vault.
var ErrOther = errors.New("of another shared place")

// SameVault refuses a place in which another vault was set up, or one of a
// newer version. It is remote.NotFound or a *BadObject where the format file
// is not there or says nothing.
func (x *Session) SameVault(ctx context.Context) error {
	data, err := x.Get(ctx, format.FileName)
	if err != nil {
		return err
	}
	f, err := format.ReadFile(data)
	if err == nil && f.Vault != x.Member.ID {
		refusal := stash.Refuse(
			stash.CodeRefused,
			"give the right place: `endsmeet sync leave`, then `endsmeet sync join WHERE`; nothing was written",
			"another shared place was set up in %s",
			stash.Clean(x.Member.Place),
		)
		refusal.Cause = ErrOther
		return refusal
	}
	return err
}

// byContent recognises a place whose format file is lost, damaged or of another
// one by a wrapped key or a head that is as only a machine of the vault can have
// put it, and one that is being set up by what waits to be put.
func (x *Session) byContent(ctx context.Context) (ours bool, err error) {
	err = x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		ours, err = tx.Waits(string(format.FileName))
		return err
	})
	if err != nil || ours {
		return ours, err
	}
	for _, k := range x.Member.Kept {
		n, _ := format.ParseKey(k.Name)
		ours, err := x.holdsWhole(ctx, k.Name,
			func(data []byte) error { return format.WholeObject(k.Name, n.Object, data) })
		if ours || err != nil {
			return ours, err
		}
	}
	if err := x.ListHeads(ctx); err != nil {
		return false, err
	}
	for _, h := range x.Heads {
		ours, err := x.holdsWhole(ctx, h.Name(),
			func(data []byte) error { _, err := x.Member.OpenHead(h.Name(), data); return err })
		if ours || err != nil {
			return ours, err
		}
	}
	return false, nil
}

// holdsWhole says whether an object is there and passes a check.
func (x *Session) holdsWhole(ctx context.Context, name remote.Name,
	check func([]byte) error) (bool, error) {
	data, err := x.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	return err == nil && check(data) == nil, err
}

// LookEvery is how often the whole place is looked over though nothing seems
// to be missing: what only a new machine needs, nobody else would miss.
const LookEvery = 24 * time.Hour
