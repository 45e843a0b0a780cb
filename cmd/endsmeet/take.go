package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// drafting is the rule of stash that makes an event of a request.
type drafting func(stash.Package, stash.Move) (stash.Draft, error)

// gate is what a command asks before it records a movement of a package.
type gate func(*call, *sqlite.Tx, stash.Package, *stash.Move) (verdict.Verdict, error)

// nobody is the gate of what reaches neither a cloth nor a person.
func nobody(*call, *sqlite.Tx, stash.Package, *stash.Move) (verdict.Verdict, error) {
	return verdict.Verdict{Grade: verdict.Yes}, nil
}

// moveAction is the action of the commands that take an amount of a package.
// Word is the past participle that the answer uses.
func moveAction(e *environment, word string, draft drafting, ask gate) cli.ActionFunc {
	return action(e, 0, 2, func(k *call) error {
		return k.recordMove(word, draft, ask)
	})
}

func (k *call) recordMove(word string, draft drafting, ask gate) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	one, err := k.itemIn(2)
	if err != nil {
		return err
	}
	return inLines(k, one, func(tx *sqlite.Tx, l line) (told[show.Taken], error) {
		p, err := tx.FindPackage(l.item)
		if err != nil {
			return told[show.Taken]{}, k.otherWords(tx, l, err)
		}
		m := stash.Move{At: k.afterKnown(tx, at, time.Time{}, p), Note: k.String("note"),
			Force: k.Bool("force")}
		text, err := k.wordOf(l, "amount")
		if err != nil {
			return told[show.Taken]{}, err
		}
		if m.Mass, err = k.amountOf(tx, p, text); err != nil {
			return told[show.Taken]{}, err
		}
		v, err := ask(k, tx, p, &m)
		if err != nil {
			return told[show.Taken]{}, err
		}
		return k.recordTake(tx, p, m, word, draft, v)
	})
}

// otherWords says of two words that are no item and amount what they may be: the wrong
// way round, or a piece.
func (k *call) otherWords(tx *sqlite.Tx, l line, err error) error {
	first, second := l.item, l.rest
	if stash.CodeOf(err) != stash.CodeUnknown {
		return err
	}
	if _, found := tx.FindPackage(second); found == nil {
		if _, swapped := typed(k, first, measure.ParseMass); swapped == nil {
			return stash.Refuse(stash.CodeUsage, stash.Command(k.Command.Name, second, first),
				"The item comes first.")
		}
	}
	if k.Command.Name != "give" {
		return err
	}
	if piece, found := tx.FindPiece(first + " " + second); found == nil {
		return stash.Refuse(stash.CodeUsage, stash.Command("give", piece.Name),
			"%s is one name: put it in quotes.", stash.Clean(first+" "+second))
	}
	if piece, found := tx.FindPiece(first); found == nil {
		return stash.Refuse(stash.CodeUsage, stash.Command("give", piece.Name)+
			", with --number for some of a set.", "%s is a piece, which has no amount.",
			stash.Clean(piece.Name))
	}
	return err
}

func (k *call) recordTake(tx *sqlite.Tx, p stash.Package, m stash.Move, word string, draft drafting,
	v verdict.Verdict) (told[show.Taken], error) {
	d, err := draft(p, m)
	if err == nil {
		err = k.settled(m.At, p)
	}
	if err != nil {
		return told[show.Taken]{}, err
	}
	e, err := tx.Record(d)
	if err != nil {
		return told[show.Taken]{}, err
	}
	after, err := k.afterChange(tx, p)
	shape := show.Taken{Item: after, Taken: m.Mass, Event: e.ID(), Act: e.ActOf(), Verdicts: v}
	return told[show.Taken]{shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s %s; %s\n", m.Mass.Format(k.units), word, after.Line(k.units))
		show.PrintHandedOver(w, v)
		if after.Pack.Overdrawn() {
			fmt.Fprintf(w, "  %s is overdrawn: weigh it\n", after.Tag)
		}
	}}, err
}

// amountOf reads an amount of a package: a mass, "all", or a length, which
// the yarn's count turns into a mass.
func (k *call) amountOf(tx *sqlite.Tx, p stash.Package, text string) (measure.Mass, error) {
	if strings.EqualFold(strings.TrimSpace(text), "all") {
		return p.Held, nil
	}
	mass, massErr := k.mass(text)
	if massErr == nil {
		return mass, nil
	}
	length, err := typed(k, text, measure.ParseLength)
	if err != nil {
		return 0, fmt.Errorf("the amount: %w", massErr)
	}
	s, err := shelfFor(tx, p.Yarn)
	if err != nil {
		return 0, err
	}
	y := s.Yarns[p.Yarn]
	mass, ok := measure.MassOf(length, y.Tex())
	if !ok {
		return 0, stash.Refuse(stash.CodeInput, "weigh it instead, or set the count",
			"a length needs a count to become a weight, and %s has none recorded", y.Name)
	}
	return mass, nil
}

// tellPromised notes that a package which open pieces count on no longer has
// what they were promised, or is not there.
func (k *call) tellPromised(tx *sqlite.Tx, p stash.Package, claimed measure.Mass) error {
	switch r := p.Reserve; {
	case r == nil || !p.Known:
	case p.LentTo != "":
		k.note("%s is lent, and you keep %s of it%s", p.Label(), r.Mass.Format(k.units),
			forWhat(r.For))
	case p.Held < r.Mass+claimed:
		k.note("%s holds less than the %s that you keep of it%s", p.Label(), r.Mass.Format(k.units),
			forWhat(r.For)+map[bool]string{true: " and what pieces were promised"}[claimed > 0])
	}
	if claimed <= 0 || p.LentTo == "" && (!p.Known || p.Held >= claimed) {
		return nil
	}
	return k.tellClaims(tx, p)
}

// tellClaims notes which open pieces were promised some of a package.
func (k *call) tellClaims(tx *sqlite.Tx, p stash.Package) error {
	pieces, err := tx.Pieces(true)
	for _, piece := range pieces {
		if piece.Plan == nil {
			continue
		}
		for _, a := range piece.Plan.Promised() {
			if a.Package == p.ID {
				k.note("%s is promised to %s, which counts on %s of it", p.Label(), piece.Name,
					a.Mass.Format(k.units))
			}
		}
	}
	return err
}

func forWhat(purpose string) string {
	if purpose == "" {
		return ""
	}
	return " for " + stash.Clean(purpose)
}

// afterChange is a package as it is after a change; who counts on what it no
// longer has is told.
func (k *call) afterChange(tx *sqlite.Tx, before stash.Package) (show.Item, error) {
	after, _, err := tx.Package(before.ID)
	if err != nil {
		return show.Item{}, err
	}
	s, err := shelfFor(tx, after.Yarn)
	if err != nil {
		return show.Item{}, err
	}
	return s.item(after), k.tellPromised(tx, after, s.Claims[after.ID])
}
