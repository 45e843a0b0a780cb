package main

import (
	"io"
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

// openQuestions lists what asks to be settled, machines by their names.
func (k *call) openQuestions(r *replica.Replica) ([]replica.Open, error) {
	s, err := k.open()
	if err != nil {
		return nil, err
	}
	machines, err := r.Devices(k.ctx)
	if err != nil {
		machines = nil // a stash without a shared place has questions too
	}
	var open []replica.Open
	err = s.View(k.ctx, func(tx *sqlite.Tx) (err error) {
		open, err = replica.OpenQuestions(tx, machineNames(machines))
		return err
	})
	return open, err
}

// noteQuestions says in one line how many questions between machines are open.
func (k *call) noteQuestions(tx *sqlite.Tx) error {
	n, err := replica.Asked(tx)
	if err == nil && n > 0 {
		k.note("%s between your machines to answer: `endsmeet sync settle` shows what",
			measure.Counted(n, "question"))
	}
	return err
}

func machineNames(machines []replica.Machine) func(stash.Lane) string {
	return func(lane stash.Lane) string {
		for _, m := range machines {
			if slices.Contains(m.Lanes, lane) {
				return m.Name
			}
		}
		return "machine " + string(lane[:6])
	}
}

func syncStatus(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	s, err := r.Status(k.ctx)
	if err != nil {
		return err
	}
	shape := show.SyncStatusAnswer{Status: s}
	for _, b := range s.Bad {
		shape.Bad = append(shape.Bad, show.BadObject{Object: b.Name, Problem: b.Problem})
	}
	if s.Open == nil {
		shape.Open = []replica.Open{}
	}
	return k.told(k.answer(shape, func(w io.Writer) { show.PrintStatus(w, s, k.env.now()) }))
}
