package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func historyCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "history", Category: groupLooking, ArgsUsage: "[ITEM|YARN|PROJECT|PIECE|PERSON]",
		Usage:  "See what happened, lately or to one thing.",
		Flags:  []cli.Flag{&cli.IntFlag{Name: "last", Usage: "at most `N` entries", Value: 20}},
		Action: action(e, 0, 1, history),
	}
}

func history(k *call) error {
	if k.Int("last") < 1 {
		return stash.Refuse(stash.CodeUsage, "write --last 20", "--last %d: how many entries, 1 or more",
			k.Int("last"))
	}
	return k.view(func(tx *sqlite.Tx) error {
		past, err := k.pastAsked(tx)
		if err != nil {
			return err
		}
		items, err := k.pastItems(tx, past, "", 0)
		if err != nil {
			return err
		}
		return k.answer(items, func(w io.Writer) { show.PrintPast(w, items) })
	})
}

func (k *call) pastAsked(tx *sqlite.Tx) ([]sqlite.Past, error) {
	name := k.Args().First()
	if name == "" {
		past, err := tx.Recent(k.Int("last"))
		slices.Reverse(past)
		return past, err
	}
	past, err := pastNamed(tx, name)
	if n := k.Int("last"); k.IsSet("last") && len(past) > n {
		past = past[len(past)-n:]
	}
	return past, err
}

// pastNamed is what happened to what a name means: a person comes before what is not
// called so and only has the word in its name.
func pastNamed(tx *sqlite.Tx, name string) ([]sqlite.Past, error) {
	m, err := findNamed(tx, name, stash.WhatPackage, stash.WhatYarn, stash.WhatPiece,
		stash.WhatProject)
	if err == nil {
		if _, called := m.subject(); stash.Fold(called) == stash.Fold(name) {
			return pastOf(tx, m)
		}
	}
	if p, of := tx.FindPerson(name); of == nil && (err != nil ||
		stash.Fold(p.Name) == stash.Fold(name)) {
		return tx.History(stash.Subject(p.ID))
	}
	if err != nil {
		return nil, err
	}
	return pastOf(tx, m)
}

// pastOf is what happened to a thing; to a yarn, what happened to its items too, and to
// an item, what was said of its yarn.
func pastOf(tx *sqlite.Tx, m meantBy) ([]sqlite.Past, error) {
	id, _ := m.subject()
	past, err := tx.History(id)
	if err != nil {
		return nil, err
	}
	var others []stash.Subject
	switch {
	case m.pack != nil && m.pack.Yarn != "":
		others = append(others, stash.Subject(m.pack.Yarn))
	case m.yarn != nil:
		packages, err := tx.PackagesOf(m.yarn.ID)
		if err != nil {
			return nil, err
		}
		for _, p := range packages {
			others = append(others, stash.Subject(p.ID))
		}
	default:
		return past, nil
	}
	return withPastOf(tx, past, others)
}

// withPastOf adds what happened to others, in the order of what happened.
func withPastOf(tx *sqlite.Tx, past []sqlite.Past, others []stash.Subject) ([]sqlite.Past, error) {
	for _, id := range others {
		more, err := tx.History(id)
		if err != nil {
			return nil, err
		}
		past = append(past, more...)
	}
	slices.SortStableFunc(past, func(a, b sqlite.Past) int { return stash.Order(a.Event, b.Event) })
	return slices.CompactFunc(past, func(a, b sqlite.Past) bool { return a.ID() == b.ID() }), nil
}

// pastItems are the items of a history; of a package, what each event took, with
// its length by the count of the yarn.
func (k *call) pastItems(tx *sqlite.Tx, past []sqlite.Past, of stash.PackageID,
	tex measure.Count) ([]show.PastItem, error) {
	var items []show.PastItem
	machine, self, err := k.machineNames(tx)
	if err != nil {
		return nil, err
	}
	for _, p := range past {
		text, err := k.describe(tx, p.Event)
		if err == nil && p.Kind == stash.KindFinish {
			text, err = k.versionOf(tx, p.Event, text)
		}
		if err != nil {
			return nil, err
		}
		it := show.PastItem{ID: p.ID(), At: p.At, Kind: p.Kind, Replica: string(p.Lane),
			Undone: p.Undone, Text: text}
		if self != thisMachine { // else the machine has no other
			it.Machine = machine(p.Lane)
		}
		if err := fillMass(tx, &it, p.Event, of, tex); err != nil {
			return nil, err
		}
		items = append(items, it)
	}
	return items, nil
}

// versionOf tells a finish of a piece that was finished more than once apart from the
// others, by its figures.
func (k *call) versionOf(tx *sqlite.Tx, e stash.Event, text string) (string, error) {
	past, err := tx.History(e.Of)
	n := 0
	for _, p := range past {
		if p.Kind == stash.KindFinish {
			n++
		}
	}
	if err != nil || n < 2 {
		return text, err
	}
	return text + ": " + stash.FinishWords(e.Body, k.units), nil
}

// fillMass fills in how much of a package an event speaks of.
func fillMass(tx *sqlite.Tx, it *show.PastItem, e stash.Event, of stash.PackageID,
	tex measure.Count) error {
	mass, piece := massIn(e, of)
	if piece != "" {
		if p, found, err := tx.Piece(piece); err == nil && found {
			it.Piece = &p.Name
		}
	}
	if mass == nil {
		return nil
	}
	it.MassMg = mass
	if length, ok := measure.LengthOf(*mass, tex); ok {
		it.LengthMm = &length
	}
	return nil
}

// massIn is the mass of a package that an event states, and its piece.
func massIn(e stash.Event, of stash.PackageID) (*measure.Mass, stash.PieceID) {
	var m stash.Movement
	switch e.Kind {
	case stash.KindFinish:
		return finishMass(e, of), stash.PieceID(e.Of)
	case stash.KindUse, stash.KindDiscard, stash.KindGive, stash.KindWind:
		if json.Unmarshal(e.Body, &m) == nil {
			return &m.Mass, m.Piece
		}
	case stash.KindWeigh, stash.KindLend, stash.KindReturn, stash.KindReceive:
		if json.Unmarshal(e.Body, &m) == nil && m.Given() {
			if m.Gross != nil {
				return m.Gross, m.Piece
			}
			return m.Net, m.Piece
		}
	}
	return nil, ""
}

// finishMass is what a finish took of a package or cut as its thrums; of no
// package in particular, all that went into the piece.
func finishMass(e stash.Event, of stash.PackageID) *measure.Mass {
	var f stash.Finish
	if json.Unmarshal(e.Body, &f) != nil {
		return nil
	}
	var sum measure.Mass
	for _, d := range f.Debited() {
		if d.Package == of || of == "" {
			sum += d.Mass
		}
	}
	for _, t := range f.Thrums {
		if t.Package == of {
			sum += t.Mass
		}
	}
	return &sum
}

// describe tells an event in a few words.
func (k *call) describe(tx *sqlite.Tx, e stash.Event) (string, error) {
	name, err := k.nameOf(tx, e.Of)
	if err == nil {
		name, err = firstName(tx, e.Of, name)
	}
	if err != nil {
		return "", err
	}
	var m stash.Movement
	_ = json.Unmarshal(e.Body, &m)
	mass := m.Mass.Format(k.units)
	switch e.Kind {
	case stash.KindReceive, stash.KindWeigh, stash.KindLend, stash.KindReturn:
		return strings.Join(strings.Fields(strings.Join([]string{kindWord(e.Kind, m), name,
			m.Words(k.units), toWhom(m.Who), remark(m.Note), undatedRemark(m)}, " ")), " "), nil
	case stash.KindUse, stash.KindDiscard, stash.KindGive, stash.KindWind:
		return strings.TrimSpace(strings.Join([]string{string(e.Kind), mass, "of", name,
			toWhom(m.Who), remark(m.Note)}, " ")), nil
	case stash.KindStart:
		return "start " + name + ofHowMany(e), nil
	case stash.KindPass:
		var x stash.Passing
		_ = json.Unmarshal(e.Body, &x)
		return strings.TrimSpace(name + " " + show.PassedWords(x, x.Number, x.Who) + " " +
			remark(x.Note)), nil
	case stash.KindSet, stash.KindYarn, stash.KindProject, stash.KindPerson:
		return describeFacts(e, name), nil
	case stash.KindOverride:
		if name == string(e.Of) {
			name = "a person"
		}
		return "a rule was set aside for " + name, nil
	case stash.KindUndo:
		return k.describeUndo(tx, e)
	case stash.KindRedate:
		return describeRedate(e, k.env.now().Location()), nil
	}
	return fmt.Sprintf("%s %s", e.Kind, name), nil
}

// ofHowMany says of how many pieces a warp went on the loom, or came to be: empty for one.
func ofHowMany(e stash.Event) string {
	var m stash.Making
	if json.Unmarshal(e.Body, &m) != nil || m.Plan == nil || m.Plan.Spec.Pieces < 2 {
		return ""
	}
	return fmt.Sprintf(" for %d pieces", m.Plan.Spec.Pieces)
}

// kindWord is what happened in a word. What came before anybody said when was recorded on
// the day of its event, not received.
func kindWord(kind stash.Kind, m stash.Movement) string {
	if kind == stash.KindReceive && m.Undated {
		return "record"
	}
	return string(kind)
}

// undatedRemark says that the day of an event is not the day of its weighing.
func undatedRemark(m stash.Movement) string {
	if m.Undated {
		return remark(show.WeighedUndated)
	}
	return ""
}

// describeUndo tells what an undo reversed, by the first event of it.
func (k *call) describeUndo(tx *sqlite.Tx, e stash.Event) (string, error) {
	var u stash.Undo
	_ = json.Unmarshal(e.Body, &u)
	events, err := tx.EventsOfAct(u)
	if err != nil || len(events) == 0 || events[0].Kind == stash.KindUndo {
		return "undo of an undo", err
	}
	text, err := k.describe(tx, events[0])
	if more := len(events) - 1; more > 0 {
		text += fmt.Sprintf(" and %s more", measure.Counted(more, "event"))
	}
	return "undo: " + text, err
}

// firstName is the name or tag that the first event of a subject gave it,
// where what it made is undone and has none any more.
func firstName(tx *sqlite.Tx, of stash.Subject, name string) (string, error) {
	if name != "" && !strings.HasPrefix(string(of), name) {
		return name, nil
	}
	past, err := tx.History(of)
	for _, p := range past {
		var first struct {
			Fields struct{ Name, Tag string } `json:"fields"`
		}
		made := p.Kind == stash.KindYarn || p.Kind == stash.KindReceive ||
			p.Kind == stash.KindProject
		if made && json.Unmarshal(p.Body, &first) == nil &&
			first.Fields.Name+first.Fields.Tag != "" {
			return first.Fields.Name + first.Fields.Tag, err
		}
	}
	return name, err
}

func toWhom(who string) string {
	if who == "" {
		return ""
	}
	return "to " + stash.Clean(who)
}

// remark is a note in brackets.
func remark(note string) string {
	if note == "" {
		return ""
	}
	return "(" + stash.Clean(note) + ")"
}

func describeFacts(e stash.Event, name string) string {
	var s stash.Set
	_ = json.Unmarshal(e.Body, &s)
	if e.Kind == stash.KindPerson {
		return "recorded a person" // what is told of people stays with them
	}
	if s.What == stash.WhatPerson {
		return "set facts of a person"
	}
	if e.Kind != stash.KindSet {
		return "new " + string(e.Kind) + " " + name
	}
	return "set " + name + ": " + strings.Join(factsSet(s), ", ")
}

// longestTold is how long a value is that a history tells; `show` has the others.
const longestTold = 24

// factsSet are the facts that were set: few with their values, many by their names.
func factsSet(s stash.Set) []string {
	fields := slices.Sorted(maps.Keys(s.Fields))
	if len(fields) > stash.FewNamed {
		return fields
	}
	for i, f := range fields {
		value := stash.Clean(stash.FactWords(s.What, f, s.Fields[f]))
		if len(value) <= longestTold {
			fields[i] += " " + value
		}
	}
	return fields
}

// nameOf is what a subject is called.
func (k *call) nameOf(tx *sqlite.Tx, id stash.Subject) (string, error) {
	if p, found, err := tx.Package(stash.PackageID(id)); err != nil || found {
		return p.Label(), err
	}
	if y, found, err := tx.Yarn(stash.YarnID(id)); err != nil || found {
		return y.Name, err
	}
	if b, found, err := tx.Project(stash.ProjectID(id)); err != nil || found {
		return b.Name, err
	}
	if p, found, err := tx.Piece(stash.PieceID(id)); err != nil || found {
		return p.Name, err
	}
	return string(id), nil
}
