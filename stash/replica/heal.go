package replica

import (
	"context"

	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
)

// heal looks into the lanes of which the place may lack something, reads what
// lies there of them, and puts back what is here and is not whole there: of
// whatever lane, whatever the cause.
func (x *session) heal(ctx context.Context) error {
	idle := x.Options.Now().Sub(x.Member.Looked).Abs() < exchange.LookEvery
	if len(x.Suspects) == 0 && !x.FormatLost && idle || x.Report.Locked != "" {
		return nil // nothing to look for, or shut out: what it has is not asked for
	}
	if err := x.Recognise(ctx); err != nil {
		return err
	}
	i := x.inspection()
	i.suspects = x.Suspects
	if err := i.look(ctx); err != nil {
		return err
	}
	err := x.Change(ctx, func(v *exchange.Membership, _ *sqlite.Tx) error {
		v.Looked = x.Options.Now()
		return nil
	})
	if err != nil || len(i.lack)+len(i.out.Lost)+len(i.out.Bad) == 0 && i.formatGood {
		return err
	}
	before := i.Traffic.Puts
	if err := i.mend(ctx); err != nil {
		return err
	}
	x.Report.Behind = append(x.Report.Behind, i.out.Missing...)
	x.Report.PutBack += i.Traffic.Puts - before
	return nil
}
