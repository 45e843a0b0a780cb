package stashtest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// World is some replicas of one stash, what has been recorded in any of them,
// and a writer of a newer version. Its methods are the steps of a rapid state
// machine; each of them leaves it to the ledger to refuse.
type World struct {
	Replicas []*Replica
	Newer    *Writer

	yarns, packages, pieces, projects, people []stash.Subject
	acts                                      []stash.Act
	// Refused counts commands that the ledger refused, Done those recorded.
	Refused, Done int
}

// NewWorld opens new replicas, each in the file that path gives for its number.
func NewWorld(replicas int, path func(int) string) (*World, error) {
	w := &World{Newer: NewWriter(900)}
	for i := range replicas {
		r, err := Open(path(i), fmt.Sprintf("replica %d", i), uint64(i+1))
		if err != nil {
			return nil, err
		}
		r.Clock.At = r.Clock.At.Add(time.Duration(i) * 37 * time.Hour) // clocks that disagree
		w.Replicas = append(w.Replicas, r)
	}
	return w, nil
}

// Close closes all replicas.
func (w *World) Close() error {
	var errs []error
	for _, r := range w.Replicas {
		errs = append(errs, r.Close())
	}
	return errors.Join(errs...)
}

// Steps are the steps of the state machine by name.
func (w *World) Steps() map[string]func(*rapid.T) {
	return map[string]func(*rapid.T){
		"yarn": w.yarn, "receive": w.receive, "weigh": w.weigh, "take": w.take, "wind": w.wind,
		"lend": w.lend, "return": w.giveBack,
		"retire": w.retire, "set": w.set, "settings": w.settings, "project": w.project,
		"plan": w.plan, "start": w.start, "finish": w.finish,
		"abandon": w.abandon, "person": w.person, "undo": w.undo, "redate": w.redate, "newer": w.newer, "send": w.send,
	}
}

// record runs a command that drafts its events on any replica.
func (w *World) record(t *rapid.T, drafts func(*sqlite.Tx) ([]stash.Draft, error)) {
	r := rapid.SampledFrom(w.Replicas).Draw(t, "replica")
	var act stash.Act
	err := r.Act(context.Background(), func(tx *sqlite.Tx) error {
		ds, err := drafts(tx)
		if err != nil {
			return err
		}
		for _, d := range ds {
			if _, err := tx.Record(d); err != nil {
				return err
			}
		}
		act = tx.Act()
		return nil
	})
	var refusal *stash.Error
	switch {
	case errors.As(err, &refusal) && refusal.Code != stash.CodeStorage:
		w.Refused++
	case err != nil:
		t.Fatalf("%s: %v", r.Name, err)
	default:
		w.Done++
		w.acts = append(w.acts, act)
	}
}

// redate moves the dates of some of the events that a replica holds.
func (w *World) redate(t *rapid.T) {
	from := rapid.Int64Range(1, 20).Draw(t, "from")
	by := time.Duration(rapid.IntRange(-400, 400).Draw(t, "hours")) * time.Hour
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		lanes, err := tx.Lanes()
		if err != nil || len(lanes) == 0 {
			return nil, errors.Join(err, stash.Missing(stash.WhatSettings, "events"))
		}
		lane := lanes[int(from)%len(lanes)].Name
		events, err := tx.DatedEvents(func(e stash.Event) bool {
			return e.Lane == lane && e.Seq >= from && e.Seq < from+5
		})
		if err == nil && len(events) == 0 {
			err = stash.Missing(stash.WhatSettings, "events")
		}
		return sqlite.DraftRedates(events, by), err
	})
}

// one draws one of the subjects recorded so far, skipping the step if none.
func one(t *rapid.T, of []stash.Subject) stash.Subject {
	if len(of) == 0 {
		t.Skip("nothing recorded yet")
	}
	return rapid.SampledFrom(of).Draw(t, "subject")
}

func (w *World) stated(t *rapid.T, kind stash.Kind, what stash.What, list *[]stash.Subject,
	private bool) {
	fields := Facts(t, what)
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		id := tx.NewID()
		*list = append(*list, id)
		return []stash.Draft{{Kind: kind, Of: id, Private: private,
			Body: stash.Set{What: what, Fields: fields}}}, nil
	})
}

func (w *World) yarn(t *rapid.T) { w.stated(t, stash.KindYarn, stash.WhatYarn, &w.yarns, false) }
func (w *World) project(t *rapid.T) {
	w.stated(t, stash.KindProject, stash.WhatProject, &w.projects, false)
}
func (w *World) person(t *rapid.T) {
	w.stated(t, stash.KindPerson, stash.WhatPerson, &w.people, true)
}

func (w *World) receive(t *rapid.T) {
	fields := Facts(t, stash.WhatPackage)
	if len(w.yarns) > 0 {
		fields["yarn"] = JSON(rapid.SampledFrom(w.yarns).Draw(t, "yarn"))
	}
	body := stash.Receive{Fields: fields}
	if rapid.IntRange(0, 4).Draw(t, "weighed") > 0 {
		body.Reading = Readings.Draw(t, "reading")
	}
	alike := rapid.IntRange(1, 3).Draw(t, "alike")
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		var drafts []stash.Draft
		at := Moments(t, tx.Now())
		for range alike {
			id := tx.NewID()
			w.packages = append(w.packages, id)
			drafts = append(drafts, stash.Draft{Kind: stash.KindReceive, Of: id, At: at,
				Body: body})
		}
		return drafts, nil
	})
}

// move drafts one movement of a package.
func (w *World) move(t *rapid.T, draft func(*sqlite.Tx, stash.Package, stash.Move) (stash.Draft,
	error)) {
	id := stash.PackageID(one(t, w.packages))
	m := stash.Move{Mass: Masses.Draw(t, "mass"), Reading: Readings.Draw(t, "reading"),
		Force: rapid.Bool().Draw(t, "force"), Note: Texts.Draw(t, "note")}
	if len(w.pieces) > 0 && rapid.Bool().Draw(t, "for a piece") {
		m.Piece = stash.PieceID(rapid.SampledFrom(w.pieces).Draw(t, "piece"))
	}
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		p, found, err := tx.Package(id)
		if err != nil || !found {
			return nil, errors.Join(err, stash.Missing(stash.WhatPackage, string(id)))
		}
		m.At = Moments(t, tx.Now())
		d, err := draft(tx, p, m)
		return []stash.Draft{d}, err
	})
}

func (w *World) weigh(t *rapid.T) {
	w.move(t, func(_ *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		return p.Weigh(m)
	})
}

func (w *World) take(t *rapid.T) {
	how := rapid.SampledFrom([]func(stash.Package, stash.Move) (stash.Draft,
		error){stash.Package.Use, stash.Package.Discard, stash.Package.Give}).Draw(t, "how")
	w.move(t, func(_ *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		return how(p, m)
	})
}

func (w *World) lend(t *rapid.T) {
	w.move(t, func(_ *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		m.Who = "a friend"
		return p.Lend(m)
	})
}

func (w *World) giveBack(t *rapid.T) {
	w.move(t, func(_ *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		return p.Return(m)
	})
}

func (w *World) retire(t *rapid.T) {
	rest := rapid.SampledFrom([]stash.Leftover{"", stash.LeftoverDiscarded, stash.LeftoverGiven,
		stash.LeftoverLost}).Draw(t, "rest")
	w.move(t, func(_ *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		m.Leftover = rest
		return p.Retire(m)
	})
}

func (w *World) wind(t *rapid.T) {
	into, fields := stash.PackageID(one(t, w.packages)), stash.Fields(nil)
	isNew := rapid.Bool().Draw(t, "new")
	if isNew {
		fields = Facts(t, stash.WhatPackage)
	}
	w.move(t, func(tx *sqlite.Tx, p stash.Package, m stash.Move) (stash.Draft, error) {
		if isNew {
			into = stash.PackageID(tx.NewID())
			w.packages = append(w.packages, stash.Subject(into))
		}
		return p.Wind(m, into, fields)
	})
}

func (w *World) set(t *rapid.T) {
	what := rapid.SampledFrom([]stash.What{stash.WhatYarn, stash.WhatPackage, stash.WhatProject,
		stash.WhatPerson}).Draw(t, "what")
	of := map[stash.What][]stash.Subject{stash.WhatYarn: w.yarns, stash.WhatPackage: w.packages,
		stash.WhatProject: w.projects, stash.WhatPerson: w.people}
	w.setOf(t, one(t, of[what]), what)
}

func (w *World) settings(t *rapid.T) { w.setOf(t, stash.SettingsSubject, stash.WhatSettings) }

func (w *World) setOf(t *rapid.T, id stash.Subject, what stash.What) {
	fields := Facts(t, what)
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		facts, err := tx.Facts(id)
		d := stash.Draft{Kind: stash.KindSet, Of: id, Replaces: facts.Seen(fields),
			Private: what == stash.WhatPerson, Body: stash.Set{What: what, Fields: fields}}
		return []stash.Draft{d}, err
	})
}

func (w *World) plan(t *rapid.T) {
	spec := stash.ProjectFacts{Name: "a scarf"}
	plan := stash.Plan{Spec: spec, Allotments: w.allot(t)}
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		id := tx.NewID()
		w.pieces = append(w.pieces, id)
		return []stash.Draft{{Kind: stash.KindPlan, Of: id,
			Body: stash.Making{Name: "a scarf", Plan: &plan}}}, nil
	})
}

func (w *World) allot(t *rapid.T) []stash.Allotment {
	var out []stash.Allotment
	for range rapid.IntRange(0, min(3, len(w.packages))).Draw(t, "packages") {
		id := rapid.SampledFrom(w.packages).Draw(t, "package")
		out = append(out, stash.Allotment{Package: stash.PackageID(id),
			Mass: Masses.Draw(t, "mass")})
	}
	return out
}

// start puts a piece on the loom; at times for a person against their rules.
func (w *World) start(t *rapid.T) {
	id := one(t, w.pieces)
	drafts := []stash.Draft{{Kind: stash.KindStart, Of: id, Body: stash.Making{}}}
	if len(w.people) > 0 && rapid.Bool().Draw(t, "override") {
		o := stash.Override{Person: stash.PersonID(rapid.SampledFrom(w.people).Draw(t, "person")),
			Rules: []string{"fibre"}, Reason: "asked for"}
		drafts = append(drafts, stash.Draft{Kind: stash.KindOverride, Of: id, Private: true,
			Body: o})
	}
	w.record(t, func(*sqlite.Tx) ([]stash.Draft, error) { return drafts, nil })
}

func (w *World) abandon(t *rapid.T) {
	id := one(t, w.pieces)
	w.record(t, func(*sqlite.Tx) ([]stash.Draft, error) {
		return []stash.Draft{{Kind: stash.KindAbandon, Of: id,
			Body: stash.Making{Reason: "no time"}}}, nil
	})
}

// finish takes a piece off the loom: debits, weighings and thrums in one.
func (w *World) finish(t *rapid.T) {
	id := one(t, w.pieces)
	f := stash.Finish{}
	for _, a := range w.allot(t) {
		f.Debits = append(f.Debits, stash.Debit{Package: a.Package, Role: stash.RoleWarp,
			Mass: a.Mass})
		if rapid.Bool().Draw(t, "weighed") {
			f.Weighed = append(f.Weighed,
				stash.Weighed{Package: a.Package, Reading: Readings.Draw(t, "reading")})
		}
	}
	thrums := rapid.Bool().Draw(t, "thrums")
	mass, fields := Masses.Draw(t, "thrums"), Facts(t, stash.WhatPackage)
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		p, _, err := tx.Piece(stash.PieceID(id))
		if err != nil || p.State == stash.Finished {
			return nil, errors.Join(err, stash.Refuse(stash.CodeRefused, "", "finished already"))
		}
		if thrums {
			made := tx.NewID()
			w.packages = append(w.packages, made)
			f.Thrums = []stash.Thrums{{Package: stash.PackageID(made), Mass: mass, Fields: fields}}
		}
		heads, err := headsOf(tx, f.Packages())
		return []stash.Draft{{Kind: stash.KindFinish, Of: id, At: Moments(t, tx.Now()),
			Replaces: heads, Body: f}}, err
	})
}

func headsOf(tx *sqlite.Tx, ids []stash.PackageID) ([]stash.EventID, error) {
	heads := map[stash.EventID]bool{}
	for _, id := range ids {
		p, _, err := tx.Package(id)
		if err != nil {
			return nil, err
		}
		for _, h := range p.Heads {
			heads[h] = true
		}
	}
	return slices.SortedFunc(maps.Keys(heads),
		func(a, b stash.EventID) int { return slices.Compare(a[:], b[:]) }), nil
}

// undo reverses any act, an undo too.
func (w *World) undo(t *rapid.T) {
	if len(w.acts) == 0 {
		t.Skip("nothing to undo yet")
	}
	act := rapid.SampledFrom(w.acts).Draw(t, "act")
	w.record(t, func(tx *sqlite.Tx) ([]stash.Draft, error) {
		events, err := tx.ActNamed(act)
		if err != nil || len(events) == 0 {
			return nil, errors.Join(err, stash.Refuse(stash.CodeUnknown, "", "not here"))
		}
		return []stash.Draft{sqlite.DraftUndo(events)}, nil
	})
}

// newer writes an event that this version cannot read, of any subject, and
// has a replica take it in.
func (w *World) newer(t *rapid.T) {
	all := slices.Concat(w.packages, w.yarns, w.pieces, w.projects, w.people)
	line := stash.Line{Of: one(t, all), Version: rapid.IntRange(1, 2).Draw(t, "version")}
	line.Kind = rapid.SampledFrom([]stash.Kind{"dye", stash.KindUse, stash.KindWeigh, stash.KindSet,
		stash.KindFinish, stash.KindUndo, stash.KindWind, stash.KindReceive,
		stash.KindStart}).Draw(t, "kind")
	body := rapid.SampledFrom([]string{`{"what":"package","fields":{"sparkle":3}}`, `[1]`,
		`{"mass_mg":"much"}`, `{"what":"loom","fields":{}}`, `{"mass_mg":5000,"twist":"S"}`, `{}`,
		`{"gross_mg":90000,"sparkle":1}`}).Draw(t, "body")
	line.Body = []byte(body)
	w.Newer.Line(line)
	r := rapid.SampledFrom(w.Replicas).Draw(t, "replica")
	if _, err := Accept(r.Store, w.Newer.Run()); err != nil {
		t.Fatalf("%s: %v", r.Name, err)
	}
}

// send has one replica take in all that another holds, in pieces of any size.
func (w *World) send(t *rapid.T) {
	from, to := rapid.SampledFrom(w.Replicas).Draw(t, "from"),
		rapid.SampledFrom(w.Replicas).Draw(t, "to")
	if from == to {
		t.Skip("to itself")
	}
	size := rapid.IntRange(1, 20).Draw(t, "size")
	runs, err := Runs(from.Store)
	for _, run := range runs {
		for _, part := range Cut(run, size) {
			if _, acceptErr := Accept(to.Store, part); acceptErr != nil {
				err = errors.Join(err, acceptErr)
			}
		}
	}
	if err != nil {
		t.Fatalf("%s to %s: %v", from.Name, to.Name, err)
	}
}
