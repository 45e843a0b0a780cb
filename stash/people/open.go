package people

import (
	"slices"

	"endsmeet/stash"
)

// Open is something that is not recorded of a yarn and that somebody's rules ask.
type Open struct {
	// Field is the fact that would answer it: a field of the yarn; empty where no field
	// can, and only words next to the yarn, or nothing at all, tell of it.
	Field string
	// Said is the place and the word that ask it, as a reason has them; empty for none.
	Said string
	// Rules are those that ask it.
	Rules []string
}

// OpenTo is what a person's rules ask of a yarn and nobody has recorded, each once. Every
// reason of Suits that is not recorded is among them.
func OpenTo(p stash.Person, y stash.Yarn) []Open {
	var out []Open
	add := func(field, said, rule string) {
		i := slices.IndexFunc(out, func(o Open) bool { return o.Field == field && o.Said == said })
		if i < 0 {
			out = append(out, Open{Field: field, Said: said})
			i = len(out) - 1
		}
		if !slices.Contains(out[i].Rules, rule) {
			out[i].Rules = append(out[i].Rules, rule)
		}
	}
	for _, r := range p.Rules {
		t, ok := testNamed(r.Test)
		for _, reason := range yarnReasons([]stash.Rule{r}, y, "") {
			if reason.Answer != stash.Unknown {
				continue
			}
			if said(y, reason.Why) {
				add("", reason.Why, reason.Rule)
				continue
			}
			fields := 0
			for _, field := range t.facts {
				if ok && isOpen(y.YarnFacts, field, t) {
					add(field, "", reason.Rule)
					fields++
				}
			}
			if fields == 0 {
				add("", "", reason.Rule)
			}
		}
	}
	return out
}

// said says whether a reason is a word that stands next to a yarn.
func said(y stash.Yarn, why string) bool {
	return slices.ContainsFunc(Readings(y), func(reading stash.YarnFacts) bool {
		return slices.ContainsFunc(spokenOf(reading),
			func(s spoken) bool { return s.finding().why == why })
	})
}

// isOpen says whether a field leaves something open to a test that asks several.
func isOpen(y stash.YarnFacts, field string, t test) bool {
	switch {
	case len(t.facts) == 1:
		return true
	case field == "fibre":
		return y.Fibre.Unknown() || partUnknown(y.Fibre)
	case field == "shedding":
		return y.Shedding == nil
	}
	return len(y.Construction) == 0
}
