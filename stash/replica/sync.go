package replica

import (
	"context"

	"endsmeet/stash/replica/exchange"
)

// Replica is one stash as it takes part in the exchange.
type Replica struct{ part *exchange.Part }

// New makes a replica of an open stash.
func New(o exchange.Options) *Replica { return &Replica{exchange.New(o)} }

// session is one run under the lock.
type session struct{ *exchange.Session }

// begin opens the shared place of this stash.
func (r *Replica) begin(ctx context.Context) (*session, error) {
	x, err := r.part.Begin(ctx)
	return &session{x}, err
}

// Sync exchanges events with the shared place: what was not finished last
// time, what others wrote, what is new here. After an error the rest waits for
// the next run; the report says what was done.
func (r *Replica) Sync(ctx context.Context) (exchange.Report, error) {
	var report exchange.Report
	err := r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		err = x.sync(ctx)
		report = x.Done()
		return exchange.Refusal(err)
	})
	return report, err
}

// sync is an exchange; what the place turns out to lack of what is here is put back.
func (x *session) sync(ctx context.Context) error {
	for _, step := range []func(context.Context) error{x.Trade, x.heal, x.Tidy} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}
