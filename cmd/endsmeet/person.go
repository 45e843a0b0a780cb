package main

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func personCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "person", Category: groupPeople, ArgsUsage: "add|list|show|set|presets|tests ...",
		Usage: "Record who a piece is for, and the rules it must keep.",
		Description: "Private: kept out of exports, histories and errors, and synced only with\n" +
			"`config people.sync=yes`.",
		Subcommands: []*cli.Command{
			personAddCommand(e),
			{
				Name: "list", Usage: "List the people and places.",
				Flags:  []cli.Flag{&cli.BoolFlag{Name: "gone", Usage: "those who are gone too"}},
				Action: action(e, 0, 0, personList),
			},
			{Name: "show", ArgsUsage: "PERSON",
				Usage:  "Show the rules of a person, and where each comes from.",
				Action: action(e, 1, 1, personShow)},
			personSetCommand(e),
			{
				Name: "presets", ArgsUsage: "[PRESET]",
				Usage:  "List the sets of rules for common cases, or show one.",
				Action: action(e, 0, 1, personPresets),
			},
			{Name: "tests", Usage: "List what a rule can ask about.",
				Action: action(e, 0, 0, personTests)},
		},
	}
}

// ruleForm says how a rule is written.
const ruleForm = `A rule is "against TEST" or "ask TEST", as in "against wool", "ask shedding 2",
or a need such as "survives 60 C normal". What is not recorded does not pass,
unless the rule ends with "if known": "against odour if known". A reason may
follow a colon: "against wool: itches". "no wool", "wool-free" and "allergic to
wool" are understood as well.`

const ruleHelp = ruleForm + "\n`endsmeet person tests` lists what a rule can ask about."

// personItem is the JSON shape of a person in a list.
type personItem struct {
	ID    stash.PersonID `json:"id"`
	Name  string         `json:"name"`
	Rules int            `json:"rules"`
	Gone  bool           `json:"gone"`
	// For names the open pieces that are for them.
	For []string `json:"open_pieces"`
}

func personList(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		all, err := tx.Everybody()
		if err != nil {
			return err
		}
		items := []personItem{}
		for _, p := range all {
			if p.Name == "" || p.Gone && !k.Bool("gone") {
				continue
			}
			open, err := openPiecesFor(tx, p.ID)
			if err != nil {
				return err
			}
			items = append(items, personItem{p.ID, p.Name, len(p.Rules), p.Gone, orEmpty(open)})
		}
		return k.answer(items, func(w io.Writer) { printPeople(w, items) })
	})
}

func printPeople(w io.Writer, items []personItem) {
	if len(items) == 0 {
		fmt.Fprintln(w, "nobody yet; `endsmeet person add NAME --preset PRESET` records somebody")
		return
	}
	t := newTable("name", ">rules", "open pieces")
	for _, it := range items {
		name := it.Name
		if it.Gone {
			name += " (gone)"
		}
		t.add(name, fmt.Sprint(it.Rules), strings.Join(it.For, ", "))
	}
	t.print(w)
}

// openPiecesFor names the open pieces that are for somebody, by their own plan
// or by their project as it stands now.
func openPiecesFor(tx *sqlite.Tx, id stash.PersonID) ([]string, error) {
	pieces, err := tx.Pieces(true)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, p := range pieces {
		b, _, err := tx.Project(p.Project)
		if err != nil {
			return nil, err
		}
		if p.Plan != nil && p.Plan.Spec.For == id || b.For == id {
			names = append(names, p.Name)
		}
	}
	return names, nil
}

// shownPerson is the JSON shape of a person.
type shownPerson struct {
	ID       stash.PersonID               `json:"id"`
	Name     string                       `json:"name"`
	Note     *string                      `json:"note"`
	Gone     bool                         `json:"gone"`
	Rules    []shownRule                  `json:"rules"`
	Cautions []people.Caution             `json:"cautions"`
	Open     []string                     `json:"open_pieces"`
	Had      []hadThing                   `json:"had"`
	Disputed map[string][]json.RawMessage `json:"disputed"`
	// Complete is false where a newer version wrote what this one cannot read.
	Complete bool `json:"complete"`
	// Affected are the open pieces whose answer a change of the rules changed.
	Affected []affected `json:"affected,omitempty"`
}

// shownRule is the JSON shape of a rule, with its words.
type shownRule struct {
	Words string `json:"words"`
	// Strict says that what is unknown does not pass the rule.
	Strict bool `json:"strict"`
	stash.Rule
}

func shownOf(r stash.Rule) shownRule { return shownRule{people.Words(r), !r.Lenient, r} }

func personShow(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		p, err := findPerson(tx, k.Args().First())
		if err != nil {
			return err
		}
		return k.answerPerson(tx, p, nil)
	})
}

func (k *call) answerPerson(tx *sqlite.Tx, p stash.Person, changed []affected) error {
	open, err := openPiecesFor(tx, p.ID)
	if err != nil {
		return err
	}
	had, err := hadBy(tx, p)
	if err != nil {
		return err
	}
	shown := shownPerson{
		Had: had,
		ID:  p.ID, Name: p.Name, Note: known(p.Note), Gone: p.Gone, Rules: []shownRule{},
		Cautions: people.Cautions(p),
		Open:     orEmpty(open), Disputed: map[string][]json.RawMessage{}, Complete: !p.Newer,
		Affected: changed,
	}
	maps.Copy(shown.Disputed, p.Disputed)
	for _, r := range p.Rules {
		shown.Rules = append(shown.Rules, shownOf(r))
	}
	return k.answer(shown, func(w io.Writer) { printPerson(w, shown, k.units) })
}

func printPerson(w io.Writer, p shownPerson, units measure.System) {
	name := stash.Clean(p.Name)
	if p.Gone {
		name += " (gone)"
	}
	fmt.Fprintln(w, name)
	if p.Note != nil {
		fmt.Fprint(w, wrap("note: "+*p.Note, "  ", roomOf(w)))
	}
	printRules(w, p.Rules)
	for _, field := range slices.Sorted(maps.Keys(p.Disputed)) {
		fmt.Fprint(w, wrap("two machines say different things of "+field+"; until that is `set`, every rule of both is read", "  ", roomOf(w)))
	}
	if !p.Complete {
		fmt.Fprint(w, wrap("a newer version wrote what this one cannot read: no answer about this person is complete", "  ", roomOf(w)))
	}
	for _, c := range p.Cautions {
		fmt.Fprint(w, wrap(c.Text, "  ", roomOf(w)))
	}
	if len(p.Open) > 0 {
		fmt.Fprint(w, wrap("open pieces: "+strings.Join(p.Open, ", "), "  ", roomOf(w)))
	}
	printHad(w, p.Had, units)
	printAffected(w, p.Affected)
}

// printRules prints the rules in their order, and behind each run of them
// where it is from.
func printRules(w io.Writer, rules []shownRule) {
	if len(rules) == 0 {
		fmt.Fprintln(w, "  no rules: nothing is tested for them")
		return
	}
	t := newTable("rule", "why")
	for _, r := range rules {
		t.addWrapped(44, r.Words, stash.Clean(r.Why))
	}
	t.print(w)
	var sources []string
	seen := map[string]bool{}
	for _, r := range rules {
		text := strings.TrimSpace(r.Source + ", " + r.Dated)
		if r.Source != "" && !seen[text] {
			seen[text] = true
			sources = append(sources, text)
		}
	}
	for _, s := range sources {
		fmt.Fprint(w, wrap("from: "+s, "  ", roomOf(w)))
	}
}
