package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/wif"
	"endsmeet/planner/book"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func bookCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "book", Category: groupLooking, ArgsUsage: "FILE",
		Usage: "Write the whole stash as one page to look at, search and print.",
		Description: "The page has every yarn by bin and by fibre with its colour and what is left, every piece with\n" +
			"plan and measures, and how the stash went. It is one file that needs no network: open it in a browser,\n" +
			"carry it on a telephone, print it on A4 or Letter. FILE may be - for standard output.\n" +
			"What is recorded about people stays out unless you give --with-private.",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "with-private",
				Usage: "include people, their rules and what is for them"},
			&cli.BoolFlag{Name: "force", Usage: "overwrite a file that exists"},
		},
		Action: action(e, 1, 1, stashBook),
	}
}

func stashBook(k *call) error {
	path := k.Args().First()
	if err := k.alone(path, "page"); err != nil {
		return err
	}
	if err := k.view(k.warnOfNames); err != nil {
		return err
	}
	var made show.BookMade
	if err := k.writePage(path, func(tx *sqlite.Tx, w io.Writer) error {
		b, err := k.bookOf(tx)
		made = show.BookMade{File: path, Pieces: len(b.Pieces), People: len(b.People)}
		for _, bin := range b.Bins {
			made.Items += len(bin.Items)
		}
		if err = cmp.Or(err, k.unused()); err != nil {
			return err
		}
		return book.Write(w, b)
	}); err != nil || path == dash {
		return err
	}
	if k.asJSON() {
		return k.printJSON(made)
	}
	fmt.Fprintf(k.env.stdout, "%s and %s in %s. Open it in a browser.\n",
		measure.Counted(made.Items, "item"), measure.Counted(made.Pieces, "piece"),
		stash.Clean(path))
	return nil
}

// writePage writes a page into a file, whole or not at all, or to standard output.
func (k *call) writePage(path string, write func(*sqlite.Tx, io.Writer) error) error {
	if path == dash {
		out := &show.Sink{W: show.Document(k.env.stdout)}
		return out.Blame("standard output", k.view(func(tx *sqlite.Tx) error {
			return buffered(out, func(w io.Writer) error { return write(tx, w) })
		}))
	}
	if err := newFile(path, k.Bool("force")); err != nil {
		return err
	}
	return streamOver(path, k.Bool("force"), func(w io.Writer) error {
		return k.view(func(tx *sqlite.Tx) error { return write(tx, w) })
	})
}

// bookOf reads the whole stash into a book.
func (k *call) bookOf(tx *sqlite.Tx) (book.Book, error) {
	b := book.Book{Title: "The stash book", Made: tx.Now().Format(time.DateOnly)}
	s, err := newShelf(tx)
	if err != nil {
		return b, err
	}
	if maker := stash.Clean(s.Settings.Maker); maker != "" {
		b.Title += " of " + maker
	}
	m := &bookMaker{k: k, tx: tx, s: s, private: k.Bool("with-private")}
	if err := m.read(); err != nil {
		return b, err
	}
	b.Summary = m.summary()
	b.Bins, b.Fibres = m.bins(), m.fibres()
	if b.Pieces, err = m.bookPieces(); err != nil {
		return b, err
	}
	if b.Plots, err = m.plots(); err != nil || !m.private {
		return b, err
	}
	b.People, err = m.people()
	return b, err
}

// bookMaker makes the parts of a book, having read once what they all need.
type bookMaker struct {
	k       *call
	tx      *sqlite.Tx
	s       *shelf
	private bool
	all     []stash.Package
	items   []show.Item
	pieces  map[stash.PieceID]stash.Piece
	inOrder []stash.Piece
	// photos are the small pictures of what has a photo, the newest of each.
	photos map[stash.Subject][]byte
}

func (m *bookMaker) read() error {
	var err error
	if m.all, err = m.tx.Packages(false); err != nil {
		return err
	}
	m.all = slices.DeleteFunc(m.all, func(p stash.Package) bool { return p.Yarn == "" })
	for _, p := range m.all {
		if !p.Retired {
			m.items = append(m.items, m.s.item(p))
		}
	}
	slices.SortFunc(m.items, func(a, b show.Item) int {
		return cmp.Or(stash.Naturally(a.Tag, b.Tag), strings.Compare(string(a.ID), string(b.ID)))
	})
	if m.photos, err = newestSmall(m.tx); err != nil {
		return err
	}
	m.inOrder, err = m.tx.Pieces(false)
	m.inOrder = slices.DeleteFunc(m.inOrder, func(p stash.Piece) bool { return p.Name == "" })
	m.pieces = map[stash.PieceID]stash.Piece{}
	for _, p := range m.inOrder {
		m.pieces[p.ID] = p
	}
	return err
}

func (m *bookMaker) summary() []string {
	if len(m.items) == 0 {
		return []string{"Nothing on the shelf yet."}
	}
	yarns := map[stash.YarnID]bool{}
	for _, it := range m.items {
		yarns[it.YarnID] = true
	}
	return []string{show.Totals(show.LinesOf(m.items), m.k.units),
		fmt.Sprintf("They are of %s.", measure.Counted(len(yarns), "yarn"))}
}

// bins puts the shelf in the order of its bins, what has none last.
func (m *bookMaker) bins() []book.Bin {
	byBin := map[string][]book.Item{}
	var names []string
	for _, it := range m.items {
		name := stash.Clean(it.Pack.Bin)
		if byBin[name] == nil {
			names = append(names, name)
		}
		byBin[name] = append(byBin[name], m.item(it, true))
	}
	slices.SortFunc(names, func(a, b string) int {
		if (a == "") != (b == "") {
			return len(b) - len(a)
		}
		return stash.Naturally(a, b)
	})
	var out []book.Bin
	for _, name := range names {
		out = append(out, book.Bin{Name: name, Items: byBin[name]})
	}
	return out
}

// item is an item of the book, with its yarn and that one's flags where they are
// not told above it.
func (m *bookMaker) item(it show.Item, withYarn bool) book.Item {
	flags := packageFlags(it.Pack)
	if withYarn {
		flags = it.Flags
	}
	out := book.Item{
		Tag: it.Tag, Colour: show.ColourWords(it), Swatch: swatchOf(it),
		Left: show.Glued(it.Left(m.k.units)),
		Bar:  show.BarOf(it.Pack), Notes: itemNotes(it, flags, m.private),
		Mass:  int64(it.Amount.Net),
		Moved: it.Pack.Moved.Format(time.DateOnly),
	}
	if withYarn {
		out.Yarn, out.Anchor = stash.Clean(it.Yarn), "y-"+string(it.YarnID)
	}
	return out
}

// swatchOf is how the colour of an item looks: as it was said, else as far as words
// tell, its own or what stands after the comma in the name of its yarn.
func swatchOf(it show.Item) book.Swatch {
	if it.Pack.Swatch != "" {
		return book.Swatch{Hex: it.Pack.Swatch}
	}
	hex, _ := wif.HexOf(it.Pack.ColourOf(it.Yarn))
	return book.Swatch{Hex: hex}
}

// itemNotes are form, state and flags of an item in words. Who has it on loan is
// told with what is private.
func itemNotes(it show.Item, flags []string, private bool) []string {
	var out []string
	if it.Pack.Form != "" {
		out = append(out, string(it.Pack.Form))
	}
	state := it.State
	if private && it.Pack.LentTo != "" {
		state += " to " + stash.Clean(it.Pack.LentTo)
	}
	if it.State != "here" {
		out = append(out, state)
	}
	return append(out, show.InWords(flags)...)
}

// fibres puts the yarns under the fibre of which they have most.
func (m *bookMaker) fibres() []book.Fibre {
	ofYarn := map[stash.YarnID][]show.Item{}
	for _, it := range m.items {
		ofYarn[it.YarnID] = append(ofYarn[it.YarnID], it)
	}
	lives := m.lives()
	byFibre := map[string][]book.Yarn{}
	for id, items := range ofYarn {
		name := cmp.Or(show.MainFibre(items[0].Recorded), "fibre not recorded")
		byFibre[name] = append(byFibre[name], m.yarn(id, items, lives[id]))
	}
	var out []book.Fibre
	for name, yarns := range byFibre {
		slices.SortFunc(yarns, func(a, b book.Yarn) int {
			return cmp.Or(stash.Naturally(a.Name, b.Name), strings.Compare(a.Anchor, b.Anchor))
		})
		out = append(out, book.Fibre{Name: name, Yarns: yarns})
	}
	slices.SortFunc(out, func(a, b book.Fibre) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func (m *bookMaker) yarn(id stash.YarnID, items []show.Item, life []book.Happening) book.Yarn {
	y := items[0].Recorded
	out := book.Yarn{Name: stash.Clean(y.Name), Anchor: "y-" + string(id), Life: life,
		Photo: m.photoOf(y.Name, yarnThings(id, items)...)}
	add := func(name, text string) {
		if text != "" {
			out.Facts = append(out.Facts, book.Fact{Name: name, Text: stash.Clean(text)})
		}
	}
	add("Fibre", show.FibreWords(y))
	add("Count", show.CountWords(y.Count, m.k.units))
	add("Built", strings.Join(y.Construction, ", "))
	add("Fit for", string(y.Fit))
	add("Sheds", show.SheddingWords(y.Shedding))
	add("Wash", show.WashWords(y.Wash))
	add("Mind", strings.Join(show.InWords(people.Flags(items[0].Facts.YarnFacts)), "; "))
	for _, it := range items {
		out.Items = append(out.Items, m.item(it, false))
	}
	return out
}

// lives tells of each yarn when it came and what it was used in.
func (m *bookMaker) lives() map[stash.YarnID][]book.Happening {
	out := map[stash.YarnID][]book.Happening{}
	for _, p := range m.all {
		if came := cmp.Or(p.Acquired, show.DayWords(p.Arrived)); came != "" && p.Received > 0 {
			out[p.Yarn] = append(out[p.Yarn],
				book.Happening{Day: came, Text: fmt.Sprintf("%s came: %s", p.Label(),
					p.Received.Format(m.k.units))})
		}
		for id, mass := range p.UsedIn {
			piece := m.pieces[id]
			if piece.Name == "" || mass <= 0 {
				continue
			}
			day := show.DayWords(latest(piece.EndedAt, piece.StartedAt, piece.PlannedAt))
			out[p.Yarn] = append(out[p.Yarn],
				book.Happening{Day: day, Text: fmt.Sprintf("%s: %s of %s", stash.Clean(piece.Name),
					mass.Format(m.k.units), p.Label())})
		}
	}
	for _, life := range out {
		slices.SortFunc(life, func(a,
			b book.Happening) int {
			return cmp.Or(strings.Compare(a.Day, b.Day), stash.Naturally(a.Text, b.Text))
		})
	}
	return out
}

// latest is the first of some moments that is set.
func latest(all ...time.Time) time.Time {
	for _, t := range all {
		if !t.IsZero() {
			return t
		}
	}
	return time.Time{}
}
