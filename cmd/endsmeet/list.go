package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func listCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "list", Category: groupLooking, ArgsUsage: "[WORDS]",
		Usage: "List your yarn, with what is left of each item.",
		Description: "WORDS picks items with all of these words in tag, yarn, colour or lot. The ± after a\n" +
			"length is one standard uncertainty: about two chances in three that the true length is within it.",
		Flags: append(filterFlags(),
			&cli.BoolFlag{Name: "retired", Usage: "retired items too"},
			&cli.BoolFlag{Name: "lots", Usage: "by yarn and dye lot, with the length of each lot"},
			&cli.BoolFlag{Name: "ids", Usage: "only the tag of each, or its id, one a line"},
			&cli.StringFlag{Name: "sort",
				Usage: "order by `KEY`: tag, yarn, bin, weight, length, count or moved",
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
	less, err := order(k.String("sort"))
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		if err := k.noteQuestions(tx); err != nil {
			return err
		}
		if k.Bool("lots") {
			items, err := k.chosenItems(tx, k.Args().Slice(), less)
			if err != nil {
				return err
			}
			lots := lotsOf(items)
			return k.answer(lots, func(w io.Writer) { printLots(w, lots, k.units) })
		}
		var lines []listLine
		of, err := k.eachChosen(tx, k.Args().Slice(), func(it item) error {
			line, err := k.lineOf(it)
			lines = append(lines, line)
			return err
		})
		if err != nil {
			return err
		}
		slices.SortStableFunc(lines, less)
		if len(lines) == 0 && of > 0 && !k.Bool("ids") {
			return k.answer([]item{},
				func(w io.Writer) { fmt.Fprintln(w, "none here: no package like that") })
		}
		k.tell = func() error { return k.tellListed(lines) }
		return nil
	})
}

// eachChosen tells of the items on the shelf with all of some words that the filters
// leave, and gives of how many. Where they leave none, a word that no item could
// have is refused.
func (k *call) eachChosen(tx *sqlite.Tx, words []string, tell func(item) error) (of int,
	err error) {
	keep, err := k.filters(words)
	if err != nil {
		return 0, err
	}
	s, err := newShelf(tx)
	if err != nil {
		return 0, err
	}
	chosen := 0
	err = tx.EachPackage(!k.Bool("retired"), func(p stash.Package) error {
		of++
		it := s.item(p)
		if p.Yarn == "" || !keep(it) {
			return nil
		}
		chosen++
		return tell(it)
	})
	if err == nil && chosen == 0 && of > 0 {
		err = k.filterWords()
	}
	return of, err
}

// chosenItems are the items of eachChosen in an order.
func (k *call) chosenItems(tx *sqlite.Tx, words []string, less func(a, b listLine) int) ([]item,
	error) {
	items := []item{}
	_, err := k.eachChosen(tx, words, func(it item) error {
		items = append(items, it)
		return nil
	})
	slices.SortStableFunc(items, func(a, b item) int { return less(listedOf(a), listedOf(b)) })
	return items, err
}

// order gives the comparison of a sort key; ties go by tag, then id.
func order(key string) (func(a, b listLine) int, error) {
	keys := map[string]func(a, b listLine) int{
		"tag":    func(a, b listLine) int { return 0 },
		"yarn":   func(a, b listLine) int { return strings.Compare(a.yarn, b.yarn) },
		"bin":    func(a, b listLine) int { return strings.Compare(a.bin, b.bin) },
		"weight": func(a, b listLine) int { return cmp.Compare(b.net, a.net) },
		"length": func(a, b listLine) int { return cmp.Compare(b.length, a.length) },
		"count":  func(a, b listLine) int { return cmp.Compare(a.tex, b.tex) },
		"moved":  func(a, b listLine) int { return a.moved.Compare(b.moved) },
	}
	first, ok := keys[key]
	if !ok {
		return nil, stash.Refuse(stash.CodeUsage,
			"one of: tag, yarn, bin, weight, length, count, moved", "there is no order %q",
			stash.Clean(key))
	}
	return func(a, b listLine) int {
		return cmp.Or(first(a, b), naturally(a.tag, b.tag),
			strings.Compare(string(a.id), string(b.id)))
	}, nil
}

// naturally compares texts with the numbers in them by value: Y2 before Y10.
func naturally(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da > 0 && db > 0 {
			na, nb := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if c := cmp.Or(cmp.Compare(len(na), len(nb)), strings.Compare(na, nb)); c != 0 {
				return c
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// filters makes one test of all the filters given.
func (k *call) filters(words []string) (func(item) bool, error) {
	tests := []func(item) bool{wordFilter(words)}
	for name, get := range map[string]func(item) string{
		"colour": func(it item) string { return it.pack.Colour },
		"form":   func(it item) string { return string(it.pack.Form) },
		"fibre": func(it item) string {
			return it.facts.Fibre.String() +
				k.otherName(it.facts.Fibre)
		},
	} {
		if want := stash.British(strings.ToLower(k.String(name))); want != "" {
			tests = append(tests, func(it item) bool {
				return strings.Contains(stash.British(strings.ToLower(get(it))), want)
			})
		}
	}
	if bin := k.String("bin"); bin != "" {
		tests = append(tests, func(it item) bool { return strings.EqualFold(it.pack.Bin, bin) })
	}
	if flag := strings.ToLower(k.String("flag")); flag != "" {
		tests = append(tests, func(it item) bool {
			return it.State == flag ||
				slices.ContainsFunc(it.Flags,
					func(f string) bool { return strings.Contains(strings.ToLower(f), flag) })
		})
	}
	counted, err := k.countFilters()
	if err != nil {
		return nil, err
	}
	tests = append(tests, counted...)
	return func(it item) bool {
		return !slices.ContainsFunc(tests, func(test func(item) bool) bool { return !test(it) })
	}, nil
}

func wordFilter(words []string) func(item) bool {
	words = strings.Fields(strings.ToLower(strings.Join(words, " ")))
	return func(it item) bool {
		text := strings.ToLower(strings.Join([]string{it.Tag, it.Yarn, it.pack.Colour, it.pack.Lot,
			string(it.ID)}, " "))
		return !slices.ContainsFunc(words,
			func(word string) bool { return !strings.Contains(text, word) })
	}
}

func (k *call) countFilters() ([]func(item) bool, error) {
	var tests []func(item) bool
	for _, name := range []string{"finer", "coarser"} {
		text := k.String(name)
		if text == "" {
			continue
		}
		fact, err := stash.ParseCountFact(text)
		if err != nil {
			return nil, explainCount(err, k.String("fibre"))
		}
		tests = append(tests, func(it item) bool {
			tex := it.facts.Tex()
			return tex != 0 && (name == "finer" && tex <= fact.Count || name == "coarser" &&
				tex >= fact.Count)
		})
	}
	if text := k.String("available"); text != "" {
		mass, err := measure.ParseMass(text)
		if err != nil {
			return nil, fmt.Errorf("--available: %w", err)
		}
		tests = append(tests, func(it item) bool {
			return it.amount.Known &&
				it.amount.Available >= mass
		})
	}
	return tests, nil
}

// shelfSum is what there is of items in all. Of what is overdrawn or was never
// weighed nothing is counted.
type shelfSum struct {
	net, available       measure.Mass
	unweighed, overdrawn int
	// kept are the states of what is not available.
	kept []string
}

func sumOf(lines []listLine) shelfSum {
	var s shelfSum
	for _, l := range lines {
		if !l.known {
			s.unweighed++
			continue
		}
		if l.overdrawn {
			s.overdrawn++
			continue
		}
		s.net += l.net
		s.available += l.available
		if l.available < l.net && !slices.Contains(s.kept, l.state) {
			s.kept = append(s.kept, l.state)
		}
	}
	return s
}

// totals says how much there is, how much of it can be woven now, and what keeps
// the remainder.
func totals(lines []listLine, units measure.System) string {
	s := sumOf(lines)
	text := fmt.Sprintf("%s, %s. Available: %s.", plural(len(lines), "item"), s.net.Format(units),
		s.available.Format(units))
	if s.net > s.available {
		text += fmt.Sprintf(" Not available: %s (%s).", (s.net - s.available).Format(units),
			strings.Join(s.kept, ", "))
	}
	if s.unweighed > 0 {
		text += fmt.Sprintf(" Not weighed: %d.", s.unweighed)
	}
	if s.overdrawn > 0 {
		text += fmt.Sprintf(" Overdrawn and not counted: %d.", s.overdrawn)
	}
	return text
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	if strings.HasSuffix(word, "ch") {
		word += "e"
	}
	return fmt.Sprintf("%d %ss", n, word)
}
