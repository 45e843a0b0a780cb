package replica

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Report is what an exchange did and what it has to say.
type Report struct {
	// Received and Sent count events.
	Received int `json:"received"`
	Sent     int `json:"sent"`
	Traffic  `json:"traffic"`
	// Pictures count the files of photos, of which each has a small and a full one;
	// those that wait are not to be had yet, or were too much for one run.
	PicturesSent     int `json:"pictures_sent"`
	PicturesReceived int `json:"pictures_received"`
	PicturesWaiting  int `json:"pictures_waiting"`
	// Bad are the objects that were refused.
	Bad []BadObject `json:"-"`
	// Later are objects whose keys or whose writer's record are not to be had
	// yet.
	Later []BadObject `json:"-"`
	// Gaps are events that others have and that are not to be had yet.
	Gaps []Gap `json:"gaps"`
	// Twins are lanes of this replica under which another goes on.
	Twins []stash.Lane `json:"twins"`
	// Ahead names machines whose clock runs ahead of ours, and by how much.
	Ahead map[string]time.Duration `json:"-"`
	// Behind is what the place had lost of what is here, and was put back.
	Behind []Gap `json:"behind"`
	// PutBack counts the objects that were put back.
	PutBack int `json:"put_back"`
	// Shut names removed machines that still write.
	Shut []string `json:"shut"`
	// Locked names the machine that has changed the key and not given it to this
	// one: it has left a notice of that, which was verified. It is seen anew in
	// every run.
	Locked string `json:"locked"`
	// TwoKeys says that two machines changed the key at the same time: the
	// removal has to be done once more.
	TwoKeys bool `json:"two_keys"`
	// Strange counts heads under a key that nobody has told this machine of.
	Strange int `json:"strange"`
	// Ignored counts what lies there and is not ours; Examples are some.
	Ignored  int      `json:"ignored"`
	Examples []string `json:"-"`
	// Consolidated counts segments that were merged into one.
	Consolidated int `json:"consolidated"`
}

// Gap is a run of events of a lane that is missing.
type Gap struct {
	Lane stash.Lane `json:"lane"`
	Name string     `json:"name"`
	From int64      `json:"from"`
	To   int64      `json:"to"`
	// Holders name the machines that have seen them, where that is known.
	Holders []string `json:"holders,omitempty"`
}

// exchange is one run under the lock.
type exchange struct {
	*Replica
	*meter
	v      *vault
	place  Place
	report Report
	heads  []headName
	// opened are the heads among them that were read and verified, and fresh
	// the ones of them that were not there in the run before.
	opened map[headName]Head
	fresh  []Head
	// before is how far every lane was there and here when the run began.
	before map[stash.Lane]int64
	// suspects are the lanes of which the place may lack something that is
	// here, each with the number up to which nobody lacks it.
	suspects map[stash.Lane]int64
	// recognised says that the place has shown that it is the shared one,
	// formatLost that its format file did not.
	recognised, formatLost bool
	// newer is the epoch of a newer key, to go by the names of heads.
	newer string
	// learned says that all records have been read in this run.
	learned bool
	// whole are the segments of this replica that were read again in this run,
	// and whether they are as they were put.
	whole map[segName]bool
}

// begin opens the shared place of this stash.
func (r *Replica) begin(ctx context.Context) (*exchange, error) {
	x := &exchange{Replica: r, report: Report{Ahead: map[string]time.Duration{}},
		suspects: map[stash.Lane]int64{}}
	err := r.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := loadVault(tx)
		if err == nil && !found {
			err = stash.Refuse(stash.CodeRefused,
				"`endsmeet sync setup WHERE` makes one, `endsmeet sync join WHERE` takes part in one", "this stash has no shared place yet")
		}
		x.v = v
		return err
	})
	if err != nil {
		return nil, err
	}
	if err := x.open(ctx, x.v.Place); err != nil {
		return x, err
	}
	return x, x.enrolled(ctx)
}

// enrolled makes sure that this replica's lane has a record before it signs
// anything: a copy of a stash takes part under a lane that nobody knows yet.
func (x *exchange) enrolled(ctx context.Context) error {
	own, err := x.o.Store.Signers()
	if err != nil {
		return err
	}
	for _, s := range own {
		if _, known := x.v.device(s.Lane); known && !s.Private && !s.Former {
			return nil
		}
	}
	return x.change(ctx, func(v *vault, tx *sqlite.Tx) error { return x.enrol(tx, v) })
}

// open opens the place at an address under the name of this replica.
func (x *exchange) open(ctx context.Context, address string) error {
	var owner sqlite.Signer
	err := x.o.Store.Act(ctx, func(*sqlite.Tx) error {
		var err error
		owner, err = x.o.Store.Signer(false)
		return err
	})
	if err != nil {
		return err
	}
	x.place, err = x.o.Open(address, string(owner.Lane))
	x.meter = &meter{under: x.place.Remote}
	return placeError(err)
}

// Sync exchanges events with the shared place: what was not finished last
// time, what others wrote, what is new here. After an error the rest waits for
// the next run; the report says what was done.
func (r *Replica) Sync(ctx context.Context) (Report, error) {
	var report Report
	err := r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		err = x.sync(ctx)
		report = x.done()
		return placeError(err)
	})
	return report, err
}

func (x *exchange) done() Report {
	x.report.Traffic = x.traffic
	x.report.TwoKeys = x.v.twoKeys()
	return x.report
}

func (x *exchange) sync(ctx context.Context) error {
	for _, step := range []func(context.Context) error{
		x.finish, x.freeze, x.noteBefore, x.listHeads, x.refreshKeys, x.readHeads, x.retry, x.pull,
		x.vouch, x.push, x.tell, x.heal, x.pictures, x.consolidate,
	} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

// finish does what waits in the outbox, in its order. What could not be
// deleted waits on; what could not be put stops the run.
func (x *exchange) finish(ctx context.Context) error {
	var after, done int64
	var total int64
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		total, _, err = tx.PendingPuts()
		return err
	})
	for err == nil {
		var next sqlite.Pending
		var found bool
		err = x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
			var err error
			next, found, err = tx.NextPending(after, x.o.Now())
			return err
		})
		if err != nil || !found {
			return err
		}
		if err = x.recognise(ctx); err != nil {
			return err
		}
		after = next.N
		if err = x.finishOne(ctx, next); next.Data != nil {
			done++
			x.progress("sending", done, total)
		}
	}
	return err
}

func (x *exchange) finishOne(ctx context.Context, p sqlite.Pending) error {
	var err error
	if p.Data != nil {
		err = x.deliver(ctx, remote.Name(p.Name), p.Data)
	} else {
		var may bool
		may, err = x.deletable(ctx, remote.Name(p.Name))
		if err == nil && !may {
			return x.spare(ctx, p)
		}
		if err == nil {
			err = x.Delete(ctx, remote.Name(p.Name))
		}
		if remote.KindOf(err) == remote.Retry {
			return nil // it can wait
		}
	}
	if err != nil {
		return err
	}
	x.fault(PointPut)
	err = x.o.Store.Act(ctx, func(tx *sqlite.Tx) error { return tx.DonePending(p.N) })
	x.fault(PointStruck)
	return err
}

// deliver puts an object and reads it back: only what is seen there is
// delivered. A place that took it and does not show it is asked once more.
func (x *exchange) deliver(ctx context.Context, name remote.Name, data []byte) error {
	for range 2 {
		if err := x.Put(ctx, name, data); err != nil {
			return err
		}
		back, err := x.Get(ctx, name)
		if err == nil && bytes.Equal(back, data) {
			return nil
		}
		if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
	}
	return stash.Refuse(CodePlace,
		"look at what holds it, and run `endsmeet sync` again; nothing is lost",
		"the shared place took a file and does not show it as it was put: %s", name)
}

func (x *exchange) progress(step string, done, total int64) {
	if x.o.Progress != nil && total > 1 {
		x.o.Progress(step, done, total)
	}
}

// listHeads lists who has what.
func (x *exchange) listHeads(ctx context.Context) error {
	found, err := x.List(ctx, headPrefix, "")
	if err != nil {
		return err
	}
	x.fault(PointListed)
	x.ignore(found)
	x.heads = nil
	for _, name := range slices.Compact(found.Names) {
		if n, ok := parseHead(name); ok {
			x.heads = append(x.heads, n)
		} else {
			x.report.Ignored++
			x.report.Examples = append(x.report.Examples, string(name))
		}
	}
	return nil
}

// ignore counts what lies in the shared place and is not ours.
func (x *exchange) ignore(found remote.Listing) {
	x.report.Ignored += found.Ignored
	x.report.Examples = append(x.report.Examples, found.Examples...)
}

// refuse notes an object that failed a check; other errors pass. One whose
// keys or whose writer's record may yet come is only mentioned.
func (x *exchange) refuse(ctx context.Context, err error) error {
	var b *BadObject
	if !errors.As(err, &b) {
		return err
	}
	switch b.Step {
	case StepRegister, StepKey:
		x.report.Later = append(x.report.Later, *b)
		return nil
	case StepRemoved: // others have vouched for what counts of it
		return nil
	}
	x.report.Bad = append(x.report.Bad, *b)
	return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		return tx.Quarantine(string(b.Name),
			b.Problem)
	})
}

// freeze fixes the end of lanes that this replica wrote and, being a copy or a
// restored backup, writes no more, before anything of theirs comes in.
func (x *exchange) freeze(ctx context.Context) error {
	var loose []sqlite.Published
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		published, err := tx.Published()
		loose = looseEnds(lanes, published)
		return err
	})
	if err != nil || len(loose) == 0 {
		return err
	}
	return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		for _, p := range loose {
			if err := tx.Publish(p); err != nil {
				return err
			}
		}
		return nil
	})
}

// looseEnds gives the lanes that are noted as written here and are not, and
// those of which nothing is noted, which therefore never came from the shared
// place: the origin of this copy wrote them and may be gone.
func looseEnds(lanes []sqlite.Lane, published []sqlite.Published) []sqlite.Published {
	var loose []sqlite.Published
	for _, l := range lanes {
		p := sqlite.Published{Lane: l.Name}
		if i := slices.IndexFunc(published,
			func(p sqlite.Published) bool { return p.Lane == l.Name }); i >= 0 {
			p = published[i]
		}
		if p.Tip == nil && !l.Own && l.Last > 0 {
			p.Tip = &sqlite.End{Seq: l.Last, Chain: l.Chain}
			loose = append(loose, p)
		}
	}
	return loose
}
