package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// Answers are the answers in the order in which they are shown.
var Answers = []stash.Answer{stash.Against, stash.Unknown, stash.Ask, stash.Nothing}

// headings stand over the yarns of an answer.
var headings = map[stash.Answer]string{
	stash.Against: "Breaks a rule.", stash.Unknown: "Not recorded: no rule passes on it.",
	stash.Ask:     "Ask first.",
	stash.Nothing: "No rule broken, as far as recorded. Ask all the same.",
}

// Suited is the JSON shape of the answer about one yarn. ID is that of what
// was named: a package, or a yarn.
type Suited struct {
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

// PrintSuited prints the yarns by answer, with the reasons where they are asked
// for: of the whole shelf they take pages.
func PrintSuited(w io.Writer, person stash.Person, items []Suited, reasons bool) {
	fmt.Fprintf(w, "for %s\n", stash.Clean(person.Name))
	if len(person.Rules) == 0 {
		fmt.Fprintln(w, "no rules are recorded: ask, and `endsmeet person set NAME --rule RULE`")
	}
	for _, answer := range Answers {
		of := slices.DeleteFunc(slices.Clone(items),
			func(it Suited) bool { return it.Answer != answer })
		switch {
		case len(of) == 0:
		case reasons || IsPlain(w):
			fmt.Fprintf(w, "\n%s\n", headings[answer])
			printReasons(w, answer, of)
		default:
			fmt.Fprintln(w, headings[answer])
			fmt.Fprint(w, Wrap(suitedNames(of, len(items) > fewSuited)+".", "  ", RoomOf(w)))
		}
	}
	printConditions(w, items)
	if !reasons {
		fmt.Fprintln(w, "Why: "+stash.Command("suits --sums", person.Name))
	}
	fmt.Fprint(w, Wrap(people.AskFirst.Text, "", RoomOf(w)))
}

// fewSuited is how many yarns are named in full; of more, without the colour, those that
// share a name together, since all would take more than a screen.
const fewSuited = 20

func suitedNames(of []Suited, short bool) string {
	var names []string
	tags := map[string][]string{}
	for _, it := range of {
		name := stash.Clean(it.Yarn)
		if short {
			name, _, _ = strings.Cut(name, ",")
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
		if tag := tagWords(it); tag != "" {
			tags[name] = append(tags[name], tag)
		}
	}
	for i, name := range names {
		names[i] = strings.TrimSpace(strings.Join(tags[name], ", ") + " " + name)
	}
	return strings.Join(names, "; ")
}

func printReasons(w io.Writer, answer stash.Answer, items []Suited) {
	head := []string{"tag", "yarn", "why"}
	if answer == stash.Nothing {
		head = head[:2]
	}
	t := NewTable(head...)
	for _, it := range items {
		for i, why := range whys(it.Reasons) {
			addSuited(t, i, it, why)
		}
	}
	t.Print(w)
}

// tagWords are the tags of a yarn: the first, and how many more.
func tagWords(it Suited) string {
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
func printConditions(w io.Writer, items []Suited) {
	head := "Whoever it is for:"
	for _, it := range items {
		a, _ := it.Verdicts.Of(verdict.Condition)
		for _, r := range a.Reasons {
			if head != "" {
				fmt.Fprintln(w, head)
				head = ""
			}
			fmt.Fprint(w, HangingBy("  "+stash.Clean(r.Why)+". "+r.Do, "    ", RoomOf(w)+1))
		}
	}
}

// addSuited adds a row for one reason; the yarn stands beside its first.
func addSuited(t *Table, i int, it Suited, why string) {
	tag, yarn := "", ""
	if i == 0 {
		tag, yarn = tagWords(it), stash.Clean(it.Yarn)
	}
	if why == "" {
		t.Add(tag, yarn)
		return
	}
	t.AddWrapped(tag, yarn, stash.Clean(why))
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
