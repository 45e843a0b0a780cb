package replica

import (
	"context"
	"slices"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Invite makes a code that lets one more machine join, for showing on this
// one. It opens the vault until it is used or the key changes.
func (r *Replica) Invite(ctx context.Context) (code string, err error) {
	err = r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		code = format.NewCode()
		err = x.Change(ctx, func(v *exchange.Membership, tx *sqlite.Tx) error {
			own, err := r.part.Options.Store.Signer(false)
			if err != nil {
				return err
			}
			wrap, err := v.WrapSecret(format.WrapInvite, code, format.CodeWork, own)
			if err != nil {
				return err
			}
			return tx.Stow(string(wrap.Name), wrap.Data)
		})
		if err != nil {
			return err
		}
		return exchange.Refusal(x.Finish(ctx))
	})
	return code, err
}

// Recode makes a new code to be printed; the one before opens nothing any more
// that is read anew.
func (r *Replica) Recode(ctx context.Context) (code string, err error) {
	err = r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		found, err := x.List(
			ctx,
			format.KeyPrefix+x.Member.Current().Name.String()+"/"+string(format.WrapRecovery)+"-",
			"",
		)
		if err != nil {
			return exchange.Refusal(err)
		}
		code = format.NewCode()
		if err := x.Change(ctx, func(v *exchange.Membership, tx *sqlite.Tx) error {
			return x.recode(tx, v, code, found.Names)
		}); err != nil {
			return err
		}
		return exchange.Refusal(x.Finish(ctx))
	})
	return code, err
}

func (x *session) recode(tx *sqlite.Tx, v *exchange.Membership, code string,
	before []remote.Name) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	v.Kept = slices.DeleteFunc(v.Kept, func(k format.Object) bool {
		n, ok := format.ParseKey(k.Name)
		return ok && n.Kind == format.WrapRecovery
	})
	wrap, err := v.WrapSecret(format.WrapRecovery, code, format.CodeWork, own)
	if err != nil {
		return err
	}
	if err := v.Put(tx, wrap); err != nil {
		return err
	}
	for _, old := range before {
		if err := tx.Doom(string(old), time.Time{}); err != nil {
			return err
		}
	}
	return nil
}
