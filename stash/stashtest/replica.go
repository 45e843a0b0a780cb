package stashtest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// Replica is an open stash with its clock and a name for messages.
type Replica struct {
	*sqlite.Store
	Name  string
	Clock *Clock
}

// Open opens a replica in a file; replicas with different seeds differ in the
// names that they draw.
func Open(path, name string, seed uint64) (*Replica, error) {
	clock := NewClock()
	s, err := sqlite.Open(context.Background(), path, clock.Options(seed))
	return &Replica{Store: s, Name: name, Clock: clock}, err
}

// empty is an empty stash, made once: to make one takes as long as many commands.
var empty = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "endsmeet-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	s, err := sqlite.Open(context.Background(), filepath.Join(folder, "empty.db"),
		NewClock().Options(0))
	if err != nil {
		return nil, err
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(s.Path())
})

// WriteEmpty writes an empty stash into a file, for a test whose subject is not how one
// is made.
func WriteEmpty(path string) error {
	made, err := empty()
	if err != nil {
		return err
	}
	return os.WriteFile(path, made, 0o600)
}

// Runs reads all that a stash holds as runs of events, each as long as it
// goes on without a fork.
func Runs(s *sqlite.Store) ([]sqlite.Incoming, error) {
	var runs []sqlite.Incoming
	err := s.View(context.Background(), func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		for _, lane := range lanes {
			events, err := tx.LaneEvents(lane.Name, 1)
			if err != nil {
				return err
			}
			more, err := histories(lane, events)
			if err != nil {
				return err
			}
			runs = append(runs, more...)
		}
		return nil
	})
	return runs, err
}

// histories joins the events of a lane, in the order of their numbers, to the
// histories that they belong to.
func histories(lane sqlite.Lane, events []stash.Event) ([]sqlite.Incoming, error) {
	var runs []sqlite.Incoming
	before, here := []tip(nil), []tip{{run: -1}}
	var seq int64
	for _, e := range events {
		if e.Seq != seq {
			seq, before, here = e.Seq, here, nil
		}
		at := slices.IndexFunc(before,
			func(t tip) bool { return stash.NextChain(t.chain, e.Lane, e.Raw) == e.Chain })
		if at < 0 {
			return nil, fmt.Errorf("event %d of lane %s follows nothing", e.Seq, e.Lane)
		}
		i := before[at].run
		if i < 0 || runs[i].Chain != before[at].chain {
			runs = append(runs, sqlite.Incoming{Lane: lane.Name, Private: lane.Private,
				Key: lane.Key, First: e.Seq, Previous: before[at].chain})
			i = len(runs) - 1
		}
		runs[i].Lines, runs[i].Chain = append(runs[i].Lines, e.Raw), e.Chain
		here = append(here, tip{e.Chain, i})
	}
	return runs, nil
}

// tip is the end of a history and the run that it lies in.
type tip struct {
	chain stash.Chain
	run   int
}

// Cut cuts a run into pieces of at most size events.
func Cut(in sqlite.Incoming, size int) []sqlite.Incoming {
	var out []sqlite.Incoming
	previous := in.Previous
	for from := 0; from < len(in.Lines); from += size {
		part := in
		part.First, part.Previous = in.First+int64(from), previous
		part.Lines = in.Lines[from:min(from+size, len(in.Lines))]
		for _, raw := range part.Lines {
			previous = stash.NextChain(previous, in.Lane, raw)
		}
		part.Chain = previous
		out = append(out, part)
	}
	return out
}

// Accept has a stash take in a run of events in a transaction of its own.
func Accept(s *sqlite.Store, in sqlite.Incoming) (sqlite.Accepted, error) {
	var out sqlite.Accepted
	err := s.Act(context.Background(), func(tx *sqlite.Tx) (err error) {
		out, err = tx.Accept(in)
		return err
	})
	return out, err
}

// Send has one stash take in all that another holds.
func Send(from, to *sqlite.Store) error {
	runs, err := Runs(from)
	if err != nil {
		return err
	}
	for _, run := range runs {
		if _, err := Accept(to, run); err != nil {
			return err
		}
	}
	return nil
}

// Views writes down all that a person can see of a stash, apart from the
// order in which it came.
func Views(s *sqlite.Store) (map[string]string, error) {
	views := map[string]string{}
	err := s.View(context.Background(), func(tx *sqlite.Tx) error {
		return firstError(
			func() error { return note(views, tx.YarnsByID) },
			func() error {
				packages, err := tx.Packages(false)
				return noteAll(views, packages, func(p stash.Package) string {
					return "package " + string(p.ID)
				}, err)
			},
			func() error {
				pieces, err := tx.Pieces(false)
				return noteAll(views, pieces, func(p stash.Piece) string {
					return "piece " + string(p.ID)
				}, err)
			},
			func() error {
				projects, err := tx.Projects()
				return noteAll(views, projects, func(b stash.Project) string {
					return "project " + string(b.ID)
				}, err)
			},
			func() error {
				people, err := tx.People()
				return noteAll(views, people, func(p stash.Person) string {
					return "person " + string(p.ID)
				}, err)
			},
			func() error {
				settings, err := tx.Settings()
				return noteAll(views, []stash.Settings{settings},
					func(stash.Settings) string { return "settings" }, err)
			},
		)
	})
	return views, err
}

func firstError(parts ...func() error) error {
	for _, part := range parts {
		if err := part(); err != nil {
			return err
		}
	}
	return nil
}

func note(views map[string]string, read func() (map[stash.YarnID]stash.Yarn, error)) error {
	yarns, err := read()
	for id, y := range yarns {
		if err := noteAll(views, []stash.Yarn{y},
			func(stash.Yarn) string { return "yarn " + string(id) }, nil); err != nil {
			return err
		}
	}
	return err
}

func noteAll[T any](views map[string]string, states []T, name func(T) string, err error) error {
	for _, s := range states {
		raw, err := json.Marshal(s)
		if err != nil {
			return err
		}
		views[name(s)] = string(raw)
	}
	return err
}
