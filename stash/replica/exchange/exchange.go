package exchange

import (
	"bytes"
	"context"
	"errors"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
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
	Bad []format.BadObject `json:"-"`
	// Later are objects whose keys or whose writer's record are not to be had
	// yet.
	Later []format.BadObject `json:"-"`
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

// Session is one run under the lock.
type Session struct {
	*Part
	*meter
	Member *Membership
	Place  Place
	Report Report
	Heads  []format.HeadName
	// Opened are the heads among them that were read and verified, and fresh
	// the ones of them that were not there in the run before.
	Opened map[format.HeadName]format.Head
	fresh  []format.Head
	// before is how far every lane was there and here when the run began.
	before map[stash.Lane]int64
	// Suspects are the lanes of which the place may lack something that is
	// here, each with the number up to which nobody lacks it.
	Suspects map[stash.Lane]int64
	// Recognised says that the place has shown that it is the shared one,
	// formatLost that its format file did not.
	Recognised, FormatLost bool
	// Newer is the epoch of a newer key, to go by the names of heads.
	Newer string
	// learned says that all records have been read in this run.
	learned bool
	// whole are the segments of this replica that were read again in this run,
	// and whether they are as they were put.
	whole map[format.SegmentName]bool
}

// Begin opens the shared place of this stash.
func (r *Part) Begin(ctx context.Context) (*Session, error) {
	x := &Session{Part: r, Report: Report{Ahead: map[string]time.Duration{}},
		Suspects: map[stash.Lane]int64{}}
	err := r.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := LoadMembership(tx)
		if err == nil && !found {
			err = stash.Refuse(
				stash.CodeRefused,
				"`endsmeet sync setup WHERE` makes one, `endsmeet sync join WHERE` takes part in one",
				"this stash has no shared place yet",
			)
		}
		x.Member = v
		return err
	})
	if err != nil {
		return nil, err
	}
	if err := x.Open(ctx, x.Member.Place); err != nil {
		return x, err
	}
	return x, x.enrolled(ctx)
}

// enrolled makes sure that this replica's lane has a record before it signs
// anything: a copy of a stash takes part under a lane that nobody knows yet.
func (x *Session) enrolled(ctx context.Context) error {
	own, err := x.Options.Store.Signers()
	if err != nil {
		return err
	}
	for _, s := range own {
		if _, known := x.Member.Device(s.Lane); known && !s.Private && !s.Former {
			return nil
		}
	}
	return x.Change(ctx, func(v *Membership, tx *sqlite.Tx) error { return x.Enrol(tx, v) })
}

// Open opens the place at an address under the name of this replica.
func (x *Session) Open(ctx context.Context, address string) error {
	var owner sqlite.Signer
	err := x.Options.Store.Act(ctx, func(*sqlite.Tx) error {
		var err error
		owner, err = x.Options.Store.Signer(false)
		return err
	})
	if err != nil {
		return err
	}
	x.Place, err = x.Options.Open(address, string(owner.Lane))
	x.meter = &meter{under: x.Place.Remote}
	return Refusal(err)
}

// Done is the report of the session, with its traffic.
func (x *Session) Done() Report {
	x.Report.Traffic = x.Traffic
	x.Report.TwoKeys = x.Member.TwoKeys()
	return x.Report
}

// Finish does what waits in the outbox, in its order. What could not be
// deleted waits on; what could not be put stops the run.
func (x *Session) Finish(ctx context.Context) error {
	var after, done int64
	var total int64
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		total, _, err = tx.PendingPuts()
		return err
	})
	for err == nil {
		var next sqlite.Pending
		var found bool
		err = x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
			var err error
			next, found, err = tx.NextPending(after, x.Options.Now())
			return err
		})
		if err != nil || !found {
			return err
		}
		if err = x.Recognise(ctx); err != nil {
			return err
		}
		after = next.N
		if err = x.finishOne(ctx, next); next.Data != nil {
			done++
			x.Progress("sending", done, total)
		}
	}
	return err
}

func (x *Session) finishOne(ctx context.Context, p sqlite.Pending) error {
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
	x.Fault(PointPut)
	err = x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error { return tx.DonePending(p.N) })
	x.Fault(PointStruck)
	return err
}

// deliver puts an object and reads it back: only what is seen there is
// delivered. A place that took it and does not show it is asked once more.
func (x *Session) deliver(ctx context.Context, name remote.Name, data []byte) error {
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

// Progress tells whoever asked how far a step is, where it has more than one part.
func (x *Session) Progress(step string, done, total int64) {
	if x.Options.Progress != nil && total > 1 {
		x.Options.Progress(step, done, total)
	}
}

// ListHeads lists who has what.
func (x *Session) ListHeads(ctx context.Context) error {
	found, err := x.List(ctx, format.HeadPrefix, "")
	if err != nil {
		return err
	}
	x.Fault(PointListed)
	x.ignore(found)
	x.Heads = nil
	for _, name := range slices.Compact(found.Names) {
		if n, ok := format.ParseHead(name); ok {
			x.Heads = append(x.Heads, n)
		} else {
			x.Report.Ignored++
			x.Report.Examples = append(x.Report.Examples, string(name))
		}
	}
	return nil
}

// ignore counts what lies in the shared place and is not ours.
func (x *Session) ignore(found remote.Listing) {
	x.Report.Ignored += found.Ignored
	x.Report.Examples = append(x.Report.Examples, found.Examples...)
}

// refuse notes an object that failed a check; other errors pass. One whose
// keys or whose writer's record may yet come is only mentioned.
func (x *Session) refuse(ctx context.Context, err error) error {
	var b *format.BadObject
	if !errors.As(err, &b) {
		return err
	}
	switch b.Step {
	case format.StepRegister, format.StepKey:
		x.Report.Later = append(x.Report.Later, *b)
		return nil
	case format.StepRemoved: // others have vouched for what counts of it
		return nil
	}
	x.Report.Bad = append(x.Report.Bad, *b)
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		return tx.Quarantine(string(b.Name), b.Problem)
	})
}

// freeze fixes the end of lanes that this replica wrote and, being a copy or a
// restored backup, writes no more, before anything of theirs comes in.
func (x *Session) freeze(ctx context.Context) error {
	var loose []sqlite.Published
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
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
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
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

// Trade sends and receives: what was not finished last time, what others wrote, what
// is new here.
func (x *Session) Trade(ctx context.Context) error {
	return inTurn(ctx, x.Finish, x.freeze, x.noteBefore, x.ListHeads, x.refreshKeys, x.ReadHeads,
		x.retry, x.pull, x.vouch, x.Push, x.tell)
}

// Tidy exchanges pictures and merges small segments.
func (x *Session) Tidy(ctx context.Context) error { return inTurn(ctx, x.pictures, x.consolidate) }

func inTurn(ctx context.Context, steps ...func(context.Context) error) error {
	for _, step := range steps {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}
