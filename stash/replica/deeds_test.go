package replica

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func (h *history) edit(m *machine) {
	p := h.packages[h.chance.IntN(len(h.packages))]
	if got := m.pack(p); got.ID == "" { // not heard of here yet
		p = h.packages[0]
	}
	grams := int64(1 + h.chance.IntN(60))
	back := time.Duration(h.chance.IntN(5)) * time.Hour
	switch h.chance.IntN(8) {
	case 0:
		h.packages = append(h.packages,
			m.receive(h.yarns[0], fmt.Sprintf("Y%02d", len(h.packages)+1), 100+grams))
	case 1:
		h.try(m, p, back, stash.Package.Weigh,
			stash.Move{Reading: stash.Reading{Net: grammes(grams * 9)}})
	case 2:
		m.set(stash.WhatPackage, stash.Subject(p),
			fields(m.t, "bin", fmt.Sprintf("%c%d", 'A'+h.chance.IntN(4), h.chance.IntN(4))))
	case 3:
		h.finish(m, p, grams)
	case 4:
		h.undo(m)
	case 5:
		h.try(m, p, back, stash.Package.Retire, stash.Move{Leftover: stash.LeftoverLost})
	default:
		h.try(m, p, back, stash.Package.Use, stash.Move{Mass: *grammes(grams), Force: true})
	}
	h.note("%s edits %s", m.name, p)
}

func grammes(n int64) *measure.Mass {
	mass := measure.Mass(n) * measure.Gram
	return &mass
}

// try records a movement unless the ledger refuses it.
func (h *history) try(m *machine, id stash.PackageID, back time.Duration,
	draft func(stash.Package, stash.Move) (stash.Draft, error), move stash.Move) {
	err := m.store.Act(context.Background(), func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		move.At = tx.Now().Add(-back)
		d, err := draft(p, move)
		if err != nil {
			return err
		}
		_, err = tx.Record(d)
		return err
	})
	h.mayRefuse(m, err)
}

func (h *history) mayRefuse(m *machine, err error) {
	var refusal *stash.Error
	if err != nil && !errors.As(err, &refusal) {
		m.must(err)
	}
}

// finish finishes one of two pieces, however often that was done.
func (h *history) finish(m *machine, id stash.PackageID, grams int64) {
	piece := stash.Subject([]string{"piecepieceaa", "piecepiecebb"}[h.chance.IntN(2)])
	m.act(func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		_, err = tx.Record(stash.Draft{Kind: stash.KindFinish, Of: piece, Replaces: p.Heads,
			Body: stash.Finish{Debits: []stash.Debit{{Package: id, Role: stash.RoleWeft,
				Mass: *grammes(grams)}}}})
		return err
	})
}

func (h *history) undo(m *machine) {
	err := m.store.Act(context.Background(), func(tx *sqlite.Tx) error {
		events, found, err := tx.LastAct(false)
		if err != nil || !found {
			return err
		}
		_, err = tx.Record(sqlite.DraftUndo(events))
		return err
	})
	h.mayRefuse(m, err)
}

func (h *history) backUp(m *machine) {
	_ = m.store.Close()
	m.store = nil
	b := &backup{of: m, dir: tempDir(h.t)}
	for _, end := range []string{"", ".key"} {
		copyFile(h.t, m.path+end, filepath.Join(b.dir, "stash.db"+end))
	}
	h.backups = append(h.backups, b)
	m.open()
	h.note("%s is backed up", m.name)
}

// restore puts a machine back to where it was when it was backed up.
func (h *history) restore() {
	if len(h.backups) == 0 {
		return
	}
	b := h.backups[h.chance.IntN(len(h.backups))]
	_ = b.of.store.Close()
	b.of.store = nil
	for _, end := range []string{"", ".key"} {
		copyFile(h.t, filepath.Join(b.dir, "stash.db"+end), b.of.path+end)
	}
	for _, end := range []string{"-wal", "-shm"} {
		_ = os.Remove(b.of.path + end)
	}
	b.of.open()
	h.did.add("restored", 1)
	h.note("%s is restored from a backup", b.of.name)
}

// copy makes one machine a copy of another. What it had that it never passed
// on is lost with it, so it exchanges first.
func (h *history) copy(m *machine) {
	other := h.any()
	if other == m {
		return
	}
	whole := h.chance.IntN(2) == 0
	m.copyOf(other, whole)
	h.did.add("copied", 1)
	h.note("%s becomes a copy of %s, with its keys: %v", m.name, other.name, whole)
}
