package main

import (
	"math"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/chance"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func fitsCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "fits", Category: groupMaking, ArgsUsage: "[KIND|PROJECT]",
		Usage: "Find what you can weave from the yarn on the shelf.",
		Description: "Tries single lots, pairs of warp and weft, and warps of several colours. The best are first:\n" +
			"by size, by how much of a lot is used up, by leftovers too short for anything and by the number\n" +
			"of lots (settings fits.weight.* and fits.leftover). Each has the largest size of which its plan is\n" +
			"almost certain. Without a kind, one good answer of each kind is shown; with it ten, among which\n" +
			"a better one may be. Sizes are common practice; a project of yours with the name of a kind\n" +
			"replaces it.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for, whose rules are kept"},
			&cli.StringSliceFlag{Name: "from",
				Usage: "only from this `BIN`, fibre or yarn; again for more"},
			&cli.IntFlag{Name: "colours", Usage: "up to `N` colours in the warp", Value: 1},
			&cli.StringFlag{Name: "least",
				Usage: "the smallest `SIZE` that would do, such as 20cm x 150cm"},
			&cli.StringSliceFlag{Name: "using",
				Usage: "with this `YARN` or item; again for one or the other"},
			&cli.StringFlag{Name: "why", Usage: "say why this `YARN` or item does not appear"},
			&cli.IntFlag{Name: "top", Usage: "at most `N` answers for each kind"},
			sumsFlag(), exitFlag("end with 3 if nothing fits, 4 if something must be answered first"),
		},
		Action: action(e, 0, 1, fits),
	}
}

func fits(k *call) error {
	defer keepWithin(streamMemory)()
	return k.view(func(tx *sqlite.Tx) error {
		shelf, err := searchedShelf(tx)
		if err != nil {
			return err
		}
		q, err := k.fitsQuery(tx, shelf)
		if err != nil {
			return err
		}
		asked, single, err := k.kindsAsked(tx, shelf)
		if err != nil {
			return err
		}
		stock := search.Empty(shelf, q, packagesByID(tx))
		if err := searchThrough(tx, shelf, stock.Add); err != nil {
			return err
		}
		if why := k.String("why"); why != "" {
			return k.fitsWhy(tx, shelf, stock, q, asked)
		}
		out, left, err := k.findAll(tx, stock, q, asked, single)
		if err != nil {
			return err
		}
		if k.Bool("exit-code") && len(out) == 0 {
			k.status = exitStatus(exitShort)
		} else if len(out) > 0 {
			k.answerStatus(out[0].Verdicts)
		}
		return k.answerOfShelf(tx, out, show.FitsText(asked, out, left, single, k.Bool("sums"), k.units))
	})
}

// fitsQuery reads the options that hold for every kind.
func (k *call) fitsQuery(tx *sqlite.Tx, shelf making.Shelf) (search.Query, error) {
	q := search.Query{Colours: k.Int("colours"), Top: k.Int("top"),
		Weights: weightsOf(shelf.Settings), Rest: shelf.Settings.RestUse}
	if q.Colours < 1 || q.Top < 0 || k.IsSet("top") && q.Top < 1 {
		return q, stash.Refuse(stash.CodeUsage, "from 1 on",
			"--colours and --top are numbers above zero")
	}
	if name := k.String("for"); name != "" {
		person, err := findPerson(tx, name)
		if err != nil {
			return q, err
		}
		q.Person = &person
	}
	var err error
	if q.From, err = fromWords(tx, shelf, k.StringSlice("from")); err != nil {
		return q, err
	}
	for _, word := range k.StringSlice("using") {
		lots, _, err := lotsAsked(tx, word)
		if err != nil {
			return q, err
		}
		q.Using = eitherLot(q.Using, lots)
	}
	return q, nil
}

func weightsOf(s stash.Settings) search.Weights {
	return search.Weights{Size: s.FitsSize, Use: s.FitsUse, Rest: s.FitsRest, Lots: s.FitsLots}
}

// lotsAsked finds lots by the tag or id of a package, which means its own lot,
// or by the name of a yarn, which means all of it.
func lotsAsked(tx *sqlite.Tx, word string) (func(stash.DyeLot) bool, stash.YarnID, error) {
	ids, err := tx.FindPackages(word)
	if err == nil && len(ids) == 1 {
		p, _, err := tx.Package(ids[0])
		if err != nil {
			return nil, "", err
		}
		if w := strings.TrimSpace(word); strings.EqualFold(p.Tag, w) ||
			strings.EqualFold(p.Label(), w) || strings.HasPrefix(string(p.ID), w) && len(w) >= 3 {
			return func(l stash.DyeLot) bool { return l == p.InLot() }, p.Yarn, nil
		}
	}
	y, yarnErr := tx.FindYarn(word)
	if yarnErr != nil && err == nil {
		p, _, err := tx.Package(ids[0])
		return func(l stash.DyeLot) bool { return l.Yarn == p.Yarn }, p.Yarn, err
	}
	return func(l stash.DyeLot) bool { return l.Yarn == y.ID }, y.ID, yarnErr
}

// eitherLot is one or the other; the first may be nil.
func eitherLot(a, b func(stash.DyeLot) bool) func(stash.DyeLot) bool {
	if a == nil {
		return b
	}
	return func(l stash.DyeLot) bool { return a(l) || b(l) }
}

// fromWords makes the filter of --from: packages in a bin, that hold a fibre, or
// of a yarn. A word that fits none of them is an error.
func fromWords(tx *sqlite.Tx, shelf making.Shelf, words []string) (func(stash.Package) bool,
	error) {
	if len(words) == 0 {
		return nil, nil
	}
	var tests []func(stash.Package) bool
	for _, word := range words {
		test, err := fromWord(tx, shelf, word)
		if err != nil {
			return nil, err
		}
		tests = append(tests, test)
	}
	return func(p stash.Package) bool {
		return slices.ContainsFunc(tests,
			func(test func(stash.Package) bool) bool { return test(p) })
	}, nil
}

func fromWord(tx *sqlite.Tx, shelf making.Shelf, word string) (func(stash.Package) bool, error) {
	inBin := func(p stash.Package) bool { return strings.EqualFold(p.Bin, strings.TrimSpace(word)) }
	if found, err := anyPackage(tx, inBin); found || err != nil {
		return inBin, err
	}
	if content, err := fibre.ParseContent(word); err == nil && len(content) == 1 {
		holds := func(p stash.Package) bool {
			return slices.ContainsFunc(shelf.Yarns[p.Yarn].Fibre,
				func(part fibre.Part) bool { return part.Fibre == content[0].Fibre })
		}
		if found, err := anyPackage(tx, holds); found || err != nil {
			return holds, err
		}
	}
	ids, err := tx.FindPackages(word)
	if err != nil {
		return nil, stash.Refuse(stash.CodeUnknown, "`endsmeet list` shows bins, fibres and yarns",
			"--from: there is no bin, fibre or yarn %q on the shelf", stash.Clean(word))
	}
	return func(p stash.Package) bool { return slices.Contains(ids, p.ID) }, nil
}

// anyPackage says whether there is a package of some kind.
func anyPackage(tx *sqlite.Tx, is func(stash.Package) bool) (found bool, err error) {
	err = tx.EachPackage(false, func(p stash.Package) error {
		found = found || is(p)
		return nil
	})
	return found, err
}

// kindsAsked is the kind or project that is named, or all; single says which.
func (k *call) kindsAsked(tx *sqlite.Tx, shelf making.Shelf) (asked []kinds.Kind, single bool,
	err error) {
	projects, err := tx.Projects()
	if err != nil {
		return nil, false, err
	}
	all := kinds.Of(projects, shelf.Pieces)
	if word := k.Args().First(); word != "" {
		kind, ok := kinds.Named(all, word)
		if !ok {
			if b, err := tx.FindProject(word); err == nil {
				return nil, false, kinds.Sizeless(b)
			}
			return nil, false, stash.Refuse(stash.CodeUnknown,
				stash.OneOf(strings.ToLower(word), kindNames(all)),
				"there is no kind or project %q", stash.Clean(word))
		}
		asked, single = []kinds.Kind{kind}, true
	} else {
		asked = slices.DeleteFunc(all, func(one kinds.Kind) bool {
			f := one.Facts
			return f.FixedWarp() && (len(f.Warp) == 0 || len(f.Weft) == 0)
		})
	}
	asked, err = k.atLeast(asked, single)
	return asked, single, err
}

// atLeast lays --least over the kinds. Of several it leaves out those that are never so
// large, and keeps what is less than usual to the usual; of the one that is named the
// weaver's word counts.
func (k *call) atLeast(asked []kinds.Kind, single bool) ([]kinds.Kind, error) {
	text := k.String("least")
	if text == "" {
		return asked, nil
	}
	least, err := typed(k, text, leastSize)
	if err != nil {
		return nil, err
	}
	if !single {
		asked = slices.DeleteFunc(asked, func(one kinds.Kind) bool {
			f := one.Facts
			return f.MostWidth > 0 && least.Width > f.MostWidth ||
				f.MostLength > 0 && least.Length > f.MostLength
		})
	}
	for i := range asked {
		f := &asked[i].Facts
		w, l := least.Width, least.Length
		if !single {
			w, l = max(w, f.LeastWidth), max(l, f.LeastLength)
		}
		f.Width, f.Length = max(f.Width, w), max(f.Length, l)
		f.LeastWidth, f.LeastLength = w, l
	}
	return asked, nil
}

// leastSize reads a size as "20cm x 150cm".
func leastSize(text string) (show.Size, error) {
	width, length, found := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	if !found {
		return show.Size{}, &stash.ValueError{Field: "--least", Value: text,
			Problem: "a width and a length are wanted", Hint: `such as "20cm x 150cm"`}
	}
	w, err := measure.ParseLength(strings.TrimSpace(width))
	if err != nil {
		return show.Size{}, err
	}
	l, err := measure.ParseLength(strings.TrimSpace(length))
	if err == nil && (w <= 0 || l <= 0) {
		err = &stash.ValueError{Field: "--least", Value: text, Problem: "both must be above zero",
			Hint: `such as "20cm x 150cm"`}
	}
	return show.Size{Width: w, Length: l}, err
}

func kindNames(all []kinds.Kind) []string {
	var names []string
	for _, one := range all {
		names = append(names, stash.Clean(one.Name))
	}
	return names
}

// findAll searches every kind; of each only the best answer, where all are asked
// for and --top does not say otherwise.
func (k *call) findAll(tx *sqlite.Tx, stock *search.Stock, q search.Query, asked []kinds.Kind,
	single bool) ([]show.Fitting, []making.LeftOut, error) {
	var out []show.Fitting
	var left leftOutOfAll
	if !single && q.Top == 0 {
		q.Top = 1
	}
	for _, kind := range asked {
		q, err := askedOf(tx, q, kind)
		if err != nil {
			return nil, nil, err
		}
		found, err := stock.Find(k.ctx, q)
		if err != nil {
			return nil, nil, err
		}
		// what one person's rules keep out is not left out of all
		if single || kind.Facts.For == "" {
			left.add(found.LeftOut)
		}
		for _, a := range found.Answers {
			one, err := fittingOf(tx, a)
			if err != nil {
				return nil, nil, err
			}
			out = append(out, one)
		}
	}
	if !single {
		slices.SortStableFunc(out, func(a, b show.Fitting) int { return a.Answer.Compare(b.Answer) })
	}
	return out, left.all, nil
}

// leftOutOfAll are the packages that no kind can take, each once: a package that
// some kind takes is not left out.
type leftOutOfAll struct {
	all   []making.LeftOut
	begun bool
}

// add takes in what one kind leaves out.
func (l *leftOutOfAll) add(more []making.LeftOut) {
	has, before := map[stash.PackageID]bool{}, map[stash.PackageID]bool{}
	for _, one := range l.all {
		before[one.ID] = true
	}
	var out []making.LeftOut
	for _, one := range more {
		if !has[one.ID] && (!l.begun || before[one.ID]) {
			has[one.ID] = true
			out = append(out, one)
		}
	}
	l.all, l.begun = out, true
}

// askedOf is a query for a kind. One that is for somebody keeps that person's
// rules, unless --for names another.
func askedOf(tx *sqlite.Tx, q search.Query, kind kinds.Kind) (search.Query, error) {
	if id := kind.Facts.For; id != "" && q.Person == nil {
		person, found, err := tx.Person(id)
		if err != nil {
			return q, err
		}
		if found {
			q.Person = &person
		}
	}
	q.Kind = search.Suited(kind, q.Person)
	return q, nil
}

func fittingOf(tx *sqlite.Tx, a search.Answer) (show.Fitting, error) {
	o := a.Outcome
	f := show.Fitting{
		Answer: a, Kind: a.Kind.Name, Width: o.Needs.FinishedWidth, Length: o.Needs.FinishedLength,
		Verdict: o.Verdict, Binding: bindingOf(a), Ends: o.Needs.Ends, Sett: o.Project.Sett,
		Picks: o.Project.Picks, Structure: o.Project.Structure, WarpEnd: o.Needs.WarpEnd,
		Stripes: o.Bands,
		Wanted:  show.Size{Width: a.Kind.Facts.Width, Length: a.Kind.Facts.Length},
	}
	if a.Kind.Project != "" {
		f.Kind, f.Project = a.Kind.Facts.Kind, &a.Kind.Name
	}
	if f.Verdict != chance.Unknown {
		p := math.Round(o.Probability*1e4) / 1e4
		f.Probability = &p
	}
	r, err := recipientOf(tx, a.Shelf, a.Project)
	if err != nil {
		return f, err
	}
	if r.Whom.Person != nil {
		f.Whose = r.Whom.Person.Name
	}
	f.Cautions = r.CautionsJSON()
	f.Verdicts = verdict.OfPlan(a.Shelf, o, r.Whom)
	return f, nil
}

// bindingOf is what keeps an answer from being larger: what the plan says runs
// out first, or what the next size would lack.
func bindingOf(a search.Answer) string {
	if a.Scale < 1000 && a.Outcome.Binding == "nothing" {
		return a.Short
	}
	return a.Outcome.Binding
}
