package main

import (
	"encoding/json"
	"io"
	"maps"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func personCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "person", Category: groupPeople, ArgsUsage: "add|list|show|set|presets|tests ...",
		Usage: "Record who a piece is for, and the rules it must keep.",
		Description: "Private: kept out of exports, histories and errors, and synced only with\n" +
			"`config people.sync=yes`.",
		Subcommands: []*cli.Command{
			personAddCommand(e),
			{
				Name: "list", Usage: "List the people and places.",
				Flags:  []cli.Flag{&cli.BoolFlag{Name: "gone", Usage: "also those who were taken out of the list"}},
				Action: action(e, 0, 0, personList),
			},
			{Name: "show", ArgsUsage: "PERSON",
				Usage:  "Show the rules of a person, and where each comes from.",
				Action: action(e, 1, 1, personShow)},
			personSetCommand(e),
			{
				Name: "presets", ArgsUsage: "[PRESET]",
				Usage:  "List the sets of rules for common cases, or show one.",
				Action: action(e, 0, 1, personPresets),
			},
			{Name: "tests", Usage: "List what a rule can ask about.",
				Action: action(e, 0, 0, personTests)},
		},
	}
}

// ruleForm says how a rule is written.
const ruleForm = `A rule is "against TEST" or "ask TEST", as in "against wool", "ask shedding 2",
or a need such as "survives 60 C normal". What is not recorded does not pass,
unless the rule ends with "if known": "against odour if known". A reason may
follow a colon: "against wool: itches". "no wool", "wool-free" and "allergic to
wool" are understood as well.`

const ruleHelp = ruleForm + "\n`endsmeet person tests` lists what a rule can ask about."

func personList(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		all, err := tx.Everybody()
		if err != nil {
			return err
		}
		items, gone := []show.PersonItem{}, k.Bool("gone")
		for _, p := range all {
			if p.Name == "" || p.Gone && !gone {
				continue
			}
			open, err := openPiecesFor(tx, p.ID)
			if err != nil {
				return err
			}
			items = append(items, show.PersonItem{ID: p.ID, Name: p.Name, Rules: len(p.Rules),
				Gone: p.Gone, For: open})
		}
		return k.answer(items, func(w io.Writer) { show.PrintPeople(w, items) })
	})
}

// openPiecesFor names the open pieces that are for somebody, by their own plan
// or by their project as it stands now.
func openPiecesFor(tx *sqlite.Tx, id stash.PersonID) ([]string, error) {
	pieces, err := tx.Pieces(true)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range pieces {
		b, _, err := tx.Project(p.Project)
		if err != nil {
			return nil, err
		}
		if p.Plan != nil && p.Plan.Spec.For == id || b.For == id {
			names = append(names, p.Name)
		}
	}
	return names, nil
}

func shownRules(rules []stash.Rule) []show.Rule {
	var shown []show.Rule
	for _, r := range rules {
		shown = append(shown, show.Rule{Words: people.Words(r), Strict: !r.Lenient, Rule: r})
	}
	return shown
}

func personShow(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		p, err := findPerson(tx, k.Args().First())
		if err != nil {
			return err
		}
		return k.answerPerson(tx, p, nil)
	})
}

func (k *call) answerPerson(tx *sqlite.Tx, p stash.Person, changed []show.Affected) error {
	open, err := openPiecesFor(tx, p.ID)
	if err != nil {
		return err
	}
	had, err := hadBy(tx, p)
	if err != nil {
		return err
	}
	shown := show.Person{
		Had: had,
		ID:  p.ID, Name: p.Name, Note: stash.Known(p.Note), Gone: p.Gone, Rules: shownRules(p.Rules),
		Cautions: people.Cautions(p),
		Open:     open, Disputed: map[string][]json.RawMessage{}, Complete: !p.Newer,
		Affected: changed,
	}
	maps.Copy(shown.Disputed, p.Disputed)
	return k.answer(shown, func(w io.Writer) { show.PrintPerson(w, shown, k.units) })
}
