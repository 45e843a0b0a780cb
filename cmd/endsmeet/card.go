package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/care"
	"endsmeet/planner/label"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func cardCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "card", Category: groupPeople, ArgsUsage: "PIECE",
		Usage: "Write the card of a finished piece: fibres, washing, size, lots, cautions.",
		Description: "Fibres are by weight in the finished piece, without loom waste. Washing and\n" +
			"finishing follow from the yarns. --html and --svg write a card to print,\n" +
			"in size A6 or --small. " + label.Law,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "html",
				Usage: "write the card as a page, to this `FILE`; - is standard output"},
			&cli.StringFlag{Name: "svg",
				Usage: "write the card as a drawing, to this `FILE`; - is standard output"},
			&cli.BoolFlag{Name: "small",
				Usage: "the size of a sewn label, with fibres, washing and cautions only"},
			&cli.StringFlag{Name: "maker",
				Usage: "`NAME` of the maker on the card; \"\" for none (usually: config maker)"},
			&cli.BoolFlag{Name: "washing-only", Aliases: []string{"washing"},
				Usage: "only how to wash and finish it; works before the piece is finished too"},
			&cli.BoolFlag{Name: "cost", Usage: "show what the yarn cost"},
			&cli.BoolFlag{Name: "reasons", Usage: "show why a rule of the person was set aside"},
			&cli.BoolFlag{Name: "force", Usage: "overwrite a file that exists"},
		},
		Action: action(e, 1, 1, card),
	}
}

func card(k *call) error {
	if k.Bool("washing-only") {
		return k.view(k.cardWashing)
	}
	files, err := k.cardFiles()
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		piece, shelf, err := pieceAndShelf(tx, k.Args().First())
		if err != nil {
			return err
		}
		shape, err := k.cardOf(shelf, piece)
		if err != nil {
			return err
		}
		if shape.Card.Photo, err = fullPhoto(tx, stash.Subject(piece.ID)); err != nil {
			return err
		}
		if shape.Verdicts, err = k.cardVerdict(tx, piece); err != nil {
			return err
		}
		if err := k.render(files, shape.Card); err != nil {
			return err
		}
		shape.Files = files.names()
		return k.answerCard(shape, files)
	})
}

// cardVerdict judges a piece for its card: what speaks of the cloth alone. That
// somebody's rules speak against it is noted beside the card, and no more.
func (k *call) cardVerdict(tx *sqlite.Tx, piece stash.Piece) (verdict.Verdict, error) {
	v, err := wovenVerdict(tx, piece.ID)
	if a, asked := v.Of(verdict.Recipient); asked && a.Grade != verdict.Yes {
		k.note("may it reach the person it is for? %s: before you hand it on, see why: %s", a.Grade,
			stash.Command("give --to NAME --dry-run", piece.Name))
	}
	return v.Only(verdict.Agree), err
}

// answerCard writes the files, and then shows the card.
func (k *call) answerCard(shape show.Carded, files cardFiles) error {
	err := k.answer(shape, func(w io.Writer) {
		fmt.Fprint(w, shape.Card.Text(k.cardSize(), show.RoomOf(w)))
		fmt.Fprintln(w)
		show.PrintAdvice(w, shape.Finishing)
		show.PrintWorse(w, shape.Verdicts)
		for _, name := range shape.Files {
			fmt.Fprintf(w, "written: %s\n", stash.Clean(name))
		}
	})
	tell := k.tell
	k.tell = func() error {
		if err := files.write(show.Document(k.env.stdout), k.Bool("force")); err != nil {
			return err
		}
		if files.toOutput() {
			return nil
		}
		return tell()
	}
	return err
}

func (k *call) cardSize() label.Size {
	if k.Bool("small") {
		return label.Small
	}
	return label.A6
}

func (k *call) cardOf(s making.Shelf, p stash.Piece) (show.Carded, error) {
	c, err := s.Card(p)
	if err != nil {
		return show.Carded{}, err
	}
	if !k.Bool("cost") {
		c.Cost = nil
	}
	if !k.Bool("reasons") {
		c.Overrides = nil
	}
	if k.IsSet("maker") {
		c.Maker = stash.Clean(k.String("maker"))
	}
	advice := show.AdviceFor(s, p)
	c.Washing = advice.Words()
	for _, one := range people.ContentCautions(show.PartsOfPiece(s, p),
		people.FormOf(p.Plan.Spec)) {
		c.Cautions = append(c.Cautions, one.Text)
	}
	if c.Pieces <= 1 {
		k.doubtMass(p.Finish.Measures.Cloth, c.Composition.Mass)
	}
	if c.Width == 0 || c.Length == 0 {
		k.note("the finished size was not measured, so it is not on the card")
	}
	return cardedOf(p, c, advice), nil
}

func cardedOf(p stash.Piece, c label.Card, advice care.Advice) show.Carded {
	shape := show.Carded{
		ID: p.ID, Piece: c.Piece, Pieces: max(1, c.Pieces), Maker: stash.Known(c.Maker),
		Date:  c.Date,
		Width: knownLength(c.Width), Length: knownLength(c.Length),
		Fringe: c.Fringe, Fibre: c.Composition.Words(), Basis: c.Composition.Basis(),
		Composition: c.Composition, Washing: c.Washing,
		Cautions:  c.Cautions,
		Overrides: c.Overrides, Law: label.Law, Finishing: advice, Card: c,
	}
	if c.Cost != nil {
		shape.Cost = &show.CardedCost{Milli: c.Cost.Milli, Currency: stash.Known(c.Cost.Currency),
			Unpriced: c.Cost.Unpriced}
	}
	for _, l := range c.Lots {
		shape.Lots = append(shape.Lots, show.CardedLot{Yarn: l.Yarn, Lot: stash.Known(l.Lot)})
	}
	return shape
}

// doubtMass tells when the piece on the scale and its yarns differ by more
// than a tenth: the percentages are then in doubt.
func (k *call) doubtMass(weighed, sum measure.Mass) {
	if weighed > 0 && max(weighed-sum, sum-weighed)*10 > weighed {
		k.note("the piece weighs %s and its yarns add up to %s: weigh them again, the percentages are in doubt", weighed.Format(k.units), sum.Format(k.units))
	}
}

// cardWashing answers only how to finish a piece, or what a project would make.
func (k *call) cardWashing(tx *sqlite.Tx) error {
	shelf, err := makingShelf(tx)
	if err != nil {
		return err
	}
	name := k.Args().First()
	piece, pieceErr := tx.FindPiece(name)
	shape := show.CardFinishing{Name: piece.Name, Advice: show.AdviceFor(shelf, piece)}
	if pieceErr != nil {
		b, err := tx.FindProject(name)
		if err != nil {
			return pieceErr
		}
		shape = show.CardFinishing{Name: b.Name, Advice: care.Advise(partsOf(shelf, b.ProjectFacts),
			people.FormOf(b.ProjectFacts))}
	}
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintln(w, stash.Clean(shape.Name))
		show.PrintAdvice(w, shape.Advice)
	})
}

// cardFiles are the files to be written, each with how it is rendered.
type cardFiles []*cardFile

type cardFile struct {
	path   string
	render func(label.Card, io.Writer, label.Size) error
	data   bytes.Buffer
}

// cardFiles reads --html and --svg, and refuses what could not be written
// before anything is.
func (k *call) cardFiles() (cardFiles, error) {
	var out cardFiles
	if path := k.String("html"); path != "" {
		out = append(out, &cardFile{path: path, render: label.Card.HTML})
	}
	if path := k.String("svg"); path != "" {
		out = append(out, &cardFile{path: path, render: label.Card.SVG})
	}
	if len(out) == 2 && out[0].path == out[1].path {
		return nil, stash.Refuse(stash.CodeUsage, "name two files",
			"--html and --svg name the same file")
	}
	if out.toOutput() {
		if err := k.alone(dash, "card"); err != nil {
			return nil, err
		}
	}
	for _, f := range out {
		if f.path == dash {
			continue
		}
		if err := newFile(f.path, k.Bool("force")); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// render renders a card for each of the files.
func (k *call) render(files cardFiles, c label.Card) error {
	size := k.cardSize()
	for _, f := range files {
		if err := k.asWritten(&f.data, func(w io.Writer) error {
			return f.render(c, w, size)
		}); err != nil {
			return err
		}
	}
	return nil
}

// toOutput says whether one of them goes to standard output.
func (files cardFiles) toOutput() bool {
	return slices.ContainsFunc(files, func(f *cardFile) bool { return f.path == dash })
}

func (files cardFiles) names() []string {
	var names []string
	for _, f := range files {
		names = append(names, f.path)
	}
	return names
}

// write writes the files, and to standard output what is to go there.
func (files cardFiles) write(to io.Writer, force bool) error {
	for _, f := range files {
		if f.path == dash {
			if _, err := to.Write(f.data.Bytes()); err != nil {
				return err
			}
			continue
		}
		if err := writeNew(f.path, f.data.Bytes(), force); err != nil {
			return err
		}
	}
	return nil
}
