package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func giveCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "give", Category: groupYarn, ArgsUsage: "ITEM|PIECE [AMOUNT]",
		Usage: "Record yarn, or a finished piece, that you gave away or sold.",
		Description: "With an AMOUNT it is yarn of an ITEM. Without, it is a finished PIECE, or with --number some of a\n" +
			"set. With a --price the piece is sold. `endsmeet show PIECE` says who has it, `endsmeet person show` what a person has had.",
		Flags: recorded(append(handOverFlags(),
			&cli.StringFlag{Name: "price",
				Usage: "the `PRICE` a piece was sold for, all that go together"},
			&cli.IntFlag{Name: "number", Usage: "how many pieces of a set, if not all that are left: `N`"},
			fromFlag(), noteFlag(), forceFlag())...),
		Action: action(e, 0, 2, func(k *call) error {
			if k.String("from") == "" && k.NArg() == 0 {
				return tooFew(k.Context)
			}
			if err := k.askOptions("to", "for"); err != nil {
				return err
			}
			if k.String("from") == "" && k.NArg() == 1 {
				return k.passOn()
			}
			if k.IsSet("price") || k.IsSet("number") {
				return stash.Refuse(stash.CodeUsage, "Leave the amount out for a piece.",
					"--price and --number are of a finished piece, not of yarn.")
			}
			return k.recordMove("given away", stash.Package.Give, giveTo)
		}),
	}
}

// giveTo asks whether the yarn may reach the person. Of one who is recorded the
// name is not kept with the movement.
func giveTo(k *call, tx *sqlite.Tx, p stash.Package, m *stash.Move) (verdict.Verdict, error) {
	v, err := k.handOver(tx, p, m)
	if m.Person == "" {
		m.Who = stash.Clean(k.String("to"))
	}
	if err != nil || m.Force || k.String("override") != "" {
		return v, err
	}
	return v, k.keepsPromise(tx, p, m.Mass)
}

// keepsPromise refuses to give away what pieces or people were promised of a package.
func (k *call) keepsPromise(tx *sqlite.Tx, p stash.Package, gone measure.Mass) error {
	s, err := namedShelf(tx, []stash.Ref{{Package: p.ID}})
	if err != nil {
		return err
	}
	promised := p.Promised(s.Claims[p.ID])
	if left := p.Held - gone; p.Known && left >= 0 && promised > 0 && left < promised {
		return stash.Refuse(stash.CodeRefused, "To record it all the same: --force.",
			"%s of %s are promised, and %s would be left.", promised.Format(k.units), p.Label(), left.Format(k.units))
	}
	return nil
}
