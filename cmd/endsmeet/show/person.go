package show

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// PersonItem is the JSON shape of a person in a list.
type PersonItem struct {
	ID    stash.PersonID `json:"id"`
	Name  string         `json:"name"`
	Rules int            `json:"rules"`
	Gone  bool           `json:"gone"`
	// For names the open pieces that are for them.
	For []string `json:"open_pieces"`
}

// PrintPeople prints the people, one a line.
func PrintPeople(w io.Writer, items []PersonItem) {
	if len(items) == 0 {
		fmt.Fprintln(w, "nobody yet; `endsmeet person add NAME --preset PRESET` records somebody")
		return
	}
	t := NewTable("name", ">rules", "open pieces")
	for _, it := range items {
		name := it.Name
		if it.Gone {
			name += " (gone)"
		}
		t.Add(name, fmt.Sprint(it.Rules), strings.Join(it.For, ", "))
	}
	t.Print(w)
}

// Person is the JSON shape of a person.
type Person struct {
	ID       stash.PersonID               `json:"id"`
	Name     string                       `json:"name"`
	Note     *string                      `json:"note"`
	Gone     bool                         `json:"gone"`
	Rules    []Rule                       `json:"rules"`
	Cautions []people.Caution             `json:"cautions"`
	Open     []string                     `json:"open_pieces"`
	Had      []HadThing                   `json:"had"`
	Disputed map[string][]json.RawMessage `json:"disputed"`
	// Complete is false where a newer version wrote what this one cannot read.
	Complete bool `json:"complete"`
	// Affected are the open pieces whose answer a change of the rules changed.
	Affected []Affected `json:"affected,omitempty"`
}

// Rule is the JSON shape of a rule, with its words.
type Rule struct {
	Words string `json:"words"`
	// Strict says that what is unknown does not pass the rule.
	Strict bool `json:"strict"`
	stash.Rule
}

// PrintPerson prints one person with rules and pieces.
func PrintPerson(w io.Writer, p Person, units measure.System) {
	name := stash.Clean(p.Name)
	if p.Gone {
		name += " (gone)"
	}
	fmt.Fprintln(w, name)
	if p.Note != nil {
		fmt.Fprint(w, Wrap("note: "+*p.Note, "  ", RoomOf(w)))
	}
	printRules(w, p.Rules)
	for _, field := range slices.Sorted(maps.Keys(p.Disputed)) {
		fmt.Fprint(w, Wrap("two machines say different things of "+field+"; until that is `set`, every rule of both is read", "  ", RoomOf(w)))
	}
	if !p.Complete {
		fmt.Fprint(w, Wrap("a newer version wrote what this one cannot read: no answer about this person is complete", "  ", RoomOf(w)))
	}
	for _, c := range p.Cautions {
		fmt.Fprint(w, Wrap(c.Text, "  ", RoomOf(w)))
	}
	if len(p.Open) > 0 {
		fmt.Fprint(w, Wrap("open pieces: "+strings.Join(p.Open, ", "), "  ", RoomOf(w)))
	}
	printHad(w, p.Had, units)
	PrintAffected(w, p.Affected)
}

// printRules prints the rules in their order, and behind each run of them
// where it is from.
func printRules(w io.Writer, rules []Rule) {
	if len(rules) == 0 {
		fmt.Fprintln(w, "  no rules: nothing is tested for them")
		return
	}
	t := NewTable("rule", "why")
	for _, r := range rules {
		t.AddWrapped(stash.Degrees(r.Words), stash.Clean(r.Why))
	}
	t.Print(w)
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
		fmt.Fprint(w, Wrap("from: "+s, "  ", RoomOf(w)))
	}
}
