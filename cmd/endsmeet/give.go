package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func giveCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "give", Category: groupYarn, ArgsUsage: "PACKAGE AMOUNT",
		Usage: "debit what was given away",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for, whose rules are checked"},
			&cli.StringFlag{Name: "to", Usage: "`WHO` has it now, where no person is recorded"},
			&cli.StringFlag{Name: "override", Usage: "give it in spite of a rule, for this `REASON`"},
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
	person, err := tx.FindPerson(name)
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
	if result.Answer != stash.Against && result.Answer != stash.Unknown {
		return nil
	}
	if k.String("override") == "" {
		return stash.Refuse(stash.CodeAgainst, "ask them; to give it all the same say why with --override REASON", "%s must not reach this person by their own rules", p.Label())
	}
	m.Note = "in spite of a rule: " + stash.Clean(k.String("override"))
	return nil
}
