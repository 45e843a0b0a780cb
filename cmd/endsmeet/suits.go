package main

import (
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
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
			&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for, in place of naming one first"},
			&cli.StringSliceFlag{Name: "answer",
				Usage: "only this `ANSWER`: against, unknown, ask or nothing; again for more"},
			sumsFlag(), exitFlag("end with 4 if a yarn breaks a rule, or something must be answered first")},
		Action: func(c *cli.Context) error {
			least := 1
			if c.IsSet("for") {
				least = 0
			}
			return action(e, least, -1, suits)(c)
		},
	}
}

func suits(k *call) error {
	wanted, err := k.answersWanted()
	if err != nil {
		return err
	}
	whom, named := k.String("for"), k.Args().Slice()
	if whom == "" {
		whom, named = named[0], named[1:]
	}
	return k.view(func(tx *sqlite.Tx) error {
		person, err := findPerson(tx, whom)
		if err != nil {
			return err
		}
		if err := refuseCloths(tx, person, named); err != nil {
			return err
		}
		asked, err := askedYarns(tx, named)
		if err != nil {
			return err
		}
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		var items []show.Suited
		for _, a := range asked {
			yarn := shelf.Yarns[a.yarn.ID]
			r := people.Suits(person, yarn)
			v := verdict.OfYarn(shelf, yarn, a.packages, verdict.Whom{Person: &person})
			k.answerStatus(v)
			if slices.Contains(wanted, r.Answer) {
				items = append(items, show.Suited{ID: a.id, Person: person.Name, Answer: r.Answer,
					Reasons: r.Reasons, Yarn: a.yarn.Name,
					YarnID: a.yarn.ID, Tags: a.tags, Verdicts: v})
			}
		}
		slices.SortStableFunc(items, func(a, b show.Suited) int {
			return slices.Index(show.Answers, a.Answer) - slices.Index(show.Answers, b.Answer)
		})
		full := k.Bool("sums") || len(named) > 0 || len(wanted) < len(show.Answers)
		return k.answer(items, func(w io.Writer) { show.PrintSuited(w, person, items, full) })
	})
}

// refuseCloths refuses a piece or a project, of which yarn alone is not the whole question: its
// fringe, loops and washing count too. It names the command that asks it.
func refuseCloths(tx *sqlite.Tx, person stash.Person, words []string) error {
	pieces, err := tx.Pieces(false)
	if err != nil {
		return err
	}
	projects, err := tx.Projects()
	if err != nil {
		return err
	}
	refuse := func(what, word, hint string) error {
		return stash.Refuse(stash.CodeUsage, "Ask all of it, recording nothing: "+hint,
			"%s is a %s: what it is made into counts as well as its yarn", stash.Clean(word), what)
	}
	for _, word := range words {
		for _, p := range pieces {
			switch {
			case !strings.EqualFold(p.Name, word):
			case p.State == stash.Finished:
				return refuse("piece", word, stash.Command("give --dry-run --to", person.Name, p.Name))
			case p.Plan != nil:
				return refuse("piece", word, stash.Command("plan --for", person.Name, p.Plan.Spec.Name))
			}
		}
		for _, b := range projects {
			if strings.EqualFold(b.Name, word) {
				return refuse("project", word, stash.Command("plan --for", person.Name, b.Name))
			}
		}
	}
	return nil
}

func (k *call) answersWanted() ([]stash.Answer, error) {
	var wanted []stash.Answer
	for _, word := range k.StringSlice("answer") {
		i := slices.IndexFunc(show.Answers, func(a stash.Answer) bool {
			return slices.ContainsFunc([]string{string(a), a.Words()}, func(name string) bool {
				return strings.EqualFold(word, name) || strings.EqualFold(word+" recorded", name)
			})
		})
		if i < 0 {
			return nil, stash.Refuse(stash.CodeUsage, "against, unknown, ask or nothing",
				"there is no answer %q", stash.Clean(word))
		}
		wanted = append(wanted, show.Answers[i])
	}
	if len(wanted) == 0 {
		return show.Answers, nil
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
	slices.SortStableFunc(out, func(a, b asked) int { return stash.Naturally(a.tags[0], b.tags[0]) })
	return out, err
}
