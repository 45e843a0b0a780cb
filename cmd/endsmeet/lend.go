package main

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func lendCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "lend", Category: groupYarn, ArgsUsage: "ITEM",
		Usage: "Record yarn you lent; it stays yours and is not available.",
		Flags: recorded(append(handOverFlags(),
			&cli.StringFlag{Name: "until", Usage: "the `DATE` it should be back"},
			&cli.StringFlag{Name: "gross", Usage: "`WEIGHT` as it went out"},
			&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
			fromFlag(),
			noteFlag())...),
		Action: action(e, 0, 1, func(k *call) error {
			if err := k.askOptions("to", "for"); k.NArg() > 0 && err != nil {
				return err
			}
			return k.loan(stash.Package.Lend, "lent",
				lendTo)
		}),
	}
}

// lendTo asks whether the yarn may reach the person. Who has it is kept with the
// loan, so that it can be asked back.
func lendTo(k *call, tx *sqlite.Tx, p stash.Package, m *stash.Move) (verdict.Verdict, error) {
	m.Who = cmp.Or(k.String("to"), k.String("for"))
	if text := k.String("until"); text != "" {
		day, err := parseWhen("--until", text, k.env.now())
		if err != nil {
			return verdict.Verdict{}, err
		}
		m.Until = day.Format(time.DateOnly)
		slip := fmt.Sprintf("--until %s is before the loan, which is of %s.", m.Until,
			m.At.Format(time.DateOnly))
		if m.Until >= m.At.Format(time.DateOnly) {
			slip = ""
		}
		if err := k.asRead(slip); err != nil {
			return verdict.Verdict{}, err
		}
	}
	if m.Who == "" {
		return verdict.Verdict{}, nil // a loan to nobody is refused
	}
	if err := k.asRead(p.GoesOut(*m, k.units)); err != nil {
		return verdict.Verdict{}, err
	}
	return k.handOver(tx, p, m)
}

// loan records the beginning or the end of a loan.
func (k *call) loan(draft drafting, word string, ask gate) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	m := stash.Move{Note: k.String("note")}
	if text := k.String("gross"); text != "" {
		mass, err := k.mass(text)
		if err != nil {
			return fmt.Errorf("--gross: %w", err)
		}
		if m.Reading, err = k.reading(mass); err != nil {
			return err
		}
	}
	one, err := k.itemIn(1)
	if err != nil {
		return err
	}
	return inLines(k, one, func(tx *sqlite.Tx, l line) (told[show.Loan], error) {
		return k.loanOf(tx, l, at, m, draft, word, ask)
	})
}

// loanOf records a loan of one item.
func (k *call) loanOf(tx *sqlite.Tx, l line, at time.Time, m stash.Move, draft drafting,
	word string, ask gate) (t told[show.Loan], err error) {
	if l.rest != "" {
		return t, stash.Refuse(stash.CodeInput, "write an item on each line, and nothing else",
			"%q is left over after the item", stash.Clean(l.rest))
	}
	p, err := tx.FindPackage(l.item)
	if err != nil {
		return t, err
	}
	m.At = k.afterKnown(tx, at, time.Time{}, p)
	if err := k.credible(p, m); err != nil {
		return t, err
	}
	v, err := ask(k, tx, p, &m)
	if err != nil {
		return t, err
	}
	d, err := draft(p, m)
	if err == nil && m.Reading.Given() {
		err = k.settled(m.At, p)
	}
	if err != nil {
		return t, err
	}
	if _, err := tx.Record(d); err != nil {
		return t, err
	}
	after, err := k.afterChange(tx, p)
	if err != nil {
		return t, err
	}
	loan := show.LoanOf(after, v, p)
	return told[show.Loan]{loan, func(w io.Writer) {
		fmt.Fprintf(w, "%s; %s\n", word, after.Line(k.units))
		show.PrintHandedOver(w, v)
		loan.PrintOwed(w, k.units)
		show.TellUnexplained(w, p, after.Pack, k.units)
	}}, nil
}
