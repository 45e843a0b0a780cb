package sqlite

import (
	"cmp"
	"encoding/json"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"endsmeet/stash"
)

// foldJob is a subject whose view is made anew: folded from nothing where there
// is no state, and put into JSON.
type foldJob struct {
	n            int64
	id           stash.Subject
	what         stash.What
	facts, moves []stash.Event // what it is folded from, see take
	touches      uint64        // the sum of the hashes of all that was noted of it
	state        any
	raw          []byte
	postings     []stash.Posting
	err          error
}

// work is what a batch does with each of its jobs.
type work func(*foldJob, *lockedEnv) error

// batch is some jobs that are folded at one time.
type batch struct {
	jobs []*foldJob
	busy sync.WaitGroup
}

// The size of a batch: so many jobs at most, and no more once it has so many
// events.
const (
	batchJobs   = 512
	batchEvents = 16_384
)

// flushViews folds what is stale and writes back what changed, in the order of
// the subjects' numbers.
func (tx *Tx) flushViews() error {
	if err := tx.insertHeld(); err != nil {
		return err
	}
	numbers := make([]int64, 0, len(tx.views))
	for n, v := range tx.views {
		if v.dirty {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	jobs := make([]*foldJob, len(numbers))
	for i, n := range numbers {
		v := tx.views[n]
		jobs[i] = &foldJob{n: n, id: v.subject, what: v.what}
		if !v.stale {
			jobs[i].state = v.state
		}
		if !v.stale && v.receipt {
			jobs[i].raw = []byte{}
		}
	}
	return tx.foldAll(jobs, (*foldJob).view, func(j *foldJob) error {
		v := tx.views[j.n]
		v.state, v.stale, v.dirty, v.receipt = j.state, false, false, len(j.raw) == 0
		return tx.writeView(j)
	})
}

// foldAll does jobs in their order and tells of each when it is done. While a
// batch is folded, the events of the next are read.
func (tx *Tx) foldAll(jobs []*foldJob, do work, done func(*foldJob) error) error {
	env, err := tx.lockedEnv()
	if err != nil {
		return err
	}
	var under, next *batch
	defer func() { under.wait(); next.wait() }()
	for len(jobs) > 0 {
		if next, err = env.read(jobs); err != nil {
			return err
		}
		jobs = jobs[len(next.jobs):]
		next.start(env, do)
		if err := under.finish(env, done); err != nil {
			return err
		}
		under, next = next, nil
	}
	if err := under.finish(env, done); err != nil {
		return err
	}
	return tx.insertHeld()
}

// start does the jobs of a batch in the background.
func (b *batch) start(env *lockedEnv, do work) {
	each := len(b.jobs)/(4*runtime.GOMAXPROCS(0)) + 1
	for part := range slices.Chunk(b.jobs, each) {
		b.busy.Go(func() {
			for _, j := range part {
				j.err = do(j, env)
			}
		})
	}
}

func (b *batch) wait() {
	if b != nil {
		b.busy.Wait()
	}
}

// finish waits for a batch and tells of its jobs.
func (b *batch) finish(env *lockedEnv, done func(*foldJob) error) error {
	if b == nil {
		return nil
	}
	b.busy.Wait()
	env.Lock()
	defer env.Unlock()
	for i, j := range b.jobs {
		if j.err != nil {
			return j.err
		}
		if err := done(j); err != nil {
			return err
		}
		b.jobs[i] = nil
	}
	return nil
}

// view folds a job, if it is not, and puts the state into JSON, but that of a package
// which its receipt alone tells of.
func (j *foldJob) view(env *lockedEnv) (err error) {
	if j.state == nil {
		if err := j.decode(env.dates); err != nil {
			return err
		}
		if j.fromReceipt(env) {
			return nil
		}
		j.state = foldEvents(j.id, j.what, j.facts, j.moves, env)
		j.facts, j.moves = nil, nil
	}
	if j.raw != nil {
		return nil // it has no state of its own
	}
	if j.raw, err = json.Marshal(j.state); err != nil {
		return fmt.Errorf("view of %s: %w", j.id, err)
	}
	return nil
}

// replay gives the postings of a package.
func (j *foldJob) replay(env *lockedEnv) error {
	if err := j.decode(env.dates); err != nil {
		return err
	}
	p, postings := stash.Postings(stash.PackageID(j.id), j.facts, j.moves, env)
	j.state, j.postings, j.facts, j.moves = &p, postings, nil, nil
	return nil
}

// decode reads the lines of a job that were not read yet.
func (j *foldJob) decode(dates *redates) error {
	return cmp.Or(dates.decode(j.facts), dates.decode(j.moves))
}

// foldEvents folds a subject from all its events. Only those of a package are
// of two sorts.
func foldEvents(id stash.Subject, what stash.What, facts, moves []stash.Event, env stash.Env) any {
	switch what {
	case stash.WhatPackage:
		p := stash.FoldPackage(stash.PackageID(id), facts, moves, env)
		return &p
	case stash.WhatYarn:
		y := stash.FoldYarn(stash.YarnID(id), facts, env)
		return &y
	case stash.WhatProject:
		b := stash.FoldProject(stash.ProjectID(id), facts, env)
		return &b
	case stash.WhatPiece:
		p := stash.FoldPiece(stash.PieceID(id), facts, env)
		return &p
	case stash.WhatPerson:
		p := stash.FoldPerson(stash.PersonID(id), facts, env)
		return &p
	case stash.WhatPhoto:
		p := stash.FoldPhoto(stash.PhotoID(id), facts, env)
		return &p
	}
	shown := stash.FoldFacts(id, facts, env).Shown()
	return &shown
}

// lockedEnv lets several folds ask about other subjects (stash.Env). Whoever
// holds its lock may use the transaction.
type lockedEnv struct {
	sync.Mutex
	tx        *Tx
	lives     map[stash.PieceID]stash.Life
	reversals *undoTable
	dates     *redates
}

func (tx *Tx) lockedEnv() (*lockedEnv, error) {
	dates, err := tx.redates()
	if err != nil {
		return nil, err
	}
	u, err := tx.reversals()
	return &lockedEnv{tx: tx, lives: map[stash.PieceID]stash.Life{}, reversals: u, dates: dates}, err
}

// read makes the next batch out of the first jobs.
func (env *lockedEnv) read(jobs []*foldJob) (*batch, error) {
	env.Lock()
	defer env.Unlock()
	jobs = jobs[:min(batchJobs, len(jobs))]
	n, err := env.tx.readEvents(jobs)
	return &batch{jobs: jobs[:n]}, err
}

// Life is what is known of the making of a piece.
func (env *lockedEnv) Life(id stash.PieceID) stash.Life {
	env.Lock()
	defer env.Unlock()
	l, known := env.lives[id]
	if !known {
		l = env.tx.Life(id)
		env.lives[id] = l
	}
	return l
}

// Undone says whether an act was reversed.
func (env *lockedEnv) Undone(act stash.Act) bool {
	return env.reversals.undone(act)
}
