package replica

import (
	"context"
	"maps"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Status is where the exchange stands.
type Status struct {
	Place string `json:"place"`
	// Reached says that the shared place could be asked; Problem why not.
	Reached bool   `json:"reached"`
	Problem string `json:"problem,omitempty"`
	// Waiting is how many events have yet to be passed on, Outbox how many
	// objects are ready to be put.
	Waiting int64 `json:"waiting_events"`
	Outbox  int64 `json:"waiting_objects"`
	// PrivateHere is how many events about people stay on this machine.
	PrivateHere int64        `json:"private_here"`
	Machines    []MachineNow `json:"machines"`
	Bad         []sqlite.Bad `json:"-"`
	Locked      string       `json:"locked,omitempty"`
	Open        []Open       `json:"open"`
}

// MachineNow is how far a machine is.
type MachineNow struct {
	Machine
	// Here is how many of its events are here, There how many the shared
	// place says that there are.
	Here  int64 `json:"here"`
	There int64 `json:"there"`
	// SeenOurs is how many of this machine's events it has seen, Ours how many
	// there are; known only where Head is set.
	SeenOurs int64 `json:"seen_ours"`
	Ours     int64 `json:"ours"`
	// Last is when it last passed something on, by its own clock; zero where
	// that is not known.
	Last time.Time `json:"last,omitzero"`
}

// Status tells where the exchange stands. It changes nothing in the shared
// place; where that cannot be asked it tells what is known here.
func (r *Replica) Status(ctx context.Context) (Status, error) {
	var s Status
	err := r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		s.Place = x.Member.Place
		problem := x.LookAround(ctx)
		if problem == nil {
			problem = x.ReadHeads(ctx)
		}
		heads := slices.Collect(maps.Values(x.Opened))
		s.Reached, s.Problem, s.Locked = problem == nil, "", x.Report.Locked
		if problem != nil {
			s.Problem = exchange.Refusal(problem).Error()
		}
		return r.part.Options.Store.View(
			ctx,
			func(tx *sqlite.Tx) error { return x.fillStatus(tx, &s, heads) },
		)
	})
	return s, err
}

func (x *session) fillStatus(tx *sqlite.Tx, s *Status, heads []format.Head) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	own, err := x.OwnLanes()
	if err != nil {
		return err
	}
	for _, m := range machines(&x.Member.Vault, own) {
		s.Machines = append(s.Machines, machineNow(m, lanes, heads))
	}
	if s.Waiting, err = exchange.Unsent(tx); err != nil {
		return err
	}
	if s.Outbox, _, err = tx.PendingPuts(); err != nil {
		return err
	}
	if s.PrivateHere, err = privateHere(tx, lanes); err != nil {
		return err
	}
	if s.Bad, err = tx.Quarantined(); err != nil {
		return err
	}
	s.Open, err = OpenQuestions(tx, x.Member.Label)
	return err
}

// privateHere counts what is told about people and is not passed on.
func privateHere(tx *sqlite.Tx, lanes []sqlite.Lane) (int64, error) {
	settings, err := tx.Settings()
	var sum int64
	for _, l := range lanes {
		if l.Own && l.Private && !settings.PeopleSync {
			sum += l.Last
		}
	}
	return sum, err
}

func machineNow(m Machine, lanes []sqlite.Lane, heads []format.Head) MachineNow {
	now := MachineNow{Machine: m}
	its := map[stash.Lane]bool{}
	for _, l := range m.Lanes {
		its[l] = true
	}
	for _, l := range lanes {
		if its[l.Name] {
			now.Here += l.Last
		}
	}
	there := map[stash.Lane]int64{}
	for _, h := range heads {
		if its[h.Lane] {
			there[h.Lane] = max(there[h.Lane], h.Last)
			if h.At.After(now.Last) {
				now.Last = h.At
			}
		}
	}
	for _, n := range there {
		now.There += n
	}
	if m.Own {
		return now
	}
	now.SeenOurs, now.Ours = seenOurs(its, lanes, heads)
	return now
}

// seenOurs is how many events of this replica's open lane a machine has seen.
func seenOurs(its map[stash.Lane]bool, lanes []sqlite.Lane, heads []format.Head) (seen, all int64) {
	for _, l := range lanes {
		if !l.Own || l.Private {
			continue
		}
		all = l.Last
		for _, h := range heads {
			if its[h.Lane] {
				seen = max(seen, h.Saw(l.Name))
			}
		}
	}
	return seen, all
}
