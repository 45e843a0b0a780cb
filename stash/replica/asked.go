package replica

import (
	"context"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// MachineOf names the machine that writes a lane, as far as the shared place has told.
func MachineOf(tx *sqlite.Tx) (func(stash.Lane) string, error) {
	v, found, err := exchange.LoadMembership(tx)
	if err != nil || !found {
		return func(lane stash.Lane) string { return format.Label("", lane) }, err
	}
	return v.Label, nil
}

// Asked is how many questions are open. They are looked for anew only if
// something was recorded or came in since they were looked for last, and, at
// home, only if there were any: what machines disagree about comes with a sync.
func Asked(tx *sqlite.Tx) (int, error) {
	v, found, err := exchange.LoadMembership(tx)
	if err != nil || !found || v.Asked.Open == 0 {
		return 0, err
	}
	last, err := tx.LastEvent()
	if err != nil || last == v.Asked.Upto {
		return v.Asked.Open, err
	}
	open, err := OpenQuestions(tx, v.Label)
	return len(open), err
}

// Ask looks for open questions and counts them, unless nothing has happened
// since that was done last.
func (r *Replica) Ask(ctx context.Context) (int, error) {
	var now exchange.Counted
	same := false
	err := r.part.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := exchange.LoadMembership(tx)
		if err != nil || !found {
			return err
		}
		now = v.Asked
		last, err := tx.LastEvent()
		if same = err == nil && last == now.Upto; same || err != nil {
			return err
		}
		open, err := OpenQuestions(tx, func(stash.Lane) string { return "" })
		now = exchange.Counted{Open: len(open), Upto: last}
		return err
	})
	if err != nil || same {
		return now.Open, err
	}
	return now.Open, r.part.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		v, found, err := exchange.LoadMembership(tx)
		if err != nil || !found {
			return err
		}
		v.Asked = now
		return v.Save(tx)
	})
}
