package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func giveCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "give", Category: groupYarn, ArgsUsage: "ITEM AMOUNT",
		Usage: "Record yarn you gave away.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for, whose rules are kept"},
			&cli.StringFlag{Name: "to", Usage: "`WHO` has it now"},
			&cli.StringFlag{Name: "override", Usage: "do it in spite of what speaks against it; say why: `REASON`"},
			onFlag(), noteFlag(), forceFlag(), onceFlag(),
		},
		Action: takeAction(e, "given away", stash.Package.Give, giveTo),
	}
}

// giveTo checks the person's rules. What stands against it needs a reason.
func giveTo(k *call, tx *sqlite.Tx, p stash.Package, m *stash.Move) error {
	m.Who = stash.Clean(k.String("to"))
	name := k.String("for")
	if name == "" {
		return nil
	}
	person, err := findPerson(tx, name)
	if err != nil {
		return err
	}
	m.Person = person.ID
	y, _, err := tx.Yarn(p.Yarn)
	if err != nil {
		return err
	}
	result := people.Suits(person, y)
	for _, r := range result.Reasons {
		k.note("%s: %s", r.Answer, r.Why)
	}
	if !result.Blocks() {
		return nil
	}
	return k.giveInSpite(tx, p, person, result, m)
}

// giveInSpite keeps the reason for giving yarn in spite of a rule with the
// person, where it stays private; without a reason it refuses.
func (k *call) giveInSpite(tx *sqlite.Tx, p stash.Package, person stash.Person, result people.Result, m *stash.Move) error {
	reason := stash.Clean(k.String("override"))
	if reason == "" {
		return stash.Refuse(stash.CodeAgainst, "ask them; to give it all the same say why with --override REASON", "%s must not reach this person by their own rules", p.Label())
	}
	o := stash.Override{Person: person.ID, Reason: reason, Package: p.ID}
	for _, r := range result.Reasons {
		if r.Blocks() {
			o.Rules = append(o.Rules, r.Rule)
		}
	}
	m.Note = "given in spite of a rule"
	_, err := tx.Record(stash.Draft{Kind: stash.KindOverride, Of: stash.Subject(person.ID), At: m.At, Private: true, Body: o})
	return err
}
