package unmarked

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/people"
)

// Step is something to find out of a yarn for the rules of people, and the fact to record.
type Step struct {
	What string
	// Field and Value are what is recorded then, Value with words to be replaced; Field
	// is empty where nothing can be.
	Field, Value string
	// For are the people whose rules ask it, each with the rules.
	For []string
}

// TenMetres is how a count is measured at home, and TenMetresWeighed what is recorded then.
const (
	TenMetres        = "Cut and weigh ten metres on a scale that reads to 0.1 g or finer"
	TenMetresWeighed = "WEIGHT per 10m, weighed sample"
)

// ways say how to find out what a field tells, as weavers do (common practice, no source).
var ways = map[string][2]string{
	"fibre": {"The tests at home tell no more than is recorded. A microscope may: a twisted ribbon is cotton, cross marks are flax or hemp, scales wool or hair; so may the seller, the maker, who also knows how fine it is, or a laboratory.",
		"FIBRES"},
	"shedding":     {"Rub a length hard over black and over white cloth, and look what stays on it.", "0..3"},
	"construction": {"Untwist a strand and look: plied or singles, loops, long ends, metallised.", "WORDS"},
	"count":        {TenMetres + ".", TenMetresWeighed},
	"odour":        {"Keep it in a closed bag for a night and smell at it; record none where it has no smell.", "none"},
	"bleeds":       {"Press a wet, warm strand in white cloth for ten minutes, and look at the cloth.", "no"},
	"wash":         {"Wash a sample as hot and as hard as is asked, and measure it before and after.", "WORDS"},
}

// Steps are what to find out of a yarn so that the rules of people have an answer: one for
// each fact or word that they ask and nobody has recorded.
func Steps(y stash.Yarn, everybody []stash.Person) []Step {
	var out []Step
	for _, p := range everybody {
		if p.Gone {
			continue
		}
		for _, open := range people.OpenTo(p, y) {
			step := stepOf(open)
			i := slices.IndexFunc(out, func(s Step) bool { return s.What == step.What })
			if i < 0 {
				out = append(out, step)
				i = len(out) - 1
			}
			out[i].For = append(out[i].For, fmt.Sprintf("%s: %s", p.Name, strings.Join(open.Rules, ", ")))
		}
	}
	return out
}

// FibreStep is what is left where no test at home tells more of the fibre.
func FibreStep() Step { return stepOf(people.Open{Field: "fibre"}) }

func stepOf(o people.Open) Step {
	switch way, known := ways[o.Field]; {
	case known:
		return Step{What: way[0], Field: o.Field, Value: way[1]}
	case o.Said != "":
		return Step{What: strings.ToUpper(o.Said[:1]) + o.Said[1:] +
			". Where that is in the yarn, record it; where it is not, take the word out there."}
	}
	return Step{What: "Nothing that can be recorded of a yarn rules it out: look, ask, or let the rule end with \"if known\"."}
}
