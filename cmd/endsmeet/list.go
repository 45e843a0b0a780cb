package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func listCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "list", Category: groupLooking, ArgsUsage: "[WORDS]",
		Usage: "List your yarn, with what is left of each item.",
		Description: "WORDS picks items: a tag or a bin is one of that name, and every other word must be in the tag,\n" +
			"yarn, colour, lot, count or fibre, or be a mark of the item, such as lent. `endsmeet show` tells all of one. The ± after a length is one standard uncertainty: about two chances in\n" +
			"three that the true length is within it.",
		Flags: append(filterFlags(),
			&cli.BoolFlag{Name: "retired", Usage: "retired items too"},
			&cli.BoolFlag{Name: "lots", Usage: "by yarn and dye lot, with the length of each lot"},
			&cli.BoolFlag{Name: "ids", Usage: "only the tag of each, or its id, one a line"},
			&cli.StringFlag{Name: "sort",
				Usage: "order by `KEY`: tag, yarn, bin, weight, length, count, moved or weighed",
				Value: "tag"}, barsFlag()),
		Action: action(e, 0, -1, list),
	}
}

// filterFlags are the options that choose items.
func filterFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "fibre", Usage: "only with this `FIBRE`"},
		&cli.StringFlag{Name: "colour", Usage: "only with this `TEXT` in the colour"},
		&cli.StringFlag{Name: "bin", Usage: "only in this `BIN`"},
		&cli.StringFlag{Name: "form", Usage: "only of this `FORM`, such as cone"},
		&cli.StringFlag{Name: "flag", Usage: "only with this `FLAG`, such as latex or lent"},
		&cli.StringFlag{Name: "finer", Usage: "no thicker than this `COUNT`"},
		&cli.StringFlag{Name: "coarser", Usage: "no thinner than this `COUNT`"},
		&cli.StringFlag{Name: "available", Usage: "only with at least this `WEIGHT` available"},
	}
}

func list(k *call) error {
	defer keepWithin(streamMemory)()
	less, err := order(k.String("sort"))
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		if err := k.noteQuestions(tx); err != nil {
			return err
		}
		var lines []show.ListLine
		of, err := k.eachChosen(tx, k.Args().Slice(), func(it show.Item) error {
			line, err := k.lineOf(it)
			lines = append(lines, line)
			return err
		})
		if err != nil {
			return err
		}
		slices.SortStableFunc(lines, less)
		if k.Bool("lots") {
			lots := show.LotsOf(lines)
			return k.answerOfShelf(tx, lots, func(w io.Writer) { show.PrintLots(w, lots, k.units) })
		}
		if len(lines) == 0 && of > 0 && !k.Bool("ids") {
			return k.answer([]show.Item{},
				func(w io.Writer) { fmt.Fprintln(w, "Nothing on the shelf is like that.") })
		}
		k.tell = func() error { return k.tellListed(lines) }
		return nil
	})
}

// eachChosen tells of the items on the shelf that words pick and the filters leave, and
// gives of how many. Where they leave none, a word that no item could have is refused.
func (k *call) eachChosen(tx *sqlite.Tx, words []string,
	tell func(show.Item) error) (of int, err error) {
	keep, err := k.filters(tx, words)
	if err != nil {
		return 0, err
	}
	s, err := newShelf(tx)
	if err != nil {
		return 0, err
	}
	chosen, marks := 0, []string(nil)
	err = tx.EachPackage(!k.Bool("retired"), func(p stash.Package) error {
		of++
		it := s.item(p)
		if chosen == 0 && k.String("flag") != "" {
			marks = append(marks, it.Flags...)
		}
		if p.Yarn == "" || !keep(it) {
			return nil
		}
		chosen++
		return tell(it)
	})
	if err == nil && chosen == 0 && of > 0 {
		err = cmp.Or(k.filterWords(), unknownFlag(k.flagAsked(), marks))
	}
	return of, err
}

// chosenItems are the items of eachChosen in an order.
func (k *call) chosenItems(tx *sqlite.Tx, words []string,
	less func(a, b show.ListLine) int) ([]show.Item, error) {
	var items []show.Item
	_, err := k.eachChosen(tx, words, func(it show.Item) error {
		items = append(items, it)
		return nil
	})
	slices.SortStableFunc(items,
		func(a, b show.Item) int { return less(show.ListedOf(a), show.ListedOf(b)) })
	return items, err
}

// order gives the comparison of a sort key; ties go by tag, then id.
func order(key string) (func(a, b show.ListLine) int, error) {
	keys := map[string]func(a, b show.ListLine) int{
		"tag":    func(a, b show.ListLine) int { return 0 },
		"yarn":   func(a, b show.ListLine) int { return strings.Compare(a.Yarn, b.Yarn) },
		"bin":    func(a, b show.ListLine) int { return strings.Compare(a.Bin, b.Bin) },
		"weight": func(a, b show.ListLine) int { return cmp.Compare(b.Net, a.Net) },
		"length": func(a, b show.ListLine) int { return cmp.Compare(b.Length, a.Length) },
		"count":  func(a, b show.ListLine) int { return cmp.Compare(a.Tex, b.Tex) },
		"moved":  func(a, b show.ListLine) int { return a.Moved.Compare(b.Moved) },
		// what was never weighed, or nobody knows when, first
		"weighed": func(a, b show.ListLine) int { return a.Weighed.Compare(b.Weighed) },
	}
	first, ok := keys[key]
	if !ok {
		return nil, stash.Refuse(stash.CodeUsage,
			stash.OneOf(key, []string{"tag", "yarn", "bin", "weight", "length", "count", "moved",
				"weighed"}),
			"there is no order %q", stash.Clean(key))
	}
	return func(a, b show.ListLine) int {
		return cmp.Or(first(a, b), stash.Naturally(a.Tag, b.Tag),
			strings.Compare(string(a.ID), string(b.ID)))
	}, nil
}

// filters makes one test of all the filters given.
func (k *call) filters(tx *sqlite.Tx, words []string) (func(show.Item) bool, error) {
	of, err := pick(tx, words)
	if err != nil {
		return nil, err
	}
	tests := []func(show.Item) bool{of.has}
	for name, get := range map[string]func(show.Item) string{
		"colour": func(it show.Item) string { return it.Pack.ColourOf(it.Yarn) },
		"form":   func(it show.Item) string { return string(it.Pack.Form) },
	} {
		if want := stash.British(strings.ToLower(k.String(name))); want != "" {
			tests = append(tests, func(it show.Item) bool {
				return strings.Contains(stash.British(strings.ToLower(get(it))), want)
			})
		}
	}
	if asked := strings.ToLower(k.String("fibre")); asked != "" {
		want, isFibre := stash.British(asked), ofFibre(asked)
		tests = append(tests, func(it show.Item) bool {
			return isFibre(it.Facts.Fibre) || strings.Contains(
				stash.British(strings.ToLower(it.Facts.Fibre.String())), want)
		})
	}
	if bin := k.String("bin"); bin != "" {
		tests = append(tests, func(it show.Item) bool { return strings.EqualFold(it.Pack.Bin, bin) })
	}
	if flag := k.flagAsked(); flag != "" {
		tests = append(tests, func(it show.Item) bool { return flagged(it, flag) })
	}
	counted, err := k.countFilters()
	if err != nil {
		return nil, err
	}
	tests = append(tests, counted...)
	return func(it show.Item) bool {
		return !slices.ContainsFunc(tests,
			func(test func(show.Item) bool) bool { return !test(it) })
	}, nil
}

func (k *call) countFilters() ([]func(show.Item) bool, error) {
	var tests []func(show.Item) bool
	for _, name := range []string{"finer", "coarser"} {
		text := k.String(name)
		if text == "" {
			continue
		}
		fact, err := typed(k, text, stash.ParseCountFact)
		if err != nil {
			return nil, explainCount(err, k.String("fibre"), nil, nil)
		}
		tests = append(tests, func(it show.Item) bool {
			tex := it.Facts.Tex()
			return tex != 0 && (name == "finer" && tex <= fact.Count || name == "coarser" &&
				tex >= fact.Count)
		})
	}
	if text := k.String("available"); text != "" {
		mass, err := typed(k, text, measure.ParseMass)
		if err != nil {
			return nil, fmt.Errorf("--available: %w", err)
		}
		tests = append(tests, func(it show.Item) bool {
			return it.Amount.Known &&
				it.Amount.Available >= mass
		})
	}
	return tests, nil
}
