package main

import (
	"bytes"
	"encoding/csv"
	"io"
	"strconv"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/tables"
	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/written"
)

func yearCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "year", Category: groupLooking, ArgsUsage: "[YEAR]",
		Usage: "See what came in, what went where and what is there at the end of a year.",
		Description: "Counted in weight and in what was paid, each item at its own price. Yarn acquired before it was recorded counts\n" +
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

// calendarYear is a year where the weaver is: its first moment, and the first after it.
type calendarYear struct{ begin, end time.Time }

func (y calendarYear) holds(t time.Time) bool { return !t.Before(y.begin) && t.Before(y.end) }

func year(k *call) error {
	y, err := k.yearAsked()
	if err != nil {
		return err
	}
	written, err := k.writeYears(y)
	if err != nil || written {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		shape, err := yearOf(tx, y)
		if err != nil {
			return err
		}
		return k.answer(shape, func(w io.Writer) { show.PrintYear(w, shape, k.units) })
	})
}

// yearAsked is the year that was named, else this one.
func (k *call) yearAsked() (calendarYear, error) {
	now := k.env.now()
	n := now.Year()
	if text := k.Args().First(); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil || n < 1900 || n > 2999 {
			return calendarYear{}, stash.Refuse(stash.CodeUsage, "Such as endsmeet year 2025.",
				"%s is no year.", stash.Quote(text))
		}
	}
	begin := time.Date(n, 1, 1, 0, 0, 0, 0, now.Location())
	return calendarYear{begin, begin.AddDate(1, 0, 0)}, nil
}

// writeYears writes the files of a year that were asked for, and says whether any was.
func (k *call) writeYears(y calendarYear) (bool, error) {
	written := false
	for _, form := range []struct {
		name  string
		write func(*call, *sqlite.Tx, io.Writer) error
	}{
		{"csv", func(_ *call, tx *sqlite.Tx, w io.Writer) error { return writeYear(tx, w, y) }},
		{"journal", func(_ *call, tx *sqlite.Tx, w io.Writer) error {
			return journalUntil(tx, w, y.end)
		}},
	} {
		if !k.IsSet(form.name) {
			continue
		}
		if err := k.exportFile(k.String(form.name), form.write); err != nil {
			return written, err
		}
		written = true
	}
	return written, nil
}

// yearOf adds up a year.
func yearOf(tx *sqlite.Tx, in calendarYear) (show.YearShape, error) {
	sums := books.NewSums(in.begin, in.end)
	if err := eachMove(tx, sums.Add); err != nil {
		return show.YearShape{}, err
	}
	out := show.YearShape{Calendar: in.begin.Year(), Year: sums.Year(), Sold: books.Sum{}}
	if err := addPieceYears(tx, &out, in); err != nil {
		return out, err
	}
	var err error
	out.Unfit, err = unfitNow(tx)
	return out, err
}

// addPieceYears adds the pieces that were finished, and those sold, in a year.
func addPieceYears(tx *sqlite.Tx, out *show.YearShape, in calendarYear) error {
	pieces, err := tx.Pieces(false)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if p.State == stash.Finished && in.holds(p.EndedAt) {
			out.Pieces = append(out.Pieces,
				show.PieceYear{Piece: p.Name, Finished: p.EndedAt, Number: p.Woven(),
					Minutes: p.Finish.Measures.Minutes})
		}
	}
	sales, err := soldPieces(tx)
	for _, s := range sales {
		if in.holds(s.Day) {
			out.Sold[s.Currency] += s.Milli
		}
	}
	return err
}

// unfitNow is what of the stash has perished or is to be discarded by now.
func unfitNow(tx *sqlite.Tx) (books.Worth, error) {
	shelf, err := newShelf(tx)
	if err != nil {
		return books.Worth{}, err
	}
	prices := books.Prices{}
	unfit := books.NewWorthSums(shelf.Settings, prices)
	err = tx.EachPackage(false, func(p stash.Package) error {
		prices.See(p)
		addUnfit(unfit, shelf, p)
		return nil
	})
	return unfit.All(), err
}

// writeYear writes the movements of a year as a table, by date: what one day changed
// in one part is a row; amounts have a point and three decimals.
func writeYear(tx *sqlite.Tx, w io.Writer, in calendarYear) error {
	names, err := pieceNames(tx)
	if err != nil {
		return err
	}
	var all books.Ordered
	err = eachMove(tx, func(m books.Move) {
		if in.holds(m.Day) {
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
		if in.holds(s.Day) {
			if _, err := w.Write(csvLine(s.Day.Format(time.DateOnly), "sold", "", "", "", "sales",
				s.Piece, "", written.Fixed(-s.Milli, 3), s.Currency, "")); err != nil {
				return err
			}
		}
	}
	return nil
}

// moveCells is the row of what a move changed in one part.
func moveCells(m books.Move, e stash.Entry, names map[stash.PieceID]string) []string {
	amount, currency := "", ""
	if m.Priced {
		amount, currency = written.Fixed(e.Milli, 3), m.Currency
	}
	return []string{m.Day.Format(time.DateOnly), string(m.Posting.Event.Kind), m.Package.Label(),
		m.Yarn.Name, books.FibreName(m.Yarn), string(e.Part), names[m.Posting.Piece],
		written.Fixed(int64(e.Mass), 3), amount, currency, m.Posting.Event.ID().String()}
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
