package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/sticker"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func stickersCommand(e *environment) *cli.Command {
	own := []cli.Flag{
		&cli.StringFlag{Name: "sheet", Usage: "print on this `SHEET`; --sheets lists them"},
		&cli.BoolFlag{Name: "sheets", Usage: "list the sheets"},
		&cli.StringFlag{Name: "roll",
			Usage: "print on a roll of stickers of this `SIZE`, such as 62x29mm"},
		&cli.IntFlag{Name: "start",
			Usage: "begin with sticker `N` of the sheet, where some are gone", Value: 1},
		&cli.StringFlag{Name: "right",
			Usage: "move everything to the right by this `LENGTH`, such as 0.4mm or -0.3mm"},
		&cli.StringFlag{Name: "down", Usage: "move everything down by this `LENGTH`"},
		&cli.IntFlag{Name: "dots", Usage: "the printer prints `N` dots to the inch", Value: 600},
		&cli.BoolFlag{Name: "test-page",
			Usage: "print only the outlines of the sheet, to hold against one"},
		&cli.BoolFlag{Name: "bins", Usage: "stickers for bins instead"},
		&cli.BoolFlag{Name: "pieces", Usage: "stickers for finished pieces instead"},
		&cli.BoolFlag{Name: "retired", Usage: "retired items too"},
		&cli.BoolFlag{Name: "force", Usage: "overwrite a file that exists"},
		&cli.StringFlag{Name: "sort",
			Usage: "order by `KEY`: tag, yarn, bin, weight, length, count, moved or weighed", Value: "tag"},
	}
	return &cli.Command{
		Name: "stickers", Category: groupLooking, ArgsUsage: "[WORDS] FILE",
		Usage: "Write stickers for balls and cones, bins or pieces, to print and stick on.",
		Description: "WORDS and the filters pick items as `endsmeet list` does. Each sticker has the tag, the yarn, its colour,\n" +
			"count, lot and bin, what sheds or needs care in words, and a code with the tag alone, which a telephone or a\n" +
			"scanner reads. FILE is a page (.html): open it in a browser, print it at 100%, or save it as PDF there. It may be - for standard output.",
		Flags:  append(filterFlags(), own...),
		Action: action(e, 0, -1, stickers),
	}
}

func stickers(k *call) error {
	if k.Bool("sheets") {
		return k.listSheets()
	}
	job, err := k.stickerJob()
	if err != nil {
		return err
	}
	words := k.Args().Slice()
	if len(words) == 0 {
		return stash.Refuse(stash.CodeUsage, "such as stickers --bin A1 stickers.html",
			"name the file to write")
	}
	path := words[len(words)-1]
	if err := k.alone(path, "page"); err != nil {
		return err
	}
	missing := 0
	if err := k.writePage(path, func(tx *sqlite.Tx, w io.Writer) error {
		job.Stickers, err = k.stickersOf(tx, words[:len(words)-1])
		if err == nil && len(job.Stickers) == 0 && !job.Test {
			err = stash.Refuse(stash.CodeUnknown, "`endsmeet list` tells what is there",
				"nothing there is like that, so there is nothing to print")
		}
		if err == nil {
			err = k.unused()
		}
		if err == nil {
			missing, err = sticker.Write(w, job)
		}
		return err
	}); err != nil {
		return err
	}
	if missing > 0 {
		verb := map[bool]string{true: "is", false: "are"}[missing == 1]
		k.note("%s %s so small that the code has no room: it needs four printer dots to a module; take a larger sheet or a finer printer", measure.Counted(missing, "sticker"), verb)
	}
	return k.tellStickers(path, job, missing)
}

func (k *call) tellStickers(path string, job sticker.Job, missing int) error {
	if path == dash {
		return nil
	}
	n, per := len(job.Stickers), job.Sheet.Count()
	made := show.StickersMade{File: path, Sheet: job.Sheet.Name, Stickers: n,
		Sheets: (n + job.Start - 1 + per - 1) / per, WithoutCode: missing}
	if job.Test {
		made.Sheets = 1
	}
	if k.asJSON() {
		return k.printJSON(made)
	}
	what := fmt.Sprintf("%s on %s", measure.Counted(n, "sticker"),
		measure.Counted(made.Sheets, "sheet"))
	if job.Test {
		what = "The outlines of a sheet"
	}
	_, err := fmt.Fprintf(k.env.stdout, "%s of %s in %s. Print at 100%%, never \"fit to page\".\n",
		what, job.Sheet.Name, stash.Clean(path))
	return err
}

func (k *call) listSheets() error {
	if err := k.unused(); err != nil {
		return err
	}
	var items []show.SheetItem
	t := show.NewTable("sheet", "page", ">stickers", "each")
	for _, s := range sticker.Sheets {
		um := func(mm float64) int { return int(mm*1000 + 0.5) }
		items = append(items, show.SheetItem{Name: s.Name, Page: s.Page, Across: s.Across,
			Down: s.Down, Width: um(s.W), Height: um(s.H), Round: s.Round})
		size := fmt.Sprintf("%.1f × %.1f mm", s.W, s.H)
		if s.Round {
			size = fmt.Sprintf("round, %.1f mm", s.W)
		}
		t.Add(s.Name, s.Page, fmt.Sprint(s.Count()), size)
	}
	k.tell = nil
	if k.asJSON() {
		return k.printJSON(items)
	}
	t.Print(k.env.stdout)
	return nil
}

// stickerJob reads what is to be printed on.
func (k *call) stickerJob() (sticker.Job, error) {
	j := sticker.Job{Title: "Stickers", Start: 1, DPI: k.Int("dots"),
		Test: k.Bool("test-page")}
	if !j.Test {
		j.Start = k.Int("start")
	}
	var err error
	if j.Sheet, err = k.stickerSheet(); err != nil {
		return j, err
	}
	if j.Start < 1 || j.Start > j.Sheet.Count() {
		return j, stash.Refuse(stash.CodeUsage, fmt.Sprintf("from 1 to %d", j.Sheet.Count()),
			"--start %d is not on the sheet", j.Start)
	}
	if j.DPI < 150 || j.DPI > 4800 {
		return j, stash.Refuse(stash.CodeUsage, "such as 203, 300 or 600",
			"--dots %d is no printer's", j.DPI)
	}
	for name, into := range map[string]*float64{"right": &j.Right, "down": &j.Down} {
		if *into, err = k.shift(name); err != nil {
			return j, err
		}
	}
	return j, nil
}

// shift reads by how much everything is moved, which may be less than nothing.
func (k *call) shift(name string) (float64, error) {
	text := strings.TrimSpace(k.String(name))
	if text == "" {
		return 0, nil
	}
	mm, err := typed(k, strings.TrimLeft(text, "+-"), millimetres)
	if err == nil && mm > 30 {
		err = stash.Refuse(stash.CodeInput, "30mm at most: beyond that it is another sheet",
			"%q is more than a printer is off", stash.Clean(text))
	}
	if err != nil {
		return 0, fmt.Errorf("--%s: %w", name, err)
	}
	if strings.HasPrefix(text, "-") {
		mm = -mm
	}
	return mm, nil
}

func (k *call) stickerSheet() (sticker.Sheet, error) {
	if k.IsSet("roll") && k.IsSet("sheet") {
		return sticker.Sheet{}, stash.Refuse(stash.CodeUsage, "give one of them",
			"--sheet and --roll are two things to print on")
	}
	if text := k.String("roll"); text != "" {
		return typed(k, text, rollOf)
	}
	name := cmp.Or(k.String("sheet"), "a4-3x7")
	s, found := sticker.Named(name)
	if !found {
		var names []string
		for _, s := range sticker.Sheets {
			names = append(names, s.Name)
		}
		return s, stash.Refuse(stash.CodeInput, stash.OneOf(name, names), "there is no sheet %q",
			stash.Clean(name))
	}
	return s, nil
}

// rollOf reads the size of a sticker of a roll: width and height with their unit.
func rollOf(text string) (sticker.Sheet, error) {
	wide, high, two := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	if unit := strings.TrimLeft(high, "0123456789., "); two &&
		strings.TrimRight(wide, "0123456789., ") == "" {
		wide += unit
	}
	w, err := millimetres(wide)
	h, err2 := millimetres(high)
	s, ok := sticker.Roll(w, h)
	if !two || err != nil || err2 != nil || !ok {
		return s, stash.Refuse(stash.CodeInput, "such as 62x29mm or 2.3x1.1in, from 8 to 300 mm",
			"--roll %q is no size of a sticker", stash.Clean(text))
	}
	return s, nil
}

// millimetres reads a small length to a hundredth of a millimetre, which is finer
// than the ledger has lengths: as one a thousand times as long.
func millimetres(text string) (float64, error) {
	text = strings.TrimSpace(text)
	unit := strings.TrimLeft(text, "0123456789.,")
	number, err := measure.ParseLength(strings.TrimSuffix(text, unit) + "m")
	if err != nil {
		return 0, err
	}
	one, err := measure.ParseLength("1000" + strings.TrimSpace(unit))
	return float64(number) / 1000 * float64(one) / 1000, err
}

// stickersOf makes the stickers: of items, bins or pieces.
func (k *call) stickersOf(tx *sqlite.Tx, words []string) ([]sticker.Sticker, error) {
	if k.Bool("test-page") {
		return nil, nil
	}
	if k.Bool("pieces") {
		return k.pieceStickers(tx, words)
	}
	less, err := order(k.String("sort"))
	if err != nil {
		return nil, err
	}
	items, err := k.chosenItems(tx, words, less)
	if err != nil || k.Bool("bins") {
		return binStickers(items), err
	}
	var out []sticker.Sticker
	for _, it := range items {
		out = append(out, k.itemSticker(it))
	}
	return out, nil
}

func (k *call) itemSticker(it show.Item) sticker.Sticker {
	s := sticker.Sticker{Code: it.Tag, Large: it.Tag, Warning: warningOf(it.Facts.YarnFacts),
		Swatch: true, Hex: swatchOf(it).Hex}
	colour := cmp.Or(stash.Clean(it.Pack.ColourOf(it.Yarn)), "colour not recorded")
	s.Lines = []string{colour, stash.Clean(it.Yarn), stickerCount(it.Recorded.Count, k.units),
		prefixedBy("lot ", it.Pack.Lot), prefixedBy("bin ", it.Pack.Bin),
		show.FibreWords(it.Recorded)}
	return s
}

// warningOf is what must be read on a sticker: what sheds and what needs care, in
// words.
func warningOf(y stash.YarnFacts) string {
	return strings.Join(show.InWords(people.Flags(y)),
		", ")
}

func prefixedBy(word, text string) string {
	if text == "" {
		return ""
	}
	return word + stash.Clean(text)
}

// stickerCount is a count in few words: as it was written, else as it is reckoned.
func stickerCount(c *stash.CountFact, units measure.System) string {
	if c == nil || c.Count == 0 {
		return ""
	}
	return cmp.Or(stash.Clean(c.Written), c.Count.Format(units))
}

// binStickers are one for each bin of some items, with what lies in it.
func binStickers(items []show.Item) []sticker.Sticker {
	var names []string
	tags := map[string][]string{}
	for _, it := range items {
		bin := stash.Clean(it.Pack.Bin)
		if bin == "" {
			continue
		}
		if tags[bin] == nil {
			names = append(names, bin)
		}
		tags[bin] = append(tags[bin], it.Tag)
	}
	slices.SortFunc(names, stash.Naturally)
	var out []sticker.Sticker
	for _, bin := range names {
		out = append(out, sticker.Sticker{Code: bin, Large: bin,
			Lines: []string{measure.Counted(len(tags[bin]), "item"),
				strings.Join(tags[bin], ", ")}})
	}
	return out
}

// pieceStickers are those of the finished pieces with all of some words.
func (k *call) pieceStickers(tx *sqlite.Tx, words []string) ([]sticker.Sticker, error) {
	shelf, err := makingShelf(tx)
	if err != nil {
		return nil, err
	}
	words = strings.Fields(strings.ToLower(strings.Join(words, " ")))
	var out []sticker.Sticker
	for _, p := range shelf.Pieces {
		name := stash.Clean(p.Name)
		if slices.ContainsFunc(words,
			func(w string) bool { return !strings.Contains(strings.ToLower(name), w) }) {
			continue
		}
		s := sticker.Sticker{Code: name, Large: name, Lines: []string{stateOfPiece(p)}}
		if card, err := shelf.Card(p); err == nil {
			s.Lines = []string{show.ClothSize(card.Width, card.Length, k.units),
				card.Composition.Words(), show.AdviceFor(shelf, p).Words(), card.Date}
		}
		out = append(out, s)
	}
	return out, nil
}
