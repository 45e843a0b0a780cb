package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func suitsCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "suits", Category: groupPeople, ArgsUsage: "PERSON [ITEM|YARN ...]",
		Usage: "Check yarns against the rules of a person.",
		Description: "The best answer is \"no rule broken, as far as recorded\". What is not recorded\n" +
			"may be anything: no rule passes on it. With --json the answers are against,\n" +
			"unknown (not recorded), ask, and \"nothing recorded\" (no rule broken).",
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "answer",
				Usage: "only this `ANSWER`: against, unknown, ask or nothing; again for more"},
			sumsFlag(), exitFlag()},
		Action: action(e, 1, -1, suits),
	}
}

// answers are the answers in the order in which they are shown.
var answers = []stash.Answer{stash.Against, stash.Unknown, stash.Ask, stash.Nothing}

// headings stand over the yarns of an answer.
var headings = map[stash.Answer]string{
	stash.Against: "Breaks a rule.", stash.Unknown: "Not recorded: no rule passes on it.",
	stash.Ask:     "Ask first.",
	stash.Nothing: "No rule broken, as far as recorded. Ask all the same.",
}

// suited is the JSON shape of the answer about one yarn. ID is that of what
// was named: a package, or a yarn.
type suited struct {
	ID      string          `json:"id"`
	Person  string          `json:"person"`
	Answer  stash.Answer    `json:"answer"`
	Reasons []people.Reason `json:"reasons"`
	Yarn    string          `json:"yarn"`
	YarnID  stash.YarnID    `json:"yarn_id"`
	Tags    []string        `json:"tags"`
	// Verdicts is the answer as every other command gives it.
	Verdicts verdict.Verdict `json:"verdicts"`
}

func suits(k *call) error {
	wanted, err := k.answersWanted()
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		person, err := findPerson(tx, k.Args().First())
		if err != nil {
			return err
		}
		asked, err := askedYarns(tx, k.Args().Tail())
		if err != nil {
			return err
		}
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		items := []suited{}
		for _, a := range asked {
			yarn := shelf.Yarns[a.yarn.ID]
			r := people.Suits(person, yarn)
			v := verdict.OfYarn(shelf, yarn, a.packages, verdict.Whom{Person: &person})
			k.answerStatus(v)
			if slices.Contains(wanted, r.Answer) {
				items = append(items, suited{a.id, person.Name, r.Answer, r.Reasons, a.yarn.Name,
					a.yarn.ID, a.tags, v})
			}
		}
		slices.SortStableFunc(items, func(a, b suited) int {
			return slices.Index(answers, a.Answer) - slices.Index(answers, b.Answer)
		})
		return k.answer(items, func(w io.Writer) {
			printSuited(w, person, items, k.NArg() > 1 || k.Bool("sums") ||
				len(wanted) < len(answers))
		})
	})
}

func (k *call) answersWanted() ([]stash.Answer, error) {
	var wanted []stash.Answer
	for _, word := range k.StringSlice("answer") {
		i := slices.IndexFunc(answers, func(a stash.Answer) bool {
			return slices.ContainsFunc([]string{string(a), a.Words()}, func(name string) bool {
				return strings.EqualFold(word, name) || strings.EqualFold(word+" recorded", name)
			})
		})
		if i < 0 {
			return nil, stash.Refuse(stash.CodeUsage, "against, unknown, ask or nothing",
				"there is no answer %q", stash.Clean(word))
		}
		wanted = append(wanted, answers[i])
	}
	if len(wanted) == 0 {
		return answers, nil
	}
	return wanted, nil
}

// asked is a yarn to be answered for, with the id and the tags that name it.
type asked struct {
	id   string
	yarn stash.Yarn
	tags []string
	// packages are those of the yarn that were named.
	packages []stash.Package
}

// askedYarns finds what the words name, each once; without words, every yarn
// of which there is a package.
func askedYarns(tx *sqlite.Tx, words []string) ([]asked, error) {
	packages, err := tx.Packages(true)
	if err != nil {
		return nil, err
	}
	of := map[stash.YarnID][]stash.Package{}
	for _, p := range packages {
		of[p.Yarn] = append(of[p.Yarn], p)
	}
	if len(words) == 0 {
		return allYarns(tx, of)
	}
	var out []asked
	for _, word := range words {
		t, err := findTarget(tx, word)
		if err != nil {
			return nil, err
		}
		a := yarnAsked(t.yarn, of[t.yarn.ID])
		if t.pack != nil {
			a = yarnAsked(t.yarn, []stash.Package{*t.pack})
			a.id = string(t.pack.ID)
		}
		if !slices.ContainsFunc(out, func(b asked) bool { return a.id == b.id }) {
			out = append(out, a)
		}
	}
	return out, nil
}

// yarnAsked is a yarn with its packages.
func yarnAsked(y stash.Yarn, packages []stash.Package) asked {
	a := asked{id: string(y.ID), yarn: y, tags: []string{}, packages: packages}
	for _, p := range packages {
		a.tags = append(a.tags, p.Label())
	}
	return a
}

func allYarns(tx *sqlite.Tx, of map[stash.YarnID][]stash.Package) ([]asked, error) {
	yarns, err := tx.Yarns()
	var out []asked
	for _, y := range yarns {
		if len(of[y.ID]) > 0 {
			out = append(out, yarnAsked(y, of[y.ID]))
		}
	}
	slices.SortStableFunc(out, func(a, b asked) int { return naturally(a.tags[0], b.tags[0]) })
	return out, err
}

// printSuited prints the yarns by answer, with the reasons where they are asked
// for: of the whole shelf they take pages.
func printSuited(w io.Writer, person stash.Person, items []suited, reasons bool) {
	fmt.Fprintf(w, "for %s\n", stash.Clean(person.Name))
	if len(person.Rules) == 0 {
		fmt.Fprintln(w, "no rules are recorded: ask, and `endsmeet person set NAME --rule RULE`")
	}
	for _, answer := range answers {
		of := slices.DeleteFunc(slices.Clone(items),
			func(it suited) bool { return it.Answer != answer })
		switch {
		case len(of) == 0:
		case reasons || isPlain(w):
			fmt.Fprintf(w, "\n%s\n", headings[answer])
			printReasons(w, answer, of)
		default:
			var names []string
			for _, it := range of {
				names = append(names, strings.TrimSpace(tagWords(it)+" "+stash.Clean(it.Yarn)))
			}
			fmt.Fprintln(w, headings[answer])
			fmt.Fprint(w, wrap(strings.Join(names, "; ")+".", "  ", roomOf(w)))
		}
	}
	printConditions(w, items)
	if !reasons {
		fmt.Fprintln(w, "Why: "+stash.Command("suits --sums", person.Name))
	}
	fmt.Fprint(w, "\n"+wrap(people.AskFirst.Text, "", roomOf(w)))
}

func printReasons(w io.Writer, answer stash.Answer, items []suited) {
	head := []string{"tag", "yarn", "why"}
	if answer == stash.Nothing {
		head = head[:2]
	}
	t := newTable(head...)
	for _, it := range items {
		for i, why := range whys(it.Reasons) {
			addSuited(t, i, it, why)
		}
	}
	t.print(w)
}

// tagWords are the tags of a yarn: the first, and how many more.
func tagWords(it suited) string {
	switch len(it.Tags) {
	case 0:
		return ""
	case 1:
		return it.Tags[0]
	}
	return fmt.Sprintf("%s +%d", it.Tags[0], len(it.Tags)-1)
}

// printConditions says what keeps items from being handed on as they are, whoever
// they are for.
func printConditions(w io.Writer, items []suited) {
	head := "\nWhoever it is for:"
	for _, it := range items {
		a, _ := it.Verdicts.Of(verdict.Condition)
		for _, r := range a.Reasons {
			if head != "" {
				fmt.Fprintln(w, head)
				head = ""
			}
			fmt.Fprint(w, hanging(stash.Clean(r.Why)+". "+r.Do))
		}
	}
}

// addSuited adds a row for one reason; the yarn stands beside its first.
func addSuited(t *table, i int, it suited, why string) {
	tag, yarn := "", ""
	if i == 0 {
		tag, yarn = tagWords(it), stash.Clean(it.Yarn)
	}
	if why == "" {
		t.add(tag, yarn)
		return
	}
	t.addWrapped(40, tag, yarn, stash.Clean(why))
}

// whys says the reasons, those with the same words once with all their rules.
// A yarn without a reason has one empty line.
func whys(reasons []people.Reason) []string {
	var order []string
	rules := map[string][]string{}
	for _, r := range reasons {
		if rules[r.Why] == nil {
			order = append(order, r.Why)
		}
		rules[r.Why] = append(rules[r.Why], r.Rule)
	}
	out := make([]string, len(order))
	for i, why := range order {
		out[i] = fmt.Sprintf("%s (%s)", why, strings.Join(rules[why], "; "))
	}
	if len(out) == 0 {
		return []string{""}
	}
	return out
}
