package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"iter"
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
	defer keepWithin(streamMemory)()
	path := k.Args().First()
	if err := k.alone(path, "page"); err != nil {
		return err
	}
	if err := k.view(k.warnOfNames); err != nil {
		return err
	}
	var made show.BookMade
	if err := k.writePage(path, func(tx *sqlite.Tx, w io.Writer) error {
		b, items, err := k.bookOf(tx)
		made = show.BookMade{File: path, Items: items, Pieces: len(b.Pieces), People: len(b.People)}
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
	made := func(w io.Writer) error {
		return k.view(func(tx *sqlite.Tx) error {
			return k.asWritten(w, func(w io.Writer) error { return write(tx, w) })
		})
	}
	if path == dash {
		out := &show.Sink{W: show.Document(k.env.stdout)}
		return out.Blame("standard output", buffered(out, made))
	}
	if err := newFile(path, k.Bool("force")); err != nil {
		return err
	}
	return streamOver(path, k.Bool("force"), made)
}

// asWritten writes a page or a drawing with decimals as whoever reads it writes them.
func (k *call) asWritten(w io.Writer, write func(io.Writer) error) error {
	out, ok := k.env.stdout.(*show.Sink)
	if !ok || !out.Comma {
		return write(w)
	}
	var page bytes.Buffer
	if err := write(&page); err != nil {
		return err
	}
	_, err := w.Write(show.PageWithCommas(page.Bytes()))
	return err
}

// bookOf reads the whole stash into a book, and says how many items are in it.
func (k *call) bookOf(tx *sqlite.Tx) (b book.Book, items int, err error) {
	b = book.Book{Title: "The stash book", Made: tx.Now().Format(time.DateOnly)}
	s, err := newShelf(tx)
	if err != nil {
		return b, 0, err
	}
	if maker := stash.Clean(s.Settings.Maker); maker != "" {
		b.Title += " of " + maker
	}
	m := &bookMaker{k: k, tx: tx, s: s, private: k.Bool("with-private")}
	if err := m.read(); err != nil {
		return b, 0, err
	}
	items = len(m.live)
	b.Summary = m.summary()
	b.Bins, b.Fibres = m.bins(), m.fibres()
	if b.Pieces, err = m.bookPieces(); err != nil {
		return b, items, err
	}
	if b.Plots, err = m.plots(); err != nil || !m.private {
		return b, items, err
	}
	b.People, err = m.people()
	return b, items, err
}

// bookMaker makes the parts of a book, having read once what they all need. What is told
// of each item is made when the page comes to it.
type bookMaker struct {
	k       *call
	tx      *sqlite.Tx
	s       *shelf
	private bool
	all     []stash.Package
	live    []*stash.Package // those that are not retired, by tag
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
	for i := range m.all {
		if !m.all[i].Retired {
			m.live = append(m.live, &m.all[i])
		}
	}
	slices.SortFunc(m.live, func(a, b *stash.Package) int {
		return cmp.Or(stash.Naturally(a.Label(), b.Label()),
			strings.Compare(string(a.ID), string(b.ID)))
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
	if len(m.live) == 0 {
		return []string{"Nothing on the shelf yet."}
	}
	yarns := map[stash.YarnID]bool{}
	var lines []show.ListLine
	for _, p := range m.live {
		yarns[p.Yarn] = true
		lines = append(lines, show.ListedOf(m.s.item(*p)))
	}
	return []string{show.Totals(lines, m.k.units),
		fmt.Sprintf("They are of %s.", measure.Counted(len(yarns), "yarn"))}
}

// bins puts the shelf in the order of its bins, what has none last.
func (m *bookMaker) bins() []book.Bin {
	byBin := map[string][]*stash.Package{}
	var names []string
	for _, p := range m.live {
		name := stash.Clean(p.Bin)
		if byBin[name] == nil {
			names = append(names, name)
		}
		byBin[name] = append(byBin[name], p)
	}
	slices.SortFunc(names, func(a, b string) int {
		if (a == "") != (b == "") {
			return len(b) - len(a)
		}
		return stash.Naturally(a, b)
	})
	var out []book.Bin
	for _, name := range names {
		out = append(out, book.Bin{Name: name, Items: m.items(byBin[name], true)})
	}
	return out
}

// items tells of packages one after the other, as item does.
func (m *bookMaker) items(packages []*stash.Package, withYarn bool) iter.Seq[book.Item] {
	return func(yield func(book.Item) bool) {
		for _, p := range packages {
			if !yield(m.item(m.s.item(*p), withYarn)) {
				return
			}
		}
	}
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
	ever, live := map[stash.YarnID][]*stash.Package{}, map[stash.YarnID][]*stash.Package{}
	for i := range m.all {
		ever[m.all[i].Yarn] = append(ever[m.all[i].Yarn], &m.all[i])
	}
	byFibre := map[string][]stash.YarnID{}
	for _, p := range m.live {
		if live[p.Yarn] == nil {
			name := cmp.Or(show.MainFibre(m.s.item(*p).Recorded), "fibre not recorded")
			byFibre[name] = append(byFibre[name], p.Yarn)
		}
		live[p.Yarn] = append(live[p.Yarn], p)
	}
	var out []book.Fibre
	for name, yarns := range byFibre {
		slices.SortFunc(yarns, func(a, b stash.YarnID) int {
			return cmp.Or(stash.Naturally(stash.Clean(m.s.recorded[a].Name),
				stash.Clean(m.s.recorded[b].Name)), strings.Compare(string(a), string(b)))
		})
		out = append(out, book.Fibre{Name: name, Yarns: func(yield func(book.Yarn) bool) {
			for _, id := range yarns {
				if !yield(m.yarn(id, live[id], m.life(ever[id]))) {
					return
				}
			}
		}})
	}
	slices.SortFunc(out, func(a, b book.Fibre) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// yarn tells of a yarn with its packages that are not retired, of which there are some.
func (m *bookMaker) yarn(id stash.YarnID, packages []*stash.Package,
	life []book.Happening) book.Yarn {
	first := m.s.item(*packages[0])
	y := first.Recorded
	out := book.Yarn{Name: stash.Clean(y.Name), Anchor: "y-" + string(id), Life: life,
		Items: m.items(packages, false), Photo: m.photoOf(y.Name, yarnThings(id, packages)...)}
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
	add("Mind", strings.Join(show.InWords(people.Flags(first.Facts.YarnFacts)), "; "))
	return out
}

// life tells of the packages of a yarn when they came and what they were used in.
func (m *bookMaker) life(packages []*stash.Package) []book.Happening {
	var out []book.Happening
	for _, p := range packages {
		if came := cmp.Or(p.Acquired, show.DayWords(p.Arrived)); came != "" && p.Received > 0 {
			out = append(out, book.Happening{Day: came,
				Text: fmt.Sprintf("%s came: %s", p.Label(), p.Received.Format(m.k.units))})
		}
		for id, mass := range p.UsedIn {
			piece := m.pieces[id]
			if piece.Name == "" || mass <= 0 {
				continue
			}
			day := show.DayWords(latest(piece.EndedAt, piece.StartedAt, piece.PlannedAt))
			out = append(out, book.Happening{Day: day, Text: fmt.Sprintf("%s: %s of %s",
				stash.Clean(piece.Name), mass.Format(m.k.units), p.Label())})
		}
	}
	slices.SortFunc(out, func(a, b book.Happening) int {
		return cmp.Or(strings.Compare(a.Day, b.Day), stash.Naturally(a.Text, b.Text))
	})
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
