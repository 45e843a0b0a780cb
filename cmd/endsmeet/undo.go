package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func undoCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "undo", Category: groupYarn, ArgsUsage: "[ID]",
		Usage: "Take back the last command, or an earlier one.",
		Description: "`history` shows the ids; the first letters are enough. Nothing is deleted: an undo can\n" +
			"be undone too, and right after an undo that is what `undo` does. To go further back, give the\n" +
			"id that undo names, or --last N.",
		Flags: recorded(&cli.IntFlag{Name: "last",
			Usage: "take back the last `N` commands that stand, not counting undos"}),
		Action: action(e, 0, 1, undo),
	}
}

func undo(k *call) error {
	if k.IsSet("last") && (k.Int("last") < 1 || k.NArg() > 0) {
		return stash.Refuse(stash.CodeUsage, "endsmeet undo --last 2",
			"--last takes a number from 1 on, and no id with it")
	}
	return k.act(func(tx *sqlite.Tx) error {
		var shape show.Undone
		var lines []string
		for range max(1, k.Int("last")) {
			events, err := k.actToUndo(tx)
			if err != nil {
				return err
			}
			more, err := k.undoAct(tx, events)
			if err != nil {
				return err
			}
			lines = append(lines, more...)
			shape.Add(events)
		}
		pieces, err := k.piecesNow(tx, shape.Events)
		if err != nil {
			return err
		}
		lines = append(lines, pieces...)
		before, err := k.beforeThat(tx)
		if err != nil {
			return err
		}
		return k.answer(shape, func(w io.Writer) { show.PrintUndone(w, lines, before) })
	})
}

// piecesNow tells how pieces stand whose finish was taken back: back on the loom,
// with what finishes them, or finished all the same, as another machine says.
func (k *call) piecesNow(tx *sqlite.Tx, events []show.UndoneItem) ([]string, error) {
	var lines []string
	for _, e := range events {
		if e.Kind != stash.KindFinish {
			continue
		}
		p, _, err := tx.Piece(stash.PieceID(e.Of))
		if err != nil {
			return nil, err
		}
		switch name := stash.Clean(p.Name); {
		case p.State == stash.OnLoom:
			lines = append(lines,
				name+" is on the loom again, and its yarn is kept for it\n  to finish it: "+
					stash.Command("finish --weighed ITEM=WEIGHT", name)+" ...")
		case p.FinishEvent != nil:
			lines = append(lines,
				fmt.Sprintf("%s was finished twice: the other finish, of %s, counts now\n  to take that back too: endsmeet undo %s", name, minute(p.EndedAt.In(k.env.now().Location())), p.FinishEvent.String()[:8]))
		}
	}
	return lines, nil
}

// undoAct takes an act back and says in words what it was.
func (k *call) undoAct(tx *sqlite.Tx, events []stash.Event) ([]string, error) {
	if err := undoable(tx, events); err != nil {
		return nil, err
	}
	lines, err := k.describeAct(tx, events) // while what they name is there
	if err != nil {
		return nil, err
	}
	if _, err = tx.Record(sqlite.DraftUndo(events)); err != nil {
		return nil, err
	}
	now, err := k.describeAct(tx, events) // when what comes back is there
	if err != nil {
		return nil, err
	}
	for i, line := range now {
		lines[i] = "undone: " + lines[i]
		if undone, of := strings.CutPrefix(line, "undo: "); of {
			lines[i] = "undone: the undo of " + undone + ", which counts again"
		}
	}
	return lines, nil
}

// beforeThat says what a second undo does, and names the newest command that still
// stands with what takes it back.
func (k *call) beforeThat(tx *sqlite.Tx) (string, error) {
	first, found, err := tx.LastBegun(false)
	if err != nil {
		return "", err
	}
	if !found {
		return "undo again takes this undo back", nil
	}
	line, err := k.describe(tx, first)
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("undo again takes this undo back; to undo the one before, %s:\n  endsmeet undo %s",
		line, first.ID().String()[:8]), nil
}

func (k *call) actToUndo(tx *sqlite.Tx) ([]stash.Event, error) {
	prefix := k.Args().First()
	if k.NArg() > 0 && strings.TrimSpace(prefix) == "" {
		return nil, stash.Refuse(stash.CodeUsage, "leave it out to undo the last command",
			"name the event to take back")
	}
	if prefix == "" {
		events, found, err := tx.LastAct(!k.IsSet("last"))
		if err == nil && !found {
			err = stash.Refuse(stash.CodeRefused,
				"what came from another machine or with a history goes by its event: `endsmeet history` shows them", "there is nothing to undo")
		}
		return events, err
	}
	ev, found, err := tx.EventNamed(prefix)
	if err != nil {
		return nil, err
	}
	if !found {
		return nil, stash.Refuse(stash.CodeUnknown,
			"`endsmeet history` shows the entries with their ids; give at least four letters",
			"no single entry begins with %q", stash.Clean(prefix))
	}
	if tx.Undone(ev.ActOf()) {
		return nil, stash.Refuse(stash.CodeRefused, "", "that was undone already")
	}
	return tx.ActNamed(ev.ActOf())
}

// undoable refuses to undo the arrival of a package that later events move.
func undoable(tx *sqlite.Tx, events []stash.Event) error {
	own, made := map[stash.EventID]bool{}, map[stash.Subject]bool{}
	for _, e := range events {
		own[e.ID()] = true
		made[e.Of] = made[e.Of] || e.Kind == stash.KindProject
	}
	for _, e := range events {
		if e.Kind == stash.KindPerson {
			if err := unnamed(tx, stash.PersonID(e.Of), made); err != nil {
				return err
			}
		}
		if err := unwoven(tx, e, own); err != nil {
			return err
		}
		for _, t := range stash.Touches(e.Line) {
			if t.What != stash.WhatPackage || t.Class != stash.ClassFact ||
				e.Kind == stash.KindSet || ontoOther(e) {
				continue
			}
			past, err := tx.History(t.Subject)
			if err != nil {
				return err
			}
			for _, later := range past {
				if !own[later.ID()] && !later.Undone && later.Moves(stash.PackageID(t.Subject)) {
					return stash.Refuse(stash.CodeRefused,
						"undo that first: `endsmeet undo "+later.ID().String()[:8]+"`",
						"a later %s depends on this", later.Kind)
				}
			}
		}
	}
	return nil
}

// ontoOther says whether an event wound yarn onto a package that was there: that one
// stands without it.
func ontoOther(e stash.Event) bool {
	var m stash.Movement
	return e.Kind == stash.KindWind && json.Unmarshal(e.Body, &m) == nil && len(m.Fields) == 0
}

// unwoven refuses to undo that a piece was planned or went on the loom while what
// came of it stands.
func unwoven(tx *sqlite.Tx, e stash.Event, own map[stash.EventID]bool) error {
	if e.Kind != stash.KindPlan && e.Kind != stash.KindStart {
		return nil
	}
	past, err := tx.History(e.Of)
	if err != nil {
		return err
	}
	for _, later := range past {
		follows := later.Kind == stash.KindFinish || later.Kind == stash.KindStart &&
			(e.Kind == stash.KindPlan || stash.Order(e, later.Event) < 0)
		if follows && !own[later.ID()] && !later.Undone {
			return stash.Refuse(stash.CodeRefused,
				"undo that first: `endsmeet undo "+later.ID().String()[:8]+"`",
				"a later %s depends on this", later.Kind)
		}
	}
	return nil
}

func (k *call) describeAct(tx *sqlite.Tx, events []stash.Event) ([]string, error) {
	var lines []string
	for _, e := range events {
		text, err := k.describe(tx, e)
		if err != nil {
			return nil, err
		}
		lines = append(lines, text)
	}
	return lines, nil
}
