package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// passOn records that a finished piece was given away or sold.
func (k *call) passOn() error {
	at, err := k.when()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		piece, err := tx.FindPiece(k.Args().First())
		if err != nil {
			return k.meantItem(tx, err)
		}
		if err := k.onlyPiece(tx, piece); err != nil {
			return err
		}
		x, v, err := k.passing(tx, piece)
		if err != nil {
			return err
		}
		d, err := piece.Pass(x, k.withinSaid(at, piece.EndedAt))
		if err != nil {
			return err
		}
		if _, err := tx.Record(d); err != nil {
			return err
		}
		shape := show.Passed{Piece: piece.Name, Number: x.Number, Left: piece.InHand() - x.Number,
			Price: x.Price, Act: tx.Act(), Verdicts: v}
		return k.answer(shape, func(w io.Writer) {
			fmt.Fprintf(w, "%s %s%s.\n", stash.Clean(piece.Name),
				show.PassedWords(x, piece.Woven(), k.String("to")), show.InHandWords(shape.Left))
			show.PrintHandedOver(w, v)
		})
	})
}

// meantItem says of a name that is no piece but an item that the amount is missing.
func (k *call) meantItem(tx *sqlite.Tx, err error) error {
	if _, found := tx.FindPackage(k.Args().First()); found == nil &&
		stash.CodeOf(err) == stash.CodeUnknown {
		return wanting(k.Context, stash.Refuse(stash.CodeUsage,
			stash.Command("give", k.Args().First(), "50g")+", or all.", "How much of %s?",
			stash.Quote(k.Args().First())), "AMOUNT")
	}
	return err
}

// onlyPiece refuses a name that may as well be that of an item, unless it is the piece's
// whole name.
func (k *call) onlyPiece(tx *sqlite.Tx, piece stash.Piece) error {
	name := k.Args().First()
	p, err := tx.FindPackage(name)
	code := stash.CodeOf(err)
	if stash.Fold(name) == stash.Fold(piece.Name) && stash.Fold(name) != stash.Fold(p.Label()) ||
		err != nil && code != stash.CodeAmbiguous {
		return nil
	}
	item := "ITEM"
	if err == nil {
		item = p.Label()
	}
	return stash.Refuse(stash.CodeAmbiguous, "For the piece: "+stash.Command("give", piece.Name)+
		"; for yarn: "+stash.Command("give", item, "50g"), "%s may be the piece %s, or yarn.",
		stash.Quote(name), stash.Clean(piece.Name))
}

// passing reads to whom a piece goes and for how much, and asks whether it may.
func (k *call) passing(tx *sqlite.Tx, piece stash.Piece) (stash.Passing, verdict.Verdict, error) {
	x := stash.Passing{Number: piece.InHand(), Note: stash.Clean(k.String("note"))}
	if k.IsSet("number") {
		x.Number = k.Int("number")
	}
	if text := k.String("price"); text != "" {
		price, err := typed(k, text, stash.ParsePrice)
		if err == nil && price.Per != 0 {
			err = errors.New("what was paid in all is wanted, such as 48 EUR")
		}
		if err != nil {
			return x, verdict.Verdict{}, fmt.Errorf("--price: %w", err)
		}
		x.Price = &price
	}
	whom, err := k.receiver(tx)
	if err != nil {
		return x, verdict.Verdict{}, err
	}
	if x.Person = whom.ID(); x.Person == "" {
		x.Who = stash.Clean(k.String("to"))
	}
	if x.Person == "" && x.Who == "" {
		return x, verdict.Verdict{}, stash.Refuse(stash.CodeUsage, "Say who has it: --to WHO.",
			"A piece goes to somebody.")
	}
	v, err := k.mayHave(tx, piece, whom)
	return x, v, err
}

// mayHave asks the gate whether the person may have a piece.
func (k *call) mayHave(tx *sqlite.Tx, piece stash.Piece, whom verdict.Whom) (verdict.Verdict,
	error) {
	s, err := pieceShelf(tx, piece)
	if err != nil {
		return verdict.Verdict{}, err
	}
	v := verdict.OfWoven(s, piece, whom).Only(verdict.Recipient)
	if err := k.refused(v, nil); err != nil {
		return v, err
	}
	return v, k.recordAside(tx, piece.ID, v, whom)
}

// passedLines say who has a piece, and since when.
func passedLines(tx *sqlite.Tx, p stash.Piece) ([]string, error) {
	var out []string
	for _, x := range p.Passed {
		who, err := whoHas(tx, x)
		if err != nil {
			return nil, err
		}
		line := x.At.Format(time.DateOnly) + "  " + show.PassedWords(x, p.Woven(), who)
		if x.Note != "" {
			line += " (" + stash.Clean(x.Note) + ")"
		}
		out = append(out, line)
	}
	if len(p.Passed) > 0 && p.InHand() > 0 {
		out = append(out, fmt.Sprintf("%d still here", p.InHand()))
	}
	return out, nil
}

// whoHas is the name of who has a piece. Of a person who is kept on another machine
// nothing is known here.
func whoHas(tx *sqlite.Tx, x stash.Passing) (string, error) {
	if x.Person == "" {
		return x.Who, nil
	}
	person, found, err := tx.Person(x.Person)
	if !found {
		return "a person recorded on another machine", err
	}
	return person.Name, err
}
