package replica

import (
	"context"
	"slices"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Invite makes a code that lets one more machine join, for showing on this
// one. It opens the vault until it is used or the key changes.
func (r *Replica) Invite(ctx context.Context) (code string, err error) {
	err = r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		code = newCode()
		err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
			own, err := r.o.Store.Signer(false)
			if err != nil {
				return err
			}
			wrap, err := v.wrapSecret(wrapInvite, code, codeWork, own)
			if err != nil {
				return err
			}
			return tx.Stow(string(wrap.Name), wrap.Data)
		})
		if err != nil {
			return err
		}
		return placeError(x.finish(ctx))
	})
	return code, err
}

// Recode makes a new code to be printed; the one before opens nothing any more
// that is read anew.
func (r *Replica) Recode(ctx context.Context) (code string, err error) {
	err = r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		found, err := x.List(ctx,
			keyPrefix+x.v.current().Name.String()+"/"+string(wrapRecovery)+"-", "")
		if err != nil {
			return placeError(err)
		}
		code = newCode()
		if err := x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
			return x.recode(tx, v, code,
				found.Names)
		}); err != nil {
			return err
		}
		return placeError(x.finish(ctx))
	})
	return code, err
}

func (x *exchange) recode(tx *sqlite.Tx, v *vault, code string, before []remote.Name) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	v.Kept = slices.DeleteFunc(v.Kept, func(k keptObject) bool {
		n, ok := parseKey(k.Name)
		return ok && n.kind == wrapRecovery
	})
	wrap, err := v.wrapSecret(wrapRecovery, code, codeWork, own)
	if err != nil {
		return err
	}
	if err := v.put(tx, wrap); err != nil {
		return err
	}
	for _, old := range before {
		if err := tx.Doom(string(old), time.Time{}); err != nil {
			return err
		}
	}
	return nil
}
