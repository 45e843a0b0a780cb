package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/tables"
	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func yearCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "year", Category: groupLooking, ArgsUsage: "[YEAR]",
		Usage: "See what came in, what went where and what is there at the end of a year.",
		Description: "In yarn and in what was paid for it, each item at its own price; yarn acquired before it was recorded counts\n" +
			"in the year it was acquired. --csv and --journal write the same for a book-keeper, by date.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "csv",
				Usage: "every movement of the year as a table, to this `FILE` or -"},
			&cli.StringFlag{Name: "journal",
				Usage: "every movement up to the end of the year as a plain-text journal, to this `FILE` or -"},
		},
		Action: action(e, 0, 1, year),
	}
}

func year(k *call) error {
	now := k.env.now()
	n := now.Year()
	if text := k.Args().First(); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil || n < 1900 || n > 2999 {
			return stash.Refuse(stash.CodeUsage, "Such as endsmeet year 2025.", "%s is no year.",
				stash.Quote(text))
		}
	}
	from := time.Date(n, 1, 1, 0, 0, 0, 0, now.Location())
	to := from.AddDate(1, 0, 0)
	written := false
	for _, form := range []struct {
		name  string
		write func(*call, *sqlite.Tx, io.Writer) error
	}{
		{"csv", func(_ *call, tx *sqlite.Tx, w io.Writer) error {
			return writeYear(tx, w, from,
				to)
		}},
		{"journal", func(_ *call, tx *sqlite.Tx, w io.Writer) error {
			return journalUntil(tx, w,
				to)
		}},
	} {
		if !k.IsSet(form.name) {
			continue
		}
		if err := k.exportFile(k.String(form.name), form.write); err != nil {
			return err
		}
		written = true
	}
	if written {
		return nil
	}
	return k.view(func(tx *sqlite.Tx) error {
		shape, err := yearOf(tx, from, to)
		if err != nil {
			return err
		}
		return k.answer(shape, func(w io.Writer) { show.PrintYear(w, shape, k.units) })
	})
}

func yearOf(tx *sqlite.Tx, from, to time.Time) (show.YearShape, error) {
	sums := books.NewSums(from, to)
	if err := eachMove(tx, sums.Add); err != nil {
		return show.YearShape{}, err
	}
	y := sums.Year()
	out := show.YearShape{
		Year: from.Year(), Opening: amountShapeOf(y.Opening), Received: amountShapeOf(y.Received),
		Used: amountShapeOf(y.Used), Discarded: amountShapeOf(y.Discarded),
		Given: amountShapeOf(y.Given), Unexplained: amountShapeOf(y.Unexplained),
		Closing: amountShapeOf(y.Closing), Rounding: paidOf(y.Rounding),
		Fibres: []show.FibreYear{}, Pieces: []show.PieceYear{}, Sold: show.PaidShape{},
	}
	for _, f := range y.Fibres {
		out.Fibres = append(out.Fibres,
			show.FibreYear{Fibre: f.Name, Received: amountShapeOf(f.Received),
				Used: amountShapeOf(f.Used), Closing: amountShapeOf(f.Closing)})
	}
	within := func(t time.Time) bool { return !t.Before(from) && t.Before(to) }
	pieces, err := tx.Pieces(false)
	for _, p := range pieces {
		if p.State == stash.Finished && within(p.EndedAt) {
			out.Pieces = append(out.Pieces,
				show.PieceYear{Piece: p.Name, Finished: p.EndedAt, Number: p.Woven(),
					Minutes: p.Finish.Measures.Minutes})
		}
	}
	if err != nil {
		return out, err
	}
	sales, err := soldPieces(tx)
	for _, s := range sales {
		if within(s.Day) {
			out.Sold[s.Currency] += s.Milli
		}
	}
	if err != nil {
		return out, err
	}
	shelf, err := newShelf(tx)
	if err != nil {
		return out, err
	}
	unfit := books.NewWorthSums(shelf.Settings)
	err = tx.EachPackage(true, func(p stash.Package) error {
		addUnfit(unfit, shelf, p)
		return nil
	})
	out.Unfit = worthLineOf(unfit.All)
	return out, err
}

// writeYear writes the movements of a year as a table, by date: what one day changed
// in one part is a row; amounts have a point and three decimals.
func writeYear(tx *sqlite.Tx, w io.Writer, from, to time.Time) error {
	names, err := pieceNames(tx)
	if err != nil {
		return err
	}
	var all books.Ordered
	err = eachMove(tx, func(m books.Move) {
		if !m.Day.Before(from) && m.Day.Before(to) {
			all.Add(m, func(text []byte) []byte {
				for _, e := range m.Entries {
					text = append(text, csvLine(moveCells(m, e, names)...)...)
				}
				return text
			})
		}
	})
	if err != nil {
		return err
	}
	sales, err := soldPieces(tx)
	if err != nil {
		return err
	}
	if _, err := w.Write(csvLine("date", "what", "item", "yarn", "fibre", "part", "piece", "g",
		"amount", "currency", "event")); err != nil {
		return err
	}
	if _, err := all.WriteTo(w); err != nil {
		return err
	}
	for _, s := range sales {
		if s.Day.Before(from) || !s.Day.Before(to) {
			continue
		}
		if _, err := w.Write(csvLine(s.Day.Format(time.DateOnly), "sold", "", "", "", "sales",
			s.Piece, "", decimal3(-s.Milli), s.Currency, "")); err != nil {
			return err
		}
	}
	return nil
}

// moveCells is the row of what a move changed in one part.
func moveCells(m books.Move, e stash.Entry, names map[stash.PieceID]string) []string {
	amount, currency := "", ""
	if m.Priced {
		amount, currency = decimal3(e.Milli), m.Currency
	}
	return []string{m.Day.Format(time.DateOnly), string(m.Posting.Event.Kind), m.Package.Label(),
		m.Yarn.Name, books.FibreName(m.Yarn), string(e.Part), names[m.Posting.Piece],
		decimal3(int64(e.Mass)), amount, currency, m.Posting.Event.ID().String()}
}

// csvLine is a row of a table that a spreadsheet may open.
func csvLine(cells ...string) []byte {
	for i := range cells {
		cells[i] = tables.Guard(cells[i])
	}
	var line bytes.Buffer
	out := csv.NewWriter(&line)
	_ = out.Write(cells) // into memory
	out.Flush()
	return line.Bytes()
}

// decimal3 writes thousandths with a point.
func decimal3(n int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	return fmt.Sprintf("%s%d.%03d", sign, n/1000, n%1000)
}
