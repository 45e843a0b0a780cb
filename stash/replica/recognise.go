package replica

import (
	"context"
	"errors"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// recognise makes sure, once a run and before anything is written, that the
// place is the shared one: its format file says so, or, where that is lost,
// something there that only a machine of the vault can have sealed. The mount
// point of a stick that is not plugged in is none.
func (x *exchange) recognise(ctx context.Context) error {
	if x.recognised {
		return nil
	}
	err := x.sameVault(ctx)
	if errors.Is(err, remote.NotFound) || stepOf(err) != "" || errors.Is(err, errOther) {
		ours, failed := x.byContent(ctx)
		switch {
		case failed != nil:
			return failed
		case ours:
			x.formatLost, err = true, nil
		case !errors.Is(err, errOther):
			err = stash.Refuse(CodePlace,
				"plug in or mount what holds it, and run `endsmeet sync` again; nothing was written. If it was emptied, `endsmeet sync repair --refill` fills it from here",
				"%s does not hold the shared place: there is no format.json of it",
				stash.Clean(x.v.Place))
		}
	}
	x.recognised = err == nil
	return err
}

// errOther is the cause of refusing a place of another vault.
var errOther = errors.New("of another shared place")

// sameVault refuses a place in which another vault was set up, or one of a
// newer version. It is remote.NotFound or a *BadObject where the format file
// is not there or says nothing.
func (x *exchange) sameVault(ctx context.Context) error {
	data, err := x.Get(ctx, formatName)
	if err != nil {
		return err
	}
	f, err := readFormat(data)
	if err == nil && f.Vault != x.v.ID {
		refusal := stash.Refuse(stash.CodeRefused,
			"give the right place: `endsmeet sync leave`, then `endsmeet sync join WHERE`; nothing was written",
			"another shared place was set up in %s", stash.Clean(x.v.Place))
		refusal.Cause = errOther
		return refusal
	}
	return err
}

// byContent recognises a place whose format file is lost, damaged or of another
// one by a wrapped key or a head that is as only a machine of the vault can have
// put it, and one that is being set up by what waits to be put.
func (x *exchange) byContent(ctx context.Context) (ours bool, err error) {
	err = x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		ours, err = tx.Waits(string(formatName))
		return err
	})
	if err != nil || ours {
		return ours, err
	}
	for _, k := range x.v.Kept {
		n, _ := parseKey(k.Name)
		ours, err := x.holdsWhole(ctx, k.Name,
			func(data []byte) error { return wholeObject(k.Name, n.object, data) })
		if ours || err != nil {
			return ours, err
		}
	}
	if err := x.listHeads(ctx); err != nil {
		return false, err
	}
	for _, h := range x.heads {
		ours, err := x.holdsWhole(ctx, h.name(),
			func(data []byte) error { _, err := x.v.openHead(h.name(), data); return err })
		if ours || err != nil {
			return ours, err
		}
	}
	return false, nil
}

// holdsWhole says whether an object is there and passes a check.
func (x *exchange) holdsWhole(ctx context.Context, name remote.Name,
	check func([]byte) error) (bool, error) {
	data, err := x.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	return err == nil && check(data) == nil, err
}
